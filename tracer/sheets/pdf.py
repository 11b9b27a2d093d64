"""Drawing pages in true millimetres, x right and y down, into a PDF whose bytes depend on its input alone."""

import calendar
import datetime
import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from tracer.sheets.pdf_layers import Layers
from tracer.sheets.pdf_letters import FONTS, fonts, shown, spans, width_of
from tracer.sheets.pdf_paths import CIRCLE, chain, polygons

Array = NDArray[np.float64]
Points = NDArray[np.float64] | Sequence[Sequence[float] | NDArray[np.float64]] | Sequence["Points"]
Colour = tuple[float, float, float]
Anchor = Literal["left", "middle", "right"]

BLACK: Colour = (0.0, 0.0, 0.0)
GREY: Colour = (0.45, 0.45, 0.45)
WHITE: Colour = (1.0, 1.0, 1.0)

POINT = 25.4 / 72
"""mm of one point, the unit of a PDF's pages and of type sizes."""

_UP = np.array([1.0, -1.0])  # from y down to y up


class Pdf:
    """A PDF being written: all coordinates mm of true size on the current page, y down.

    `stretch` (along x, along y) makes up for a printer that prints too small or too
    large: a page drawn with 100 / 99.2 has a 100 mm line that is 100.81 mm in the file.
    """

    def __init__(self, path: Path, *, title: str, date: datetime.date) -> None:
        from reportlab.pdfgen.canvas import Canvas

        fonts()
        self._canvas: Any = Canvas(
            str(path),
            invariant=1,
            pageCompression=1,
            pdfVersion=(1, 5),
            initialFontName=FONTS[False][0],
        )
        self._layers = Layers(self._canvas)
        self._canvas.setTitle(shown(title))
        self._canvas.setAuthor("")
        self._canvas.setSubject("print at actual size")
        self._canvas.setCreator("tracer")
        self._canvas.setViewerPreference("PrintScaling", "None")
        _stamp(self._canvas, date)
        self._pages = 0
        self._scale, self._foot, self._shift = np.ones(2), np.zeros(2), np.zeros(2)
        self._set: dict[str, object] = {}
        self._said: dict[tuple[str, float, bool], str] = {}

    def page(self, width: float, height: float, *, stretch: tuple[float, float] = (1.0, 1.0)) -> None:
        """Begin a page on paper of `width` x `height` mm."""
        if self._pages:
            self._canvas.showPage()
        self._pages += 1
        self._scale = np.array(stretch) / POINT * _UP
        self._foot = self._shift = np.array([0.0, -height / stretch[1]])
        self._canvas.setPageSize((width / POINT, height / POINT))
        for box in ("crop", "trim"):
            self._canvas.setCropBox((0, 0, width / POINT, height / POINT), box)
        self._canvas.setLineCap(1)
        self._canvas.setLineJoin(1)
        self._set = {}

    def save(self) -> None:
        """Finish the last page and write the file."""
        self._canvas.showPage()
        self._layers.finish()
        self._canvas.save()

    @contextmanager
    def layer(self, name: str) -> Iterator[None]:
        """Put what is drawn on a layer that a viewer can hide; layers of one name on all pages are one."""
        self._layers.begin(name)
        yield
        self._layers.end()

    def curves(
        self, curves: Array, *, width: float, colour: Colour, dash: Sequence[float] = (), closed: bool = False
    ) -> None:
        """Draw a chain of cubics (n, 4, 2), one beginning where the other ends."""
        self.stroke(self.paths([(curves, closed)]), width=width, colour=colour, dash=dash)

    def paths(self, chains: Sequence[tuple[Array, bool]]) -> list[str]:
        """Return the paths of chains of cubics (n, 4, 2), which may be closed, to be drawn in this window."""
        placed = self._place(np.concatenate([np.empty((0, 4, 2)), *(curves for curves, _ in chains)]))
        ends = np.cumsum([0, *(len(curves) for curves, _ in chains)]).tolist()
        return [
            chain(placed[start:end], closed=closed)
            for start, end, (_, closed) in zip(ends, ends[1:], chains, strict=False)
        ]

    def stroke(
        self, paths: Iterable[str], *, width: float, colour: Colour, dash: Sequence[float] = ()
    ) -> None:
        """Draw along paths."""
        self._pen(width, colour, dash)
        for path in paths:
            self._write(path, "S")

    def line(
        self,
        points: Points,
        *,
        width: float,
        colour: Colour = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw straight lines through `points` (n, 2), or several, each through n of (k, n, 2)."""
        self.stroke(self._polygons(points, closed=False), width=width, colour=colour, dash=dash)

    def polygon(
        self,
        points: Points,
        *,
        fill: Colour | None = None,
        width: float = 0.0,
        colour: Colour = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a closed figure through `points` (n, 2): filled, outlined where `width` > 0, or both.

        Several are each through n of (k, n, 2).
        """
        self._paint(self._polygons(points, closed=True), fill, (width, colour, dash))

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: Colour | None = None,
        line: float = 0.0,
        colour: Colour = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw an upright rectangle with its top left at (x, y), its outline `line` mm thick."""
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self.polygon(corners, fill=fill, width=line, colour=colour, dash=dash)

    def circle(
        self,
        centre: Sequence[float] | Array,
        radius: float,
        *,
        fill: Colour | None = None,
        width: float = 0.0,
        colour: Colour = BLACK,
    ) -> None:
        """Draw a circle: filled, outlined, or both."""
        around = self._place(np.asarray(centre, float) + radius * CIRCLE).reshape(-1, 4, 2)
        self._paint([chain(around, closed=True)], fill, (width, colour, ()))

    def picture(self, grey: NDArray[np.uint8], x: float, y: float, *, px_per_mm: float) -> None:
        """Draw a grey picture (H, W) with its top left corner at (x, y), `px_per_mm` pixels a mm."""
        from PIL import Image
        from reportlab.lib.utils import ImageReader

        rows, columns = grey.shape
        corners = np.array([[x, y], [x + columns / px_per_mm, y + rows / px_per_mm]])
        (left, top), (right, bottom) = self._place(corners).tolist()
        image = ImageReader(Image.fromarray(np.ascontiguousarray(grey)))
        with _bytes():
            self._canvas.drawImage(image, left, bottom, width=right - left, height=top - bottom)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        anchor: Anchor = "left",
        angle_deg: float = 0.0,
        colour: Colour = BLACK,
    ) -> None:
        """Write `words` on the baseline through (x, y), `size` in points; `angle_deg` counter-clockwise."""
        words = shown(words)
        shift = (
            {"left": 0.0, "middle": -0.5, "right": -1.0}[anchor]
            * self.measure(words, size, bold=bold)
            / POINT
        )
        (x, y), turn = self._place(np.array([[x, y]]))[0].tolist(), math.radians(angle_deg)
        along, up = math.cos(turn), math.sin(turn)
        self._colour(colour)
        turned = f"{along:.5f} {up:.5f} {-up:.5f} {along:.5f}" if angle_deg else "1 0 0 1"
        at = f"{x + shift * along:.3f} {y + shift * up:.3f}"
        self._write(f"BT {turned} {at} Tm {self._shown(words, size, bold=bold)}", "ET")

    def measure(self, words: str, size: float, *, bold: bool = False) -> float:
        """Return how many mm wide `words` come out at `size` points."""
        return width_of(shown(words), size, bold=bold) * POINT

    def fit(self, words: str, size: float, room: float, *, bold: bool = False) -> str:
        """Return `words` as shown, cut short with a mark of omission where they exceed `room` mm."""
        words = shown(words)
        if self.measure(words, size, bold=bold) <= room:
            return words
        while words and self.measure(words + "…", size, bold=bold) > room:
            words = words[:-1]
        return words.rstrip() + "…"

    def shrunk(self, words: str, sizes: tuple[float, float], room: float) -> float:
        """Return the first of two sizes where bold `words` at it take at most `room` mm, else the second."""
        return sizes[0] if self.measure(words, sizes[0], bold=True) <= room else sizes[1]

    def wrap(self, words: str, size: float, room: float, *, bold: bool = False) -> list[str]:
        """Return `words` broken into lines at most `room` mm long; a word longer than that is cut short."""
        lines: list[str] = []
        for word in shown(words).split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.measure(longer, size, bold=bold) <= room:
                lines[-1] = longer
            else:
                lines.append(self.fit(word, size, room, bold=bold))
        return lines

    @contextmanager
    def window(
        self, x: float, y: float, size: tuple[float, float], shows: tuple[float, float]
    ) -> Iterator[None]:
        """Within a rectangle of the page at (x, y) draw in the frame where its corner is `shows`."""
        width, height = size
        self._canvas.saveState()
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self._write(self._polygons(corners, closed=True)[0], "W n")
        self._shift = self._foot + np.array([x, y]) - shows
        self._set = {}
        yield
        self._shift = self._foot
        self._set = {}
        self._canvas.restoreState()

    def _shown(self, words: str, size: float, *, bold: bool) -> str:
        """Return the operators that show words; kept, for most words stand on every sheet."""
        from reportlab.pdfbase.pdfmetrics import getFont

        if (words, size, bold) not in self._said:
            document, said = self._canvas._doc, ""
            for name, part in spans(words, bold=bold):
                font = getFont(name)
                for subset, codes in font.splitString(part, document):
                    own = font.getSubsetInternalName(subset, document)
                    said += f"{own} {size:g} Tf ({self._canvas._escape(codes)}) Tj "
            self._said[words, size, bold] = said.rstrip()
        return self._said[words, size, bold]

    def _place(self, points: Array) -> Array:
        """Map true mm, y down, to points, y up."""
        placed: Array = (points + self._shift) * self._scale
        return placed

    def _polygons(self, points: Points, *, closed: bool) -> list[str]:
        """Return the path, or the paths, through points in mm."""
        return polygons(self._place(np.asarray(points, float)), closed=closed)

    def _paint(
        self, paths: Iterable[str], fill: Colour | None, pen: tuple[float, Colour, Sequence[float]]
    ) -> None:
        """Fill paths, outline them with a pen of some width, or both."""
        if pen[0] > 0.0:
            self._pen(*pen)
        if fill is not None:
            self._colour(fill)
        filled, outlined = fill is not None, pen[0] > 0.0
        for path in paths:
            self._write(path, "B" if filled and outlined else "f" if filled else "S")

    def _pen(self, width: float, colour: Colour, dash: Sequence[float]) -> None:
        """Set line width and dashes (mm) and colour."""
        pen = _pen(width, colour, tuple(dash))
        if self._set.get("pen") is not pen:
            self._set["pen"] = pen
            for operator, value in pen:
                self._state(operator, value)

    def _colour(self, colour: Colour) -> None:
        """Set the colour of what is filled and written."""
        self._state("rg", _numbers(colour, 3))

    def _state(self, operator: str, value: str) -> None:
        """Set one thing of the pen, unless it is so already."""
        if self._set.get(operator) != value:
            self._set[operator] = value
            self._write(value, operator)

    def _write(self, operands: str, operator: str) -> None:
        """Write straight into the page: reportlab's own way with numbers takes longer than all else."""
        self._canvas._code.append(f"{operands} {operator}")


@lru_cache(maxsize=256)
def _pen(width: float, colour: Colour, dash: tuple[float, ...]) -> tuple[tuple[str, str], ...]:
    """Return what sets line width and dashes (mm) and colour: operators and their values."""
    dashes = f"[{_numbers(tuple(length / POINT for length in dash), 5)}] 0"
    return ("w", f"{width / POINT:.3f}"), ("RG", _numbers(colour, 3)), ("d", dashes)


@lru_cache(maxsize=256)
def _numbers(values: tuple[float, ...], digits: int) -> str:
    return " ".join(f"{value:.{digits}g}" for value in values)


@contextmanager
def _bytes() -> Iterator[None]:
    """Have reportlab hold pictures as they are, not in ASCII: a fifth smaller, and much sooner."""
    from reportlab import rl_config

    held, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = held


def _stamp(canvas: Any, date: datetime.date) -> None:
    """Give the file the job's date for its own; reportlab's unvarying files otherwise say 2000-01-01."""
    stamp = canvas._doc._timeStamp
    stamp.YMDhms = (date.year, date.month, date.day, 0, 0, 0)
    stamp.t = calendar.timegm(date.timetuple())
