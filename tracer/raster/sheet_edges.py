"""The edges of a sheet in a photograph to a small part of a pixel, and how straight they are."""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.lens import Lens, bow_of

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
Strip = NDArray[np.float32]

_LIGHT = (
    np.array(
        [((v + 14.025) / 269.025) ** 2.4 if v > 10.31475 else v / 12.92 / 255 for v in range(256)], np.float32
    )
    * 255
)
"""The light that grey levels stand for (IEC 61966-2-1): a lens blurs light, so an edge is half way in it."""

_MOST = 200
"""Places at which an edge is measured."""

_MEAN = 4
"""Pixels along the edge whose mean is one measurement: noise goes down by half."""

_HALF = 3
"""Pixels to each side that a slope is measured over: about the blur of a sharp photograph."""

_PLATEAU = 8
"""Pixels from the edge up to which paper and table are measured, beyond _HALF."""

_REACH = _PLATEAU + 6
"""Pixels to each side that are looked at once the edge is known to a few."""

_BENT = 0.02
"""Part of its length by which a curled sheet's edge may bow, for which is looked."""

_CLEAR = 0.25
"""Part of the usual step that a place's own must have: shadows take more than half, a hand all."""

_SURE = 1.0
"""Pixels off the fitted curve up to which a place lies on the edge."""


_WHOLE = 0.6
"""Part of an edge over which it must be seen for its bow to be told."""

_POINTS = 11
"""Points by which an edge's curve is told."""


@dataclass(frozen=True, eq=False)
class Edge:
    """One edge of the sheet, as measured.

    Attributes
    ----------
    normal, offset : the line, art px: normal . point = offset; the normal points into the sheet.
    length : px between the corners.
    points : (m, 2) art px, evenly along it from corner to corner, on the curve it was found on.
    seen : part of the edge that lies in the picture.
    on : part of the places looked at where the edge was found.
    hidden : longest run of places without it, as part of the edge.
    ends : whether it was found next to its two corners.
    """

    normal: Array
    offset: float
    length: float
    points: Array
    seen: float
    on: float
    hidden: float
    ends: tuple[bool, bool]

    @property
    def bow(self) -> float:
        """Part of its length by which its middle lies off its chord, to either side."""
        return abs(bow_of(self.points))


def measured_edges(picture: Picture, corners: Array, doubt: float) -> list[Edge]:
    """Return the edges from each corner (4, 2) to the next; they are known to `doubt` art px."""
    return [_edge(picture, corners[k], corners[(k + 1) % 4], doubt) for k in range(4)]


def corners_of(edges: list[Edge]) -> Array:
    """Return where each edge meets the one before it (4, 2), art px."""
    meet = []
    for k in range(4):
        pair = edges[k - 1], edges[k]
        meet.append(np.linalg.solve([e.normal for e in pair], [e.offset for e in pair]))
    return np.array(meet)


def without_lens(edge: Edge, lens: Lens) -> Edge:
    """Return an edge as it would lie in a picture without the lens."""
    points = lens.unbent(edge.points)
    middle = points.mean(axis=0)
    normal = np.linalg.svd(points - middle)[2][1]
    normal = normal if normal @ edge.normal > 0 else -normal
    return replace(edge, points=points, normal=normal, offset=float(normal @ middle))


def _edge(picture: Picture, a: Array, b: Array, doubt: float) -> Edge:
    """Measure the edge from a to b; the sheet lies to the right of it as seen (y down)."""
    length = math.hypot(*(b - a))
    along = (b - a) / length
    normal = np.array([-along[1], along[0]])
    places = np.linspace(0.015, 0.985, max(24, min(_MOST, int(length / _MEAN)))) * length
    reach = max(_REACH, math.ceil(doubt))
    places = places[_inside(picture, a + along * places[:, None], normal, 2.0)]
    if len(places) < 12:
        straight = np.array([a, (a + b) / 2, b])
        return Edge(
            normal, float(normal @ a), length, straight, len(places) / _MOST, 0.0, 1.0, (False, False)
        )
    frame = a, along, normal
    strip = _strip(picture, frame, places, np.zeros(len(places)), reach)
    slopes = _slopes(_one_channel(strip))
    start = _line_through(slopes, doubt)
    curve = _curve(places, length, _near(slopes, start, max(4.0, _BENT * length)), reach)
    at = _along(curve, places, length)
    for _ in range(2):
        tones = _one_channel(_strip(picture, frame, places, at, _REACH))
        crossings, clear = _crossings(tones)
        off = at + crossings
        curve, on = _robust(places, length, off, clear, at)
        at = _along(curve, places, length)
    return _told(frame, length, places, curve, on)


def _told(
    frame: tuple[Array, Array, Array], length: float, places: Array, curve: Array, on: NDArray[np.bool_]
) -> Edge:
    """Put what was measured into words."""
    a, along, normal = frame
    bend, tilt, level = curve
    tilted = normal - along * (tilt / (length / 2))
    size = math.hypot(*tilted)
    middle = (
        a + along * (length / 2) + normal * (level + bend / 3)
    )  # the straight line nearest to the parabola
    whole = on.any() and np.ptp(places[on]) > _WHOLE * length
    unit = np.linspace(-1, 1, _POINTS)
    off = bend * unit**2 + tilt * unit + level if whole else tilt * unit + level + bend / 3
    total = max(24, min(_MOST, int(length / _MEAN)))
    runs = np.diff(np.flatnonzero(np.concatenate([[True], on, [True]])))
    few = max(2, total // 25)
    return Edge(
        normal=tilted / size,
        offset=float(tilted @ middle) / size,
        length=length,
        points=a + along * ((unit[:, None] + 1) * length / 2) + normal * off[:, None],
        seen=len(places) / total,
        on=float(on.mean()),
        hidden=float(runs.max() - 1) / total,
        ends=(bool(on[:few].any()), bool(on[-few:].any())),
    )


def _inside(picture: Picture, points: Array, normal: Array, margin: float) -> NDArray[np.bool_]:
    """Say which points (n, 2) lie in the picture with `margin` px to each side of the edge."""
    height, width = picture.shape[:2]
    reach = np.abs(normal) * margin
    return np.asarray(
        (points[:, 0] > reach[0]) & (points[:, 0] < width - reach[0])
        & (points[:, 1] > reach[1]) & (points[:, 1] < height - reach[1])
    )  # fmt: skip


def _strip(
    picture: Picture, frame: tuple[Array, Array, Array], places: Array, shifts: Array, reach: int
) -> Strip:
    """Return the picture along an edge (n, 2 reach + 1, c): a row for each place, from outside to inside."""
    a, along, normal = frame
    beside = (np.arange(_MEAN) - (_MEAN - 1) / 2)[None, :, None]
    across = np.arange(-reach, reach + 1)[None, None]
    t, d = np.broadcast_arrays(places[:, None, None] + beside, shifts[:, None, None] + across)
    x = (a[0] + along[0] * t + normal[0] * d - 0.5).astype(np.float32).reshape(-1, 2 * reach + 1)
    y = (a[1] + along[1] * t + normal[1] * d - 0.5).astype(np.float32).reshape(-1, 2 * reach + 1)
    pixels = cv2.remap(picture, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    shaped = _LIGHT[pixels].reshape(len(places), _MEAN, 2 * reach + 1, -1)
    return np.asarray(shaped.mean(axis=1), np.float32)


def _one_channel(strip: Strip) -> Strip:
    """Return a strip (n, m) in that mixture of its channels in which paper and table differ most."""
    middle = strip.shape[1] // 2
    step = np.median(
        strip[:, middle + _HALF + 1 :].mean(axis=1) - strip[:, : middle - _HALF].mean(axis=1), axis=0
    )
    mixture = np.maximum(step, 0) if step.max() > 0 else np.ones_like(step)
    return np.asarray(strip @ (mixture / mixture.sum()), np.float32)


def _slopes(tones: Strip) -> Strip:
    """Return by how much brighter (n, m) it is just inside a place than just outside, at least 0."""
    kernel = np.concatenate([-np.ones(_HALF), [0], np.ones(_HALF)]).astype(np.float32)[None] / _HALF
    return np.asarray(np.maximum(cv2.filter2D(tones, cv2.CV_32F, kernel, borderType=cv2.BORDER_REPLICATE), 0))


def _line_through(slopes: Strip, doubt: float) -> Array:
    """Return the shifts (n,) of the straight line along which the slopes are steepest.

    All lines from any shift at the one end to any at the other are tried; no slope counts
    for more than the usual one, so that a bright spot is no louder than the edge.
    """
    n, m = slopes.shape
    capped = np.minimum(slopes, np.median(slopes.max(axis=1)))
    ends = np.arange(m, step=max(1, m // 40))
    some = np.unique(np.linspace(0, n - 1, 60).astype(np.intp))
    part = some / max(n - 1, 1)
    line = ends[:, None, None] * (1 - part) + ends[None, :, None] * part
    sums = capped[some, np.round(line).astype(np.intp)].sum(axis=-1)
    off = (ends - m // 2) / doubt
    sums = sums * np.exp(-0.1 * (off[:, None] ** 2 + off[None] ** 2))
    i, j = np.unravel_index(int(np.argmax(sums)), sums.shape)
    at = np.linspace(0, 1, n)
    return np.asarray(ends[i] * (1 - at) + ends[j] * at - m // 2)


def _near(slopes: Strip, start: Array, reach: float) -> tuple[Array, Array]:
    """Return the shift (n,) of the steepest slope within `reach` px of a line, and that slope."""
    shifts = np.arange(slopes.shape[1]) - slopes.shape[1] // 2
    near = np.where(np.abs(shifts[None] - start[:, None]) <= reach, slopes, -1)
    best = near.argmax(axis=1)
    return shifts[best].astype(np.float64), near[np.arange(len(near)), best].astype(np.float64)


def _curve(places: Array, length: float, found: tuple[Array, Array], reach: int) -> Array:
    """Return the parabola through the steepest slopes, those far off it left out."""
    shifts, steep = found
    curve = np.zeros(3)
    weight = (steep >= _CLEAR * np.median(steep)).astype(np.float64)
    for scale in (reach, reach / 2, 4.0, 2.0, 2.0):
        curve = _parabola(_unit(places, length), shifts, weight)
        off = np.abs(shifts - np.polyval(curve, _unit(places, length)))
        weight = np.where(steep >= _CLEAR * np.median(steep), 1 / (1 + (off / scale) ** 2) ** 2, 0.0)
    return curve


def _crossings(tones: Strip) -> tuple[Array, NDArray[np.bool_]]:
    """Return where each row (n, m) is half way from table to paper, px from its middle, and whether."""
    n, m = tones.shape
    middle = m // 2
    slopes = _slopes(tones)[:, middle - 4 : middle + 5]
    peak = slopes.argmax(axis=1) + middle - 4
    inner = _mean_at(tones, peak, _HALF + 1, _PLATEAU)
    outer = _mean_at(tones, peak, -_PLATEAU, -_HALF - 1)
    half = ((inner + outer) / 2)[:, None]
    columns = np.arange(m - 1)[None]
    crosses = (tones[:, :-1] <= half) & (tones[:, 1:] > half)
    far = np.where(crosses, np.abs(columns + 0.5 - peak[:, None]), m)
    at = far.argmin(axis=1)
    rows = np.arange(n)
    low, high = tones[rows, at], tones[rows, at + 1]
    where = at + (half[:, 0] - low) / np.maximum(high - low, 1e-3) - middle
    step = inner - outer
    clear = (step > _CLEAR * np.median(step)) & (far[rows, at] <= _HALF + 1)
    return where.astype(np.float64), clear


def _mean_at(tones: Strip, peak: NDArray[np.intp], low: int, high: int) -> Strip:
    """Return the mean tone (n,) of columns `low` to `high` px from each row's peak."""
    columns = np.clip(peak[:, None] + np.arange(low, high + 1)[None], 0, tones.shape[1] - 1)
    return np.asarray(np.take_along_axis(tones, columns, axis=1).mean(axis=1))


def _robust(
    places: Array, length: float, off: Array, clear: NDArray[np.bool_], before: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Return the parabola through the crossings, and which of them lie on it."""
    unit = _unit(places, length)
    curve = _parabola(unit, before, np.ones(len(unit)))
    scale = 3.0
    for _ in range(6):
        apart = np.abs(off - np.polyval(curve, unit))
        weight = np.where(clear, 1 / (1 + (apart / scale) ** 2) ** 2, 0.0)
        if np.count_nonzero(weight > 0.1) < 8:
            return curve, np.zeros(len(unit), bool)
        curve = _parabola(unit, off, weight)
        scale = max(0.3, scale / 2)
    return curve, clear & (np.abs(off - np.polyval(curve, unit)) < _SURE)


def _parabola(unit: Array, values: Array, weight: Array) -> Array:
    """Return the coefficients (3,), highest first, of the parabola nearest to weighted values (n,).

    Where the values lie on less than half of the edge it is a straight line: what is seen
    says nothing of the bow.
    """
    used = weight > 0.05
    degree = 2 if np.count_nonzero(used) >= 8 and np.ptp(unit[used]) > 1.0 else 1
    powers = np.vander(unit, degree + 1)
    weighted = powers * weight[:, None]
    solved = np.linalg.solve(weighted.T @ powers + 1e-9 * np.eye(degree + 1), weighted.T @ values)
    return np.concatenate([np.zeros(2 - degree), solved])


def _along(curve: Array, places: Array, length: float) -> Array:
    """Return a parabola's shifts (n,) at places along an edge."""
    return np.asarray(np.polyval(curve, _unit(places, length)), np.float64)


def _unit(places: Array, length: float) -> Array:
    """Return places along an edge as -1 at its one corner to 1 at the other."""
    return 2 * places / length - 1
