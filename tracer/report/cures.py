"""How much larger the figure must be for each thing that fails: sums, as long as grooves stay as they are."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tracer.report.figure import Figure
from tracer.report.islands import BreakOut
from tracer.report.lands import Near
from tracer.report.looks import Look
from tracer.report.walls import least_for

Array = NDArray[np.float64]

Kind = Literal["thin", "merged", "holds"]
Cure = tuple[float, tuple[int, ...]]
"""The size from which on one thing holds, as a multiple of that given, and the strokes concerned."""


def cures(look: Look, kind: Kind, figure: Figure) -> list[Cure]:
    """Return a cure for each thing of a kind that fails at a size; infinite where no size helps.

    A groove is as wide as it may be at (groove) / (most widening x drawn width); a land holds at
    (groove + least land) / distance of middles, which is more than 0 at (groove) / distance; wood
    ringed by grooves at (groove + least land) / (groove + its widest circle).
    """
    if kind == "thin":
        return _thin(look, figure)
    if kind == "merged":
        return [(look.times * _apart(look, near), near.land.strokes) for near in look.merged]
    return [*_lands(look, [*look.merged, *look.crumbling]), *(_wood(look, one) for one in look.breaking)]


def _thin(look: Look, figure: Figure) -> list[Cure]:
    least = dict(zip(figure.numbers.tolist(), figure.wide_enough(1.0, look.job).tolist(), strict=True))
    grooves = look.cut.groove
    widths = [grooves[n].width if n in grooves else look.job.groove for n in look.thin]
    return [(width * least[n], (n,)) for n, width in zip(look.thin, widths, strict=True)]


def _groove(look: Look, strokes: Sequence[int]) -> float:
    """Return the width of two grooves' halves together."""
    grooves = look.cut.groove
    return (grooves[strokes[0]].width + grooves[strokes[-1]].width) / 2


def _apart(look: Look, near: Near) -> float:
    """Return how many times larger two grooves that run together no longer do."""
    groove = _groove(look, near.land.strokes)
    distance = groove + near.land.width
    return groove / distance if distance > 0 else np.inf


def _lands(look: Look, lands: Sequence[Near]) -> list[Cure]:
    if not lands:
        return []
    places = np.concatenate([near.places for near in lands])
    count = np.array([len(near.places) for near in lands])
    grooves = look.cut.groove
    pairs = [near.land.strokes for near in lands]
    groove = np.array([_groove(look, pair) for pair in pairs])
    depth = np.array([max(grooves[a].depth, grooves[b].depth) for a, b in pairs])
    need = np.repeat(groove, count) + least_for(look.job, np.repeat(depth, count), places[:, 1])
    with np.errstate(divide="ignore"):
        times = np.maximum.reduceat(need / places[:, 0], np.cumsum(count) - count)
    return list(zip((look.times * times).tolist(), pairs, strict=True))


def _wood(look: Look, one: BreakOut) -> Cure:
    rim = [look.cut.groove[number].width for number in one.island.enclosed_by]
    groove = max(rim) if rim else look.job.groove
    return look.times * (groove + one.limit) / (groove + one.widest), one.island.enclosed_by
