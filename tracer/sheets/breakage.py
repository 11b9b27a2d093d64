"""Where wood breaks away: standing wood too thin to hold, and crests between grooves that run together."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.plan import Island, Land, Plan
from tracer.sheets.distances import distance_map
from tracer.sheets.relief import part_holding, polylines

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

_STEP = 0.2  # mm between the places along a crest
_HIGH = 0.4  # share of both half widths from which on the wood between two grooves' middles is a crest
_CREST = 0.3  # half width of what breaks off a crest, mm
_SLACK = 0.5, 1.5  # mm, and pixels, by which a patch of the picture may be larger than its island
_FIBRES = (0.5, 3.5)  # mm across and along the grain over which a break is alike
_TORN = 0.58, 0.7  # shares of the deepest groove between which wood is torn out
_MANY = 97  # fibres after which the pattern comes again


def torn(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return which pixels (H, W) of `depth`, made by `depth_map` at `px_per_mm`, break away.

    Islands narrower than a pixel are not seen; nor is their breaking.
    """
    return _islands(plan, depth, px_per_mm) | _crests(plan, depth, px_per_mm)


def broken(plan: Plan, depth: Map, mask: Mask, px_per_mm: float) -> Map:
    """Return `depth` (mm) with the pixels of `mask` torn along the grain, not quite as deep as the grooves.

    The wall of a groove goes with the wood behind it, as far down as that is torn.
    """
    if not mask.any():
        return depth
    reach = int(max(groove.width for groove in plan.grooves) / 2 * px_per_mm)
    part = part_holding(mask, reach)
    wall = _grown(mask[part] & (depth[part] <= 0), reach) & (depth[part] > 0)
    rows, columns = (own + held.start for own, held in zip(np.nonzero(mask[part] | wall), part, strict=True))
    deepest = np.float32(max(stop.depth for stop in plan.stops))
    torn_to = deepest * _fibres(rows / px_per_mm, columns / px_per_mm, plan.layout.board.grain_deg)
    result = depth.copy()
    result[rows, columns] = np.maximum(depth[rows, columns], torn_to)
    return result


def _grown(mask: Mask, by: int) -> Mask:
    """Return the mask grown by `by` pixels along rows and columns, twice as far with each step."""
    grown = np.pad(mask, by)
    for axis in (0, 1):
        reach = 0
        while reach < by:
            step = min(reach + 1, by - reach)
            for way in (step, -step):
                grown |= np.roll(grown, way, axis)
            reach += step
    rows, columns = mask.shape
    return grown[by : by + rows, by : by + columns]


def _fibres(down: Array, right: Array, grain_deg: float) -> Map:
    """Return how deep, as a share, wood is torn at places in mm: alike along each of its fibres."""
    turn = np.radians(grain_deg)
    along = (right * np.cos(turn) + down * np.sin(turn)) / _FIBRES[1]
    across = (down * np.cos(turn) - right * np.sin(turn)) / _FIBRES[0]
    table = np.random.default_rng(1).uniform(*_TORN, (_MANY, _MANY))
    row, place = np.floor(across).astype(int), np.floor(along).astype(int)
    down_by, right_by = _eased(across - row), _eased(along - place)
    one, other = (
        (1 - right_by) * table[line % _MANY, place % _MANY]
        + right_by * table[line % _MANY, (place + 1) % _MANY]
        for line in (row, row + 1)
    )
    share: Map = ((1 - down_by) * one + down_by * other).astype(np.float32)
    return share


def _eased(part: Array) -> Array:
    """Return a way from 0 to 1 that begins and ends gently."""
    return part * part * (3 - 2 * part)


def _islands(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return the pixels of the islands that break: the whole wood round each one's place."""
    gone = np.zeros(depth.shape, bool)
    for island in plan.islands:
        if island.breaks:
            _take_out(gone, depth, island, px_per_mm)
    return gone


def _take_out(gone: Mask, depth: Map, island: Island, px_per_mm: float) -> None:
    """Mark the wood at an island's place, or next to it, unless it is larger than the island."""
    import cv2

    column, row = (int(value * px_per_mm) for value in island.where)
    wide, tall = (int((side + _SLACK[0]) * px_per_mm + _SLACK[1]) + 1 for side in island.size)
    top, left = max(0, row - tall), max(0, column - wide)
    wood = (depth[top : row + tall + 1, left : column + wide + 1] <= 0).astype(np.uint8)
    patches = cv2.connectedComponents(wood, connectivity=4)[1]
    row, column = row - top, column - left
    number = int(patches[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2].max(initial=0))
    if number == 0:
        return
    patch = patches == number
    rows, columns = np.flatnonzero(patch.any(axis=1)), np.flatnonzero(patch.any(axis=0))
    if rows[-1] - rows[0] < tall and columns[-1] - columns[0] < wide:
        gone[top : top + patch.shape[0], left : left + patch.shape[1]] |= patch


def _crests(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return the pixels of what stands, lower than the face, between two grooves that run together."""
    half = {groove.stroke: groove.width / 2 for groove in plan.grooves}
    merged = [land for land in plan.lands if land.width < 0 and half.keys() >= set(land.strokes)]
    named = {number for land in merged for number in land.strokes}
    known = [stroke for stroke in plan.cut if stroke.number in named]
    along = polyline.resample_all(polylines(known, _STEP / 10), _STEP)
    spots = {stroke.number: points for stroke, points in zip(known, along, strict=True)}
    lines = [line for land in merged for line in _crest(land, spots, half)]
    if not lines:
        return np.zeros(depth.shape, bool)
    near: Mask = distance_map(lines, _CREST, (depth.shape[0], depth.shape[1]), px_per_mm=px_per_mm) <= _CREST
    return near & (depth > 0)


def _crest(land: Land, spots: dict[int, Array], half: dict[int, float]) -> Iterator[Array]:
    """Return the middles (n, 2) between two grooves where they overlap and still have a crest, wood mm."""
    first, second = land.strokes
    if first == second:
        return
    reach = land.length / 2 + half[first] + half[second]
    a, b = (_near(spots[number], land.where, reach) for number in land.strokes)
    if not (len(a) and len(b)):
        return
    apart = np.hypot(*(a[:, None] - b[None]).transpose(2, 0, 1))
    nearest = apart.argmin(axis=1)
    gap = apart[np.arange(len(a)), nearest] / (half[first] + half[second])
    crest = (gap > _HIGH) & (gap < 1)
    middles = (a + b[nearest]) / 2
    for stretch in np.split(np.arange(len(a)), np.flatnonzero(np.diff(crest.astype(int))) + 1):
        if crest[stretch[0]] and len(stretch) > 1:
            yield middles[stretch]


def _near(points: Array, where: tuple[float, float], reach: float) -> Array:
    """Return those of `points` (n, 2) within `reach` of a place, mm."""
    near: Array = points[np.hypot(*(points - where).T) <= reach]
    return near
