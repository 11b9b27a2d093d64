"""Synthetic drawings whose middles are known: drawn eight times too large, then averaged down."""

from collections.abc import Sequence

import cv2
import numpy as np
import shapely

from tracer.art.read import scan_of
from tracer.model.drawing import Drawing, Stroke
from tracer.model.scan import Scan
from tracer.raster.ink import find_ink
from tracer.reading import AS_IT_IS, Reading
from tracer.vector.strokes import find_strokes

FINER = 8


class Page:
    """White paper in art pixels (x right, y down, the first pixel's centre at (0.5, 0.5)); ink is black."""

    def __init__(self, width: int = 300, height: int = 200) -> None:
        self.fine = np.full((height * FINER, width * FINER), 255, np.uint8)

    def line(self, *points: tuple[float, float], width: float = 8.0) -> "Page":
        """A round pen of `width` pixels along a polyline."""
        return self._ink(shapely.LineString(points).buffer(width / 2, quad_segs=32))

    def ring(self, x: float, y: float, radius: float, width: float = 8.0) -> "Page":
        """A round pen round a circle."""
        circle = shapely.Point(x, y).buffer(radius, quad_segs=128).exterior
        return self._ink(circle.buffer(width / 2, quad_segs=32))

    def disc(self, x: float, y: float, radius: float) -> "Page":
        """A filled circle."""
        return self._ink(shapely.Point(x, y).buffer(radius, quad_segs=128))

    def solid(self, *points: tuple[float, float]) -> "Page":
        """A filled polygon."""
        return self._ink(shapely.Polygon(points))

    def _ink(self, area: shapely.Polygon) -> "Page":
        # fillPoly counts pixel centres from (0, 0): a fine pixel's centre at (0.5, 0.5) hence the half.
        rings = [area.exterior, *area.interiors]
        fixed = [np.round((np.array(r.coords) * FINER - 0.5) * 256).astype(np.int32) for r in rings]
        mask = np.zeros_like(self.fine)
        cv2.fillPoly(mask, fixed, 1, shift=8)
        self.fine[mask > 0] = 0
        return self

    @property
    def grey(self) -> np.ndarray:
        """The page (H, W) as a scanner sees it."""
        height, width = (n // FINER for n in self.fine.shape)
        return cv2.resize(self.fine, (width, height), interpolation=cv2.INTER_AREA)

    @property
    def scan(self) -> Scan:
        return scan_of(self.grey)

    @property
    def drawing(self) -> Drawing:
        return traced(self.grey)

    @property
    def as_drawn(self) -> Drawing:
        """The drawing with all gaps left open."""
        return traced(self.grey, reading=Reading(close_gaps=False))


def traced(grey: np.ndarray, tolerance: float | None = None, reading: Reading = AS_IT_IS) -> Drawing:
    """The drawing of a grey or coloured array."""
    scan = scan_of(grey)
    return find_strokes(scan, find_ink(scan, reading), tolerance=tolerance)


def ends_of(stroke: Stroke) -> np.ndarray:
    """Both ends (2, 2), the left (then the upper) one first."""
    ends = np.array([stroke.curves[0, 0], stroke.curves[-1, -1]])
    return ends[np.lexsort((ends[:, 1], ends[:, 0].round(0)))]


def departure(stroke: Stroke, *points: tuple[float, float]) -> float:
    """The largest distance from a stroke to the polyline it should be."""
    dense = shapely.points(stroke.points(0.01))
    return float(shapely.distance(dense, shapely.LineString(points)).max())


def kinds(drawing: Drawing) -> Sequence[str]:
    return sorted(stroke.kind for stroke in drawing.strokes)
