"""How far inside an area each ring of a clearing lies, so that no wood is left between two of them."""

from typing import Any

STEPS = (0.9, 0.8, 0.7, 0.6, 0.5)
"""Steps from ring to ring that are tried, in widths that the bit sweeps; half of it leaves nothing anywhere.

A place that lies less than half the width further in than a ring is no further from it: the nearest way to
the edge leads over the ring.
"""

LEFT = 0.02
"""mm^2 that two rings may leave between them, for the rings' own tolerance."""

MOST = 200
"""Rings one in another; ground that takes more wants a wider bit (our own limit)."""

_SMOOTH = 16
"""Segments to a quarter circle."""


def levels(area: Any, base: float, swept: float) -> list[float]:
    """Return the distances from the edge of `area`, rising, at which rings clear what lies inside `base`.

    Parameters
    ----------
    area : a shapely area, mm.
    base : distance at which the first track lies that is there already, mm.
    swept : how wide the bit sweeps, mm.

    Notes
    -----
    From each ring the next lies as far in as leaves nothing uncut between the two: contours of the
    distance from the edge, the step chosen anew for each.
    """
    half, found, at = swept / 2, list[float](), base
    while len(found) < MOST and not (open_yet := _in(area, at + half)).is_empty:
        larger = (at + step * swept for step in STEPS[:-1])
        reaching = (one for one in larger if _reaches(area, open_yet, one, half))
        at = next(reaching, at + STEPS[-1] * swept)
        found.append(at)
    return found


def _reaches(area: Any, open_yet: Any, level: float, half: float) -> bool:
    """Say whether a ring so far in leaves nothing of what is open yet between itself and the one before."""
    left = open_yet.difference(_in(area, level).buffer(half, quad_segs=_SMOOTH))
    return bool(left.area <= LEFT)


def _in(area: Any, distance: float) -> Any:
    """Return what of an area lies so far inside, without slivers too fine to be a ring."""
    import shapely

    inside = area.buffer(-distance, quad_segs=_SMOOTH)
    parts = [part for part in shapely.get_parts(inside) if part.area > LEFT]
    return shapely.unary_union(parts)
