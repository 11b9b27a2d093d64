"""Stems straight on past the bows that melt into them.

Beside a merging bow the middle between the two edges is pushed aside; a hand carves the stem straight on. So
where a long straight stem points along all of the next, or of its own bowed end, these become straight too.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.middles.pieces import Piece
from tracer.middles.zones import Arm, Stem, Zone

Array = NDArray[np.float64]

LONG = 0.2
"""Capital heights that a straight stem is long at the least if it sets the direction of what follows."""

BESIDE = 0.6
"""Half widths that what follows such a stem lies beside its line at the most."""

ON_LINE = 1e-6
"""Pixels beside a line that are none."""


def align(stems: list[Stem], zones: Sequence[Zone], cap: float) -> None:
    """Make straight what lies along a long straight stem, from zone to zone."""
    for stem in stems:
        if not stem.ring:
            _own_ends(stem, cap)
    laid: set[int] = set()
    ahead = list(zones)
    while ahead:
        zone = ahead.pop()
        for arm in zone.arms:
            line = _line(stems[arm[0]], arm[1], cap)
            others = [o for o in zone.arms if o[0] != arm[0] and o[0] not in laid] if line is not None else []
            moved = {other[0] for other in others if line is not None and _follow(stems, other, line, cap)}
            laid |= moved  # once each: between two lines it would go to and fro
            ahead += [zone for zone in zones if moved & {k for k, _ in zone.arms}]


def lies_along(line: Array, points: Array, half: float) -> bool:
    """Say whether points (m, 2) lie along a straight line (2, 2)."""
    way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    return bool(np.abs((points - line[0]) @ np.array([-way[1], way[0]])).max(initial=0) <= BESIDE * half)


def _line(stem: Stem, end: int, cap: float) -> Array | None:
    """Return the line (2, 2) out of an end of a stem, where a long straight leads there."""
    if stem.ring or not stem.pieces:
        return None
    piece = stem.pieces[-1 if end else 0]
    if not piece.straight or np.hypot(*(piece.points[1] - piece.points[0])) < LONG * cap:
        return None
    return piece.points if end else piece.points[::-1]


def _own_ends(stem: Stem, cap: float) -> None:
    """Make the bowed ends of a stem straight that a long straight part of it leads along."""
    for end in (1, 0):
        onward = stem.pieces if end else _reversed(stem.pieces)
        long = [k for k, p in enumerate(onward) if p.straight and _length(p) >= LONG * cap]
        if not long or long[-1] == len(onward) - 1:
            continue
        line, rest = onward[long[-1]].points, np.concatenate([p.points for p in onward[long[-1] + 1 :]])
        if lies_along(line, rest, stem.half):
            way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
            tip = line[0] + way * float((rest[-1] - line[0]) @ way)
            onward = [*onward[: long[-1]], Piece(np.array([line[0], tip]), straight=True)]
            stem.pieces = onward if end else _reversed(onward)
            stem.points[end], stem.ways[end] = tip, way


def _follow(stems: list[Stem], arm: Arm, line: Array, cap: float) -> bool:
    """Lay a stem onto a line (2, 2) that it lies ahead along, but no long straight one; say if it was."""
    stem = stems[arm[0]]
    if stem.ring or not stem.pieces:
        return False
    points = np.concatenate([piece.points for piece in stem.pieces])
    way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    along, beside = (points - line[1]) @ way, (points - line[1]) @ np.array([-way[1], way[0]])
    fixed = np.ptp(along) > LONG * cap and all(piece.straight for piece in stem.pieces)
    if not ON_LINE < np.abs(beside).max() <= BESIDE * stem.half or along.min() < -stem.half or fixed:
        return False
    tips = line[1] + np.outer([along[0], along[-1]], way)
    out = way if along[-1] > along[0] else -way
    stem.pieces = [Piece(tips, straight=True)]
    stem.points, stem.ways = [tips[0], tips[1]], [-out, out]
    return True


def _length(piece: Piece) -> float:
    """Return the distance between the ends of a piece."""
    return float(np.hypot(*(piece.points[-1] - piece.points[0])))


def _reversed(pieces: list[Piece]) -> list[Piece]:
    """Return pieces in the other direction."""
    return [Piece(piece.points[::-1], piece.straight) for piece in reversed(pieces)]
