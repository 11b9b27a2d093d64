"""Where grooves are parted between two set-ups that lie side by side: so that the joins show least.

What only one of the two reaches is its own, and what both reach may be either's. The cheapest
places that part the two are a least cut of the network between them, found by the greatest flow
through it (Ford & Fulkerson 1956).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.together import together
from tracer.report.links import NEVER, Links

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.intp]

_OFF_MIDDLE = 20
"""What a join costs more at the rim of what both reach: nobody knows the reach to the millimetre."""


@dataclass(frozen=True, eq=False)
class Seam:
    """How links fall to two set-ups.

    Attributes
    ----------
    first : (k,) which of the links are cut in the first.
    joins : (j,) places at which strokes are parted.
    cost : what these cost.
    """

    first: Bools
    joins: Ints
    cost: int

    @property
    def clean(self) -> bool:
        """Whether no stroke is parted in a small curve."""
        return self.cost < NEVER


def least_seam(links: Links, own: Ints, axis: int, zone: tuple[float, float]) -> Seam:
    """Part the links with indices `own` (k,) along an axis, 0 across or 1 down.

    What lies before the `zone` (mm on the wood) is cut in the first set-up, what lies past it
    in the second. No link may be as long as the zone.
    """
    places, index = np.unique(links.ends[own], return_inverse=True)
    ends, where = index.reshape(-1, 2).astype(np.intp), links.points[places, axis]
    low, high = zone
    side = (where > high).astype(np.intp) - (where < low)
    off = np.abs(2 * where - low - high) / (high - low)
    cost = links.cost[places] + np.rint(_OFF_MIDDLE * np.minimum(off, 1.0)).astype(np.intp)
    cost[side != 0] = 2 * NEVER
    before = _least_cut(ends, cost, side)
    before = _loose_ones(ends, side, where < (low + high) / 2, before)
    parted = before[ends[:, 0]] != before[ends[:, 1]]
    cheaper = cost[ends].argmin(axis=1)[:, None]
    join = np.take_along_axis(ends, cheaper, axis=1)[:, 0]
    kept = np.take_along_axis(ends, 1 - cheaper, axis=1)[
        :, 0
    ]  # a link goes with the end that is not the join
    joins = join[parted]
    return Seam(before[kept], places[np.unique(joins)], int(cost[joins].sum()))


def _least_cut(ends: Ints, cost: Ints, side: Ints) -> Bools:
    """Say which places (n,) lie before the cheapest cut between those of side -1 and those of side 1."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import breadth_first_order, maximum_flow

    count = len(side)
    vertex = np.where(side < 0, count, np.where(side > 0, count + 1, np.arange(count)))
    a, b = vertex[ends].T
    apart = a != b
    a, b, room = a[apart], b[apart], cost[ends].min(axis=1)[apart]
    pairs = (np.concatenate([a, b]), np.concatenate([b, a]))
    both = np.concatenate([room, room]).astype(np.int32)
    graph = coo_array((both, pairs), shape=(count + 2, count + 2)).tocsr()
    left = graph - maximum_flow(graph, count, count + 1).flow
    left.eliminate_zeros()
    before = np.zeros(count + 2, dtype=bool)
    before[breadth_first_order(left, count, return_predecessors=False)] = True
    found: Bools = before[:count] | (side < 0)
    return found


def _loose_ones(ends: Ints, side: Ints, near: Bools, before: Bools) -> Bools:
    """Give what hangs together and lies all in the zone to the set-up that most of it is near."""
    part = together(ends, len(side))
    loose = np.bincount(part, weights=np.abs(side))[part] == 0
    mostly = np.bincount(part, weights=np.where(near, 1.0, -1.0))[part] > 0
    found: Bools = np.where(loose, mostly, before)
    return found
