"""The triangulation of points along all grooves: who is whose neighbour across the wood.

A groove is nearly a row of discs about its samples. The wood is what no disc covers, and how its
pieces hang together is read off the Delaunay triangulation of the samples (Edelsbrunner, Kirkpatrick
& Seidel 1983): a triangle whose circle is wider than the discs has wood in its middle, and two such
are one piece of wood where the way between their middles stays outside all discs. Discs of
unlike size take the regular triangulation and powers for squared distances (Edelsbrunner 1995); one
constant added to all squared radii changes neither, so that grooves of one width need one
triangulation whatever their depth, and at whatever size of the figure.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

_FAR = 3.0
"""Times the extent's diagonal at which four made-up points stand, so that all wood outside is one."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles over nodes (different samples), and the sides that two of them share. Wood frame, mm.

    Attributes
    ----------
    nodes : (n, 2); the last four are made up and far away.
    node_of : (m,) node of each sample.
    sample_of : (n - 4,) one sample of each node.
    weights : (n,) squared radius of each node's disc less one that is common to all, mm^2.
    triangles : (k, 3) nodes, anticlockwise as x to y.
    centres : (k, 2), from which the power to its three nodes is the same.
    powers : (k,) that power: squared distance to a node less the node's weight, mm^2.
    sides : (s, 2) nodes of each side between two triangles.
    beside : (s, 2) triangles on its left and right.
    gates : (s,) least power on the way between the two triangles' centres, mm^2.
    straight : (s,) whether that way crosses the side: nothing else is nearer to the middle between its nodes.
    """

    nodes: Array
    node_of: Ints
    sample_of: Ints
    weights: Array
    triangles: Ints
    centres: Array
    powers: Array
    sides: Ints
    beside: Ints
    gates: Array
    straight: Bools

    @property
    def real(self) -> int:
        """How many nodes are not made up."""
        return len(self.sample_of)


_WIDE = 500.0
"""mm; far beyond any groove, for drawings that are a dot."""

_FLAT = 5e-9
"""mm^2; three nodes in a line, told apart to _DIGITS, have no middle: no wood is theirs."""

_INSIDE = 1e-3
"""Share of a circle's radius (of 1 mm, if that is more) by which a node may lie in it for rounding."""

_DIGITS = 4
"""Decimals of mm to which points are told apart: nearer ones make triangles without a sound middle."""


def build_mesh(points: Array, weights: Array | None = None) -> Mesh:
    """Return the triangulation of `points` (m, 2), m >= 1, wood mm; equal points are one node.

    `weights` (m,) are squared radii less a common one, mm^2; without them all discs are alike.
    """
    points = np.round(points, _DIGITS)
    keys, sample_of, node_of = np.unique(_keys(points), return_index=True, return_inverse=True)
    count = len(keys)
    nodes = np.concatenate([points[sample_of], _far_points(points)])
    own = np.zeros(count + 4)
    if weights is not None:
        own[:count] = -np.inf
        np.maximum.at(own, node_of, weights)
    alike = weights is None or not own.any()
    triangles = _anticlockwise(nodes, _delaunay(nodes) if alike else _regular(nodes, own))
    centres, powers = _centres(nodes, own, triangles)
    sides, beside = _sides(triangles)
    if alike and not _empty(nodes, triangles, centres, powers, beside):
        triangles = _anticlockwise(nodes, _regular(nodes, own))
        centres, powers = _centres(nodes, own, triangles)
        sides, beside = _sides(triangles)
    gates, straight = _gates(nodes, own, centres, powers, sides=sides, beside=beside)
    return Mesh(
        nodes=nodes,
        node_of=node_of,
        sample_of=sample_of,
        weights=own,
        triangles=triangles,
        centres=centres,
        powers=powers,
        sides=sides,
        beside=beside,
        gates=gates,
        straight=straight,
    )


def _keys(points: Array) -> NDArray[np.complex128]:
    keys: NDArray[np.complex128] = points[:, 0] + 1j * points[:, 1]
    return keys


def _far_points(points: Array) -> Array:
    low, high = points.min(axis=0), points.max(axis=0)
    middle, reach = (low + high) / 2, _FAR * float(np.hypot(*(high - low))) + _WIDE
    # Turned a little: a square drawing would else have four points on one circle with each of these.
    far: Array = middle + reach * np.array([[1.0, 0.13], [-0.13, 1.0], [-1.0, -0.13], [0.13, -1.0]])
    return far


def _delaunay(nodes: Array) -> Ints:
    """Return the Delaunay triangles (k, 3) of different nodes."""
    import shapely

    found = shapely.delaunay_triangles(shapely.linestrings(nodes))
    corners = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3]
    keys = _keys(nodes)
    order = np.argsort(keys)
    place = np.searchsorted(keys[order], _keys(corners.reshape(-1, 2)))
    triangles: Ints = order[place].reshape(-1, 3)
    return triangles


def _empty(nodes: Array, triangles: Ints, centres: Array, powers: Array, beside: Ints) -> bool:
    """Say whether no triangle is flat, and none's circle holds a corner of one beside it.

    Of many points in straight rows the quick way sometimes makes triangles that are none of Delaunay's.
    """
    if not np.isfinite(powers).all():
        return False
    for one, other in ((0, 1), (1, 0)):
        d = nodes[triangles[beside[:, other]]] - centres[beside[:, one], None]
        radius = np.sqrt(powers[beside[:, one]])
        nearest = np.hypot(d[..., 0], d[..., 1]).min(axis=1)
        if (nearest < radius - _INSIDE * np.maximum(1.0, radius)).any():
            return False
    return True


def _regular(nodes: Array, weights: Array) -> Ints:
    """Return the regular triangles: the lower hull of the nodes lifted to their power from the middle."""
    from scipy.spatial import ConvexHull

    flat = nodes - nodes.mean(axis=0)
    hull = ConvexHull(np.column_stack([flat, (flat**2).sum(axis=1) - weights]))
    lower: Ints = hull.simplices[hull.equations[:, 2] < 0].astype(np.intp)
    return lower


def _anticlockwise(nodes: Array, triangles: Ints) -> Ints:
    a, b, c = (nodes[triangles[:, k]] for k in range(3))
    clockwise = _cross(b - a, c - a) < 0
    triangles[clockwise] = triangles[clockwise][:, [0, 2, 1]]
    return triangles


def _centres(nodes: Array, weights: Array, triangles: Ints) -> tuple[Array, Array]:
    """Return the points of equal power (k, 2) to each triangle's nodes, and that power (k,)."""
    a, b, c = (nodes[triangles[:, k]] for k in range(3))
    wa, wb, wc = (weights[triangles[:, k]] for k in range(3))
    p, q = b - a, c - a
    double = 2 * _cross(p, q)
    flat = double < _FLAT
    double[flat] = np.inf
    pp, qq = (p**2).sum(axis=1) + wa - wb, (q**2).sum(axis=1) + wa - wc
    x, y = (pp * q[:, 1] - qq * p[:, 1]) / double, (qq * p[:, 0] - pp * q[:, 0]) / double
    return a + np.column_stack([x, y]), np.where(flat, -np.inf, x * x + y * y - wa)


def _sides(triangles: Ints) -> tuple[Ints, Ints]:
    """Return the sides (s, 2) that two triangles share, and the triangles left and right of each."""
    tail = triangles.ravel()
    head = triangles[:, [1, 2, 0]].ravel()
    owner = np.repeat(np.arange(len(triangles)), 3)
    key = np.minimum(tail, head) * (int(triangles.max()) + 1) + np.maximum(tail, head)
    order = np.argsort(key, kind="stable")
    same = np.flatnonzero(key[order][1:] == key[order][:-1])
    one, other = order[same], order[same + 1]
    return np.column_stack([tail[one], head[one]]), np.column_stack([owner[one], owner[other]])


def _gates(
    nodes: Array, weights: Array, centres: Array, powers: Array, *, sides: Ints, beside: Ints
) -> tuple[Array, Bools]:
    """Return the least power (s,) on the way between the centres beside each side, and whether it crosses.

    The way runs square to the side. Its least power is where it crosses the side's line, if it does.
    """
    a, b = nodes[sides[:, 0]], nodes[sides[:, 1]]
    d = b - a
    length = np.hypot(d[:, 0], d[:, 1])
    foot = (length**2 + weights[sides[:, 0]] - weights[sides[:, 1]]) / (2 * length)
    crosses = (_cross(d, centres[beside[:, 0]] - a) >= 0) & (_cross(d, centres[beside[:, 1]] - a) <= 0)
    at_side = np.where(crosses, foot**2 - weights[sides[:, 0]], np.inf)
    return np.minimum(at_side, powers[beside].min(axis=1)), crosses


def _cross(p: Array, q: Array) -> Array:
    cross: Array = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return cross
