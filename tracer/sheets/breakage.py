"""Where wood breaks away: standing wood too thin to hold, and crests between grooves that run together."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import polyline
from tracer.model.drawing import Stroke
from tracer.model.plan import Island, Land, Plan
from tracer.sheets.relief import distance_map

Array = NDArray[np.float64]
Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

_STEP = 0.2  # mm between the places along a crest
_HIGH = 0.4  # share of both half widths from which on the wood between two grooves' middles is a crest
_CREST = 0.3  # half width of what breaks off a crest, mm
_SLACK = 0.5, 1.5  # mm, and pixels, by which a patch of the picture may be larger than its island
_FIBRES = (0.25, 1.5)  # mm across and along the grain over which a break is alike


def torn(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return which pixels (H, W) of `depth`, made by `depth_map` at `px_per_mm`, break away.

    Islands narrower than a pixel are not seen; nor is their breaking.
    """
    return _islands(plan, depth, px_per_mm) | _crests(plan, depth, px_per_mm)


def broken(plan: Plan, depth: Map, mask: Mask, px_per_mm: float) -> Map:
    """Return `depth` (mm) with the pixels of `mask` torn along the grain, about as deep as the grooves."""
    from scipy.ndimage import gaussian_filter

    if not mask.any():
        return depth
    turn = np.radians(plan.layout.board.grain_deg)
    across, along = (length * px_per_mm for length in _FIBRES)
    lying, upright = abs(np.cos(turn)), abs(np.sin(turn))
    sigma = (across * lying + along * upright, along * lying + across * upright)
    noise = gaussian_filter(np.random.default_rng(1).standard_normal(depth.shape).astype(np.float32), sigma)
    rough = np.clip(0.7 + 0.09 * noise / max(float(noise.std()), 1e-9), 0.35, 1.0)
    deepest = np.float32(max(stop.depth for stop in plan.stops))
    return np.where(mask, np.maximum(depth, deepest * rough), depth).astype(np.float32)


def _islands(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return the pixels of the islands that break: the whole wood round each one's place."""
    from scipy.ndimage import find_objects, label

    breaking = [island for island in plan.islands if island.breaks]
    if not breaking:
        return np.zeros(depth.shape, bool)
    patches, count = label(depth <= 0)
    boxes = find_objects(patches)
    gone = np.zeros(count + 1, bool)
    for island in breaking:
        number = _patch_at(patches, island, px_per_mm)
        gone[number] = number > 0 and _fits(boxes[number - 1], island, px_per_mm)
    mask: Mask = gone[patches]
    return mask


def _patch_at(patches: NDArray[np.signedinteger], island: Island, px_per_mm: float) -> int:
    """Return the patch at an island's place or next to it, 0 where there is none."""
    column, row = (int(value * px_per_mm) for value in island.where)
    near = patches[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2]
    return int(near.max(initial=0))


def _fits(box: tuple[slice, ...], island: Island, px_per_mm: float) -> bool:
    """Whether a patch is no larger than the island, and so is not the wood round about."""
    tall, wide = (side.stop - side.start for side in box)
    width, height = ((side + _SLACK[0]) * px_per_mm + _SLACK[1] for side in island.size)
    return bool(wide <= width and tall <= height)


def _crests(plan: Plan, depth: Map, px_per_mm: float) -> Mask:
    """Return the pixels of what stands, lower than the face, between two grooves that run together."""
    strokes = {stroke.number: stroke for stroke in plan.cut}
    half = {groove.stroke: groove.width / 2 for groove in plan.grooves}
    merged = [land for land in plan.lands if land.width < 0 and half.keys() >= set(land.strokes)]
    lines = [line for land in merged for line in _crest(land, strokes, half)]
    if not lines:
        return np.zeros(depth.shape, bool)
    near: Mask = distance_map(lines, _CREST, (depth.shape[0], depth.shape[1]), px_per_mm=px_per_mm) <= _CREST
    return near & (depth > 0)


def _crest(land: Land, strokes: dict[int, Stroke], half: dict[int, float]) -> Iterator[Array]:
    """Return the middles (n, 2) between two grooves where they overlap and still have a crest, wood mm."""
    first, second = land.strokes
    if first == second:
        return
    reach = land.length / 2 + half[first] + half[second]
    a, b = (_near(strokes[number], land.where, reach) for number in land.strokes)
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


def _near(stroke: Stroke, where: tuple[float, float], reach: float) -> Array:
    """Return the places (n, 2) along a stroke within `reach` of a point, mm."""
    points = polyline.resample(stroke.points(_STEP / 10), _STEP)
    near: Array = points[np.hypot(*(points - where).T) <= reach]
    return near
