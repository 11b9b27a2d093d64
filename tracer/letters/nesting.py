"""Which borders of a letter bound the same area: an outer one and the counters in it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.inside import Area, Inside
from tracer.letters.outline import area_of

Array = NDArray[np.float64]

_FLAT = 1e-4
"""Of the letter's size: how near borders are kept to their curves to tell which lies in which."""


def nested(rings: Sequence[Array]) -> list[tuple[int, tuple[int, ...]]]:
    """Return (outer, inner ones) of each area, as indices of `rings`, in the order of the outer ones.

    The rings (n, 4, 2) do not cross; y points down, outer ones run clockwise as seen, inner ones
    anticlockwise.
    """
    if len(rings) == 1:
        return [(0, ())]
    areas = [area_of(ring) for ring in rings]
    outer = [k for k, area in enumerate(areas) if area > 0]
    inner = [k for k, area in enumerate(areas) if area <= 0]
    tolerance = _FLAT * max(float(np.abs(np.diff(ring[:, 0], axis=0)).max(initial=1e-9)) for ring in rings)
    within: dict[int, list[int]] = {k: [] for k in outer}
    if inner:
        inside = Inside([Area((rings[k],)) for k in outer], tolerance)
        starts = np.array([bezier.points_at(rings[k], np.array([0.5]))[0] for k in inner])
        holders: dict[int, list[int]] = {}
        for point, area in zip(*(index.tolist() for index in inside.of(starts)), strict=True):
            holders.setdefault(point, []).append(outer[area])
        for point, around in holders.items():
            within[min(around, key=lambda k: areas[k])].append(inner[point])
    return [(k, tuple(within[k])) for k in outer]
