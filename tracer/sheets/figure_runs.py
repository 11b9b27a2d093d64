"""The runs on one piece's picture in the report: where each begins, which way it goes, and its whole way."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine, bezier
from tracer.model.plan import Leg, Plan
from tracer.sheets.path_data import path_data
from tracer.sheets.spread import around, spread

Array = NDArray[np.float64]

_RINGS = (3.2, 4.4, 6.0, 8.5)  # figure units from a start to its number
_ARROW = 3.0  # figure units from the start to the middle of the arrow
_SIZE = 3.0  # height of a number, figure units
_DIGIT = 0.62  # width of a digit, times its height


@dataclass(frozen=True)
class FigureRun:
    """One run, or what of it lies on this piece; figure units.

    `path` and `again` are SVG path data: all of the way, and what is gone over again ("" for nothing).
    It begins at `start`, its number stands at `tag`; the arrow's middle is at `arrow`, turned by
    `turn_deg` from the right, clockwise; no arrow for a dot. `first` says that the run begins here.
    """

    number: int
    stop: int
    path: str
    again: str
    start: tuple[float, float]
    tag: tuple[float, float]
    arrow: tuple[float, float] | None
    turn_deg: float
    first: bool


def figure_runs(
    plan: Plan, homes: Mapping[int, int], index: int, from_wood: affine.Affine, room: tuple[float, float]
) -> tuple[FigureRun, ...]:
    """Return the runs shown on piece `index`, in the order of cutting.

    `homes` is the piece of each stroke; `from_wood` maps to figure units; `room` is (width, height).
    """
    own = [(run, _here(run.legs, homes, index)) for run in plan.runs]
    shown = [(run, legs) for run, legs in own if legs]
    ways = [[affine.apply(from_wood, leg.curves) for leg in legs] for _, legs in shown]
    starts = np.array([way[0][0, 0] for way in ways]).reshape(-1, 2)
    sizes = [(_DIGIT * _SIZE * len(str(run.number)) + 1.6, _SIZE + 0.8) for run, _ in shown]
    tags = spread([around(start, _RINGS, 12) for start in starts], sizes, lines=starts, room=room)
    runs = []
    for (run, legs), way, tag in zip(shown, ways, tags.tolist(), strict=True):
        again = [curves for leg, curves in zip(legs, way, strict=True) if leg.retraced]
        arrow, turn = _arrow(np.concatenate(way))
        runs.append(
            FigureRun(
                number=run.number,
                stop=run.stop,
                path=path_data(*way),
                again=path_data(*again),
                start=(float(way[0][0, 0, 0]), float(way[0][0, 0, 1])),
                tag=(tag[0], tag[1]),
                arrow=arrow,
                turn_deg=turn,
                first=legs[0] is run.legs[0],
            )
        )
    return tuple(runs)


def _here(legs: tuple[Leg, ...], homes: Mapping[int, int], index: int) -> list[Leg]:
    """Return the legs on strokes of one piece."""
    return [leg for leg in legs if homes.get(leg.stroke) == index]


def _arrow(curves: Array) -> tuple[tuple[float, float] | None, float]:
    """Return where the arrow stands on a way, and its direction in degrees."""
    lengths = bezier.lengths(curves)
    whole = float(lengths.sum())
    if whole < _ARROW / 4:
        return None, 0.0
    to = np.concatenate([[0.0], lengths.cumsum()])
    spot = np.interp(min(_ARROW, whole / 2), to, np.arange(len(to), dtype=float))
    x, y = bezier.points_at(curves, np.array([spot]))[0]
    dx, dy = bezier.tangents_at(curves, np.array([spot]))[0]
    return (float(x), float(y)), float(np.degrees(np.arctan2(dy, dx)))
