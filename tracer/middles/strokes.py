"""Stems one after the other as strokes, straight where a hand would carve them straight."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.geometry.fit import fit_cubics
from tracer.geometry.flatten import flatten
from tracer.middles.align import lies_along
from tracer.middles.meet import Meetings
from tracer.middles.pieces import Piece, merged
from tracer.middles.stems import SPACING, smoothed, tangents
from tracer.middles.zones import Arm, Stem

Array = NDArray[np.float64]

COLLINEAR, ASIDE = np.radians(3.0), 0.008
"""Straights that turn by less than this, and lie beside one another by fewer capital heights, are one."""

_ROUGH = 0.5
"""Pixels from the raw skeleton to the curve that rounds a corner."""


@dataclass(frozen=True, eq=False)
class Strung:
    """A stroke: its pieces end to end, whether it closes, its stems, each with the end it is entered by."""

    pieces: list[Piece]
    closed: bool
    arms: list[Arm]

    @property
    def ends(self) -> tuple[Arm, Arm]:
        """The ends of stems at its start and its end."""
        return self.arms[0], (self.arms[-1][0], 1 - self.arms[-1][1])


def strokes_of(stems: list[Stem], found: Meetings, cap: float) -> list[Strung]:
    """Return the strokes that the meetings make of the stems."""
    done: set[int] = set()
    strokes = []
    for k, stem in enumerate(stems):
        if k in done or not stem.pieces:
            continue
        if stem.ring:
            strokes.append(Strung(stem.pieces, closed=True, arms=[]))
            continue
        stroke = _strung(k, stems, found)
        done |= {own for own, _ in stroke.arms}
        half = min(stems[own].half for own, _ in stroke.arms)
        strokes.append(Strung(_as_one(stroke.pieces, cap, half), stroke.closed, stroke.arms))
    return strokes


def _strung(k: int, stems: list[Stem], found: Meetings) -> Strung:
    """Return the stroke that a stem belongs to."""
    first, ring = _first(k, found)
    arm, pieces, arms = first, list[Piece](), list[Arm]()
    while True:
        pieces += stems[arm[0]].pieces if arm[1] == 0 else _reversed(stems[arm[0]].pieces)
        arms.append(arm)
        leave = (arm[0], 1 - arm[1])
        onward = found.partner.get(leave)
        if onward is None:
            return Strung(pieces, ring, arms)
        pieces += _bridge(found.way[leave], stems, leave, onward)
        if onward == first:
            return Strung(pieces, ring, arms)
        arm = onward


def _first(k: int, found: Meetings) -> tuple[Arm, bool]:
    """Go back from a stem to the end where its stroke begins; True where it comes round."""
    arm = (k, 0)
    while (before := found.partner.get(arm)) is not None:
        arm = (before[0], 1 - before[1])
        if arm == (k, 0):
            return arm, True
    return arm, False


def _reversed(pieces: list[Piece]) -> list[Piece]:
    """Return pieces in the other direction."""
    return [Piece(piece.points[::-1], piece.straight) for piece in reversed(pieces)]


def _bridge(way: Array, stems: list[Stem], leave: Arm, onward: Arm) -> list[Piece]:
    """Return the pieces of the way from one stem to the next: round a corner, straight on, or as drawn."""
    p, u = stems[leave[0]].points[leave[1]], stems[leave[0]].ways[leave[1]]
    q, v = stems[onward[0]].points[onward[1]], stems[onward[0]].ways[onward[1]]
    if len(way) == 3:
        return [Piece(way[:2], straight=True), Piece(way[1:], straight=True)]
    if len(way) == 2:
        reach = float(np.hypot(*(q - p))) / 3
        chain = np.array([[p, p + reach * u, q + reach * v, q]])
    else:
        points = polyline.resample(smoothed(way, 2.0), SPACING)
        directions = tangents(points, 2)
        directions[0], directions[-1] = u, -v
        chain = fit_cubics(points, directions, _ROUGH)
    return [Piece(polyline.resample(flatten(chain, 0.01), SPACING), straight=False)]


def _as_one(pieces: list[Piece], cap: float, half: float) -> list[Piece]:
    """Return the pieces of a stroke, straights that go on in one another made one with what lies between."""
    out: list[Piece] = []
    for piece in pieces:
        if np.hypot(*np.ptp(piece.points, axis=0)) < 1e-9:
            continue
        out.append(piece)
        for k in range(len(out) - 1) if piece.straight else ():
            line = _one(out[k], piece, cap)
            between = [p.points for p in out[k + 1 : -1]]
            if line is not None and (not between or lies_along(line, np.concatenate(between), half)):
                out[k:] = [Piece(line, straight=True)]
                break
    return _linked(out)


def _one(one: Piece, other: Piece, cap: float) -> Array | None:
    """Return two straights as one line (2, 2), None where they are not."""
    if not (one.straight and other.straight):
        return None
    u, v, gap = (
        np.diff(one.points, axis=0)[0],
        np.diff(other.points, axis=0)[0],
        other.points[0] - one.points[1],
    )
    turn = np.arccos(np.clip((u @ v) / (np.hypot(*u) * np.hypot(*v)), -1, 1))
    beside = abs(gap[0] * u[1] - gap[1] * u[0]) / np.hypot(*u)
    if turn > COLLINEAR or beside > ASIDE * cap or gap @ u < -1e-6 * (u @ u):
        return None
    return merged(one.points, other.points)


def _linked(pieces: list[Piece]) -> list[Piece]:
    """Return pieces end to end again after some were straightened: bows give way to straights."""
    moved = [Piece(piece.points.copy(), piece.straight) for piece in pieces]
    for one, other in pairwise(moved):
        if one.straight == other.straight:
            one.points[-1] = other.points[0] = (one.points[-1] + other.points[0]) / 2
        elif one.straight:
            other.points[0] = one.points[-1]
        else:
            one.points[-1] = other.points[0]
    return moved
