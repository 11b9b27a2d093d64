"""A drawing: smooth strokes, and where they meet."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Side
from tracer.geometry import affine, bezier
from tracer.geometry.flatten import flatten
from tracer.model.ink import Mend
from tracer.model.marks import Marks
from tracer.model.quality import Quality

Array = NDArray[np.float64]
Kind = Literal["line", "edge", "dot"]


@dataclass(frozen=True, eq=False)
class Stroke:
    """One smooth curve to follow with the stylus.

    Attributes
    ----------
    number : stable for the same input, from 1, shown on every picture.
    curves : (n, 4, 2) cubics, each beginning where the one before ends; the frame is its
        holder's (a Drawing's: art pixels; a Layout's: wood mm). A dot is one cubic with
        all four points equal.
    closed : the last cubic ends where the first begins.
    kind : "line" along a line's middle, "edge" along the outline of a solid, "dot".
    widths : (m,) drawn widths evenly spaced by arc length from start to end (m >= 1), in the
        frame's unit; None where the stroke has no width (edges, single-stroke letters).
    """

    number: int
    curves: Array
    closed: bool
    kind: Kind
    widths: Array | None = None

    @cached_property
    def width(self) -> float | None:
        """Median drawn width in the frame's unit, None where there is none."""
        return None if self.widths is None else float(np.median(self.widths))

    @cached_property
    def length(self) -> float:
        """Arc length in the frame's unit."""
        return bezier.length(self.curves)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Extent (x0, y0, x1, y1) of the middle line in the frame."""
        return bezier.bounds(self.curves)

    def points(self, tolerance: float) -> Array:
        """Return a polyline (m, 2) within `tolerance` (the frame's unit) of the stroke."""
        return flatten(self.curves, tolerance)

    def transformed(self, matrix: affine.Affine, *, number: int | None = None) -> "Stroke":
        """Return the stroke in another frame; `matrix` (2, 3) must keep angles."""
        return replace(
            self,
            number=self.number if number is None else number,
            curves=affine.apply(matrix, self.curves),
            widths=None if self.widths is None else self.widths * affine.scale_of(matrix),
        )


@dataclass(frozen=True, eq=False)
class Joint:
    """A point where strokes meet, cross or touch themselves.

    Attributes
    ----------
    point : (2,) in the frame of the strokes.
    members : (stroke number, place t on its chain) of all that meet there; a stroke that
        passes through itself stands twice.
    """

    point: Array
    members: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Region:
    """A solid area: its outer edge stroke, the inner ones, and the side its groove lies on.

    `clear`: beyond the groove along its edge all wood on that side goes, too.
    """

    outer: int
    inner: tuple[int, ...] = ()
    side: Side = "on"
    clear: bool = False


@dataclass(frozen=True, eq=False)
class Drawing:
    """All strokes of a picture or of words, in art pixels; knows nothing of finished size.

    Attributes
    ----------
    strokes : in the order of their numbers.
    joints : where they meet.
    size_px : (width, height) of the art in pixels.
    mm_per_px : size of a pixel on the art's own paper in mm, or None.
    scale_source : where `mm_per_px` comes from, in words.
    line_width : typical width of the drawn lines in pixels, 0 where there are none.
    tolerance : largest distance in pixels between the refined centres and the cubics.
    regions : the solids.
    mends : what the clean-up changed.
    name, sha256 : what the art is called, and the digest of its file.
    notes : what was done on reading, in words.
    size_doubt : by what part of itself the art's own size may be wrong.
    quality : how good the picture was; None where there was none.
    marks : where the letters of words stand; None for pictures.
    """

    strokes: tuple[Stroke, ...]
    joints: tuple[Joint, ...]
    size_px: tuple[int, int]
    mm_per_px: float | None = None
    scale_source: str = "unknown"
    line_width: float = 0.0
    tolerance: float = 0.0
    regions: tuple[Region, ...] = ()
    mends: tuple[Mend, ...] = ()
    name: str = "drawing"
    sha256: str = ""
    notes: tuple[str, ...] = field(default=())
    size_doubt: float = 0.0
    quality: Quality | None = None
    marks: Marks | None = None

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Extent (x0, y0, x1, y1) between outermost stroke middles, art pixels."""
        return extent(self.strokes)


def extent(strokes: tuple[Stroke, ...]) -> tuple[float, float, float, float]:
    """Return the extent (x0, y0, x1, y1) of the strokes' middles, all zero without strokes."""
    if not strokes:
        return 0.0, 0.0, 0.0, 0.0
    return bezier.bounds(np.concatenate([stroke.curves for stroke in strokes]))
