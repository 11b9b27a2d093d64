"""Chains of cubics whose joints follow the samples from the start.

Where lines and arcs do not hold together smoothly, the direction at each candidate is that of the samples
about it, and each cubic is bound to the directions at its ends: whatever path is cheapest is smooth.
"""

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import CUBIC, FREE, SEGMENT, Pieces, Sections, candidates, spans
from tracer.vector.cubics import Fit, fitted_cubics, rounded
from tracer.vector.paths import Edges, Flags, cheapest
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]
Index = NDArray[np.intp]

SAFE = 0.9
"""Part of the tolerance that samples may be away: not all of them are looked at."""


_LOOKS = 32
"""Samples looked at in each span."""


def steady(
    sections: Sections, sums: RunningSums, spread: float, tolerance: float
) -> list[tuple[Pieces, Array]]:
    """Return for each section a chain of cubics, and their numbers (n, 8), see `cubics`."""
    samples, section = candidates(sections)
    place, way = _joints(sections, sums, samples, tolerance)

    def bound(a: Index, b: Index) -> Fit:
        i, j = np.searchsorted(samples, a), np.searchsorted(samples, b)
        return fitted_cubics(
            sums, a, b, rounded((place[i], way[i]), (place[j], way[j])), free=False, count=_LOOKS
        )

    def holds(a: Index, b: Index) -> Flags:
        good: Flags = bound(a, b).worst <= SAFE * tolerance
        return good

    start, end = spans(samples, section, holds)
    first, last = samples[start], samples[end]
    fit = bound(first, last)
    cost = SEGMENT + FREE + fit.off * (last - first + 1) / spread
    cost[(fit.worst > SAFE * tolerance)] *= 100
    walks = cheapest(Edges(start, end, cost, np.zeros(len(start), bool)), section)
    whole = Pieces(first, last, np.full(len(first), CUBIC))
    return [(whole.only(walk), fit.numbers[walk]) for walk in walks]


def _joints(sections: Sections, sums: RunningSums, samples: Index, tolerance: float) -> tuple[Array, Array]:
    """Return place and direction (k, 2) at samples by arcs through their neighbours; ends stay in place."""
    behind, ahead = sections.around(np.maximum(2, sections.reach // 2))
    local = sums.primitives(behind[samples], ahead[samples], 0.0)
    place, way = local.feet(sums.points[samples], ~np.isfinite(local.off_arc))
    far = np.hypot(*(place - sums.points[samples]).T) > tolerance / 2
    place[far] = sums.points[samples[far]]
    first, last = np.searchsorted(samples, sections.first), np.searchsorted(samples, sections.last)
    for end in (first, last):
        place[end] = sums.points[samples[end]]
    first, last = first[sections.ring], last[sections.ring]
    mean = way[first] + way[last]
    way[first] = way[last] = mean / np.maximum(np.hypot(*mean.T), 1e-12)[:, None]
    return place, way
