"""The wood as a raster: how far each point of a board lies from the nearest groove's wall, and what follows.

A measure from outside: it knows strokes, their grooves' widths and joints, and nothing of how the report
finds what it says. Distances come from an exact Euclidean distance transform at PIXEL, put right by the
point of the middle line that stands for the nearest pixel, so that they are good to some 0.005 mm.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from tracer.geometry import bezier
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

PIXEL = 0.05
"""mm."""

SLACK = 0.04
"""mm; what a groove this much wider or narrower would open or close is neither asked for nor forbidden."""

SMALL = 0.1
"""mm^2 and mm: components of less area, or of a lesser widest circle, are neither asked for nor forbidden."""


@dataclass(frozen=True, eq=False)
class Dots:
    """Points (m, 2) along strokes, wood mm; index of the stroke, way along it, direction, corner or end."""

    points: Array
    stroke: Ints
    along: Array
    tangent: Array
    pointed: NDArray[np.bool_]


def dotted(strokes: Sequence[Stroke], step: float) -> Dots:
    """Points at most `step` mm apart, with all ends of cubics."""
    rows = []
    for index, stroke in enumerate(strokes):
        counts = np.maximum(np.ceil(bezier.lengths(stroke.curves) * 1.3 / step), 1).astype(int)
        t = np.concatenate([[0.0], *(k + np.arange(1, n + 1) / n for k, n in enumerate(counts))])
        points = bezier.points_at(stroke.curves, t)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        tangent = bezier.tangents_at(stroke.curves, t)
        turned = (tangent * bezier.tangents_at(stroke.curves, np.maximum(t - 1e-6, 0))).sum(axis=1) < 0.97
        turned[[0, -1]] |= not stroke.closed
        rows.append((points, np.full(len(t), index), along, tangent, turned | (stroke.kind == "dot")))
    points, index, along, tangent, pointed = (np.concatenate(column) for column in zip(*rows, strict=True))
    return Dots(points, index.astype(np.intp), along, tangent, pointed)


@dataclass(frozen=True, eq=False)
class Wood:
    """`clear` (H, W): distance in mm from a pixel's centre to the nearest wall, negative in a groove.

    `nearest` (H, W) is the index of that stroke; `corner` the wood mm of the raster's top left.
    """

    clear: Array
    nearest: Ints
    corner: Array
    strokes: tuple[Stroke, ...]
    widths: Array

    def at(self, points: Array) -> Array:
        """Distance (m,) to the nearest wall at wood points (m, 2), of the pixel each lies in."""
        column, row = np.floor((points - self.corner) / PIXEL).astype(int).T
        height, width = self.clear.shape
        found: Array = self.clear[np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)]
        return found

    @cached_property
    def fine(self) -> list[tuple[cKDTree, float]]:
        """All strokes' points 0.04 mm apart, those of one width of groove together with half that width."""
        dots = dotted(self.strokes, 0.04)
        widths = self.widths[dots.stroke]
        return [(cKDTree(dots.points[widths == width]), width / 2) for width in np.unique(widths)]

    def exact(self, points: Array) -> Array:
        """Distance (m,) to the nearest wall at wood points (m, 2)."""
        distance: Array = np.min([tree.query(points)[0] - radius for tree, radius in self.fine], axis=0)
        return distance


def wood_of(strokes: Sequence[Stroke], width_of: Mapping[int, float]) -> Wood:
    """Raster the grooves of `strokes`, `width_of` mm by stroke number, and a rim of wood round them."""
    widths = np.array([width_of[stroke.number] for stroke in strokes])
    dots = dotted(strokes, PIXEL / 2)
    rim = widths.max() / 2 + 6 * PIXEL
    corner = dots.points.min(axis=0) - rim
    size = np.ceil((dots.points.max(axis=0) + rim - corner) / PIXEL).astype(int)[::-1]
    clear, nearest = np.full(size, np.inf), np.zeros(size, dtype=np.intp)
    for width in np.unique(widths):
        some = widths[dots.stroke] == width
        distance, stroke = _distances(dots.points[some], dots.stroke[some], corner, size)
        nearest = np.where(distance - width / 2 < clear, stroke, nearest)
        clear = np.minimum(clear, distance - width / 2)
    return Wood(clear, nearest, corner, tuple(strokes), widths)


def _distances(points: Array, stroke: Ints, corner: Array, size: Ints) -> tuple[Array, Ints]:
    """Distance of each pixel's centre from the nearest of `points`, and the stroke of that."""
    column, row = np.floor((points - corner) / PIXEL).astype(int).T
    which = np.zeros(size, dtype=np.intp)
    which[row, column] = np.arange(len(points))
    free = np.ones(size, dtype=bool)
    free[row, column] = False
    near = ndimage.distance_transform_edt(free, return_distances=False, return_indices=True)
    source = which[near[0], near[1]]
    x, y = ((np.arange(n) + 0.5) * PIXEL for n in (size[1], size[0]))
    across, down = (points - corner).T
    return np.hypot(x - across[source], y[:, None] - down[source]), stroke[source]


@dataclass(frozen=True)
class Standing:
    """A component of wood that grooves ring: place of its widest circle, area, that circle's diameter; mm.

    `sure`: grooves SLACK wider or narrower leave it one, and there.
    """

    where: tuple[float, float]
    area: float
    widest: float
    sure: bool
    rim: frozenset[int]


def standing_wood(wood: Wood) -> list[Standing]:
    """All standing wood, with the numbers of the strokes on whose grooves it borders."""
    labels, outside = _inner(wood.clear > 0)
    fewer, more = _inner(wood.clear > -SLACK), _inner(wood.clear > SLACK)
    found = []
    for label, box in enumerate(ndimage.find_objects(labels), start=1):
        if label in outside:
            continue
        here = tuple(slice(max(s.start - 2, 0), s.stop + 2) for s in box)
        clear, mask = wood.clear[here], labels[here] == label
        corner = wood.corner + PIXEL * np.array([here[1].start, here[0].start])
        where, widest = _widest(wood, clear, mask, corner)
        area = _area(wood, clear, mask, corner)
        sure = area > SMALL and widest > SMALL and _alone(mask, here, labels, (fewer, more))
        rim = ndimage.binary_dilation(mask, iterations=2) & ~mask
        numbers = frozenset(wood.strokes[i].number for i in np.unique(wood.nearest[here][rim]))
        found.append(Standing(where, area, widest, sure, numbers))
    return found


def _inner(mask: NDArray[np.bool_]) -> tuple[Ints, set[int]]:
    """Label the components; the labels that touch the raster's edge, and 0."""
    labels, _ = ndimage.label(mask)
    edge = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
    return labels, {0, *np.unique(edge).tolist()}


def _alone(
    mask: NDArray[np.bool_],
    here: tuple[slice, ...],
    labels: Ints,
    others: tuple[tuple[Ints, set[int]], tuple[Ints, set[int]]],
) -> bool:
    """Say whether with a little less and a little more groove the component is still one of its own."""
    (less, less_outside), (more, more_outside) = others
    around = set(np.unique(less[here][mask]).tolist())
    if len(around) != 1 or around & less_outside:
        return False
    shared = set(np.unique(labels[less == around.pop()]).tolist()) - {0}
    within = set(np.unique(more[here][mask]).tolist()) - {0}
    return len(shared) == 1 and len(within) == 1 and not within & more_outside


def _widest(
    wood: Wood, clear: Array, mask: NDArray[np.bool_], corner: Array
) -> tuple[tuple[float, float], float]:
    """Place and diameter of the widest circle in a component, looked for again between the pixels."""
    row, column = np.unravel_index(np.where(mask, clear, -np.inf).argmax(), mask.shape)
    middle = corner + PIXEL * (np.array([column, row]) + 0.5)
    for reach in (PIXEL, PIXEL / 5, PIXEL / 25):
        steps = np.linspace(-reach, reach, 11)
        about = middle + np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
        distance = wood.exact(about)
        middle = about[distance.argmax()]
    return (float(middle[0]), float(middle[1])), 2 * float(distance.max())


def _area(wood: Wood, clear: Array, mask: NDArray[np.bool_], corner: Array) -> float:
    """Area in mm^2; pixels at the wall are looked at again in 4 x 4 places."""
    near = ndimage.binary_dilation(mask, structure=np.ones((3, 3))) & (np.abs(clear) < 0.75 * PIXEL)
    steps = (np.arange(4) + 0.5) / 4
    places = np.argwhere(near)[:, None, ::-1] + np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    share = (wood.exact((corner + PIXEL * places).reshape(-1, 2)) > 0).mean() if near.any() else 0.0
    return float((mask & ~near).sum() + share * near.sum()) * PIXEL**2


@dataclass(frozen=True)
class Body:
    """Strokes whose grooves touch: their numbers, and how many holes of other bodies lie round them."""

    strokes: frozenset[int]
    nesting: int
    parent: frozenset[int]


def bodies(wood: Wood, slack: float = 0.0) -> list[Body]:
    """All bodies, from the outermost inwards; grooves are taken `slack` mm wider to either side."""
    cut = wood.clear <= slack
    labels, count = ndimage.label(cut, structure=np.ones((3, 3)))
    ground, outside = _inner(~cut)
    strokes: list[set[int]] = [set() for _ in range(count + 1)]
    for index, stroke in enumerate(wood.strokes):
        column, row = np.floor((stroke.curves[0, 0] - wood.corner) / PIXEL).astype(int)
        strokes[labels[row, column]].add(wood.strokes[index].number)
    return _nested(labels, ground, outside - {0}, [frozenset(one) for one in strokes])


def _nested(labels: Ints, ground: Ints, outside: set[int], strokes: list[frozenset[int]]) -> list[Body]:
    """Walk from the ground outside over the bodies in it to the ground in their holes, and so on."""
    sides = [(labels[:, :-1], ground[:, 1:]), (labels[:, 1:], ground[:, :-1])]
    sides += [(labels[:-1], ground[1:]), (labels[1:], ground[:-1])]
    count = int(ground.max()) + 1
    touching = {
        divmod(pair, count)
        for body, land in sides
        for pair in np.unique((body * count + land)[(body > 0) & (land > 0)]).tolist()
    }
    found: list[Body] = []
    seen: set[int] = set()
    grounds, parent, nesting = outside, {one: frozenset[int]() for one in outside}, 0
    while grounds:
        inner: dict[int, frozenset[int]] = {}
        for body, land in sorted(touching):
            if land in grounds and body not in seen:
                seen.add(body)
                found.append(Body(strokes[body], nesting, parent[land]))
                around = {g for b, g in touching if b == body} - grounds - set(parent)
                inner |= dict.fromkeys(around, strokes[body])
        parent |= inner
        grounds, nesting = set(inner), nesting + 1
    return found
