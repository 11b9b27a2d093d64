"""The signs drawn on and beside the track, each told apart by its shape, not by colour alone. True mm."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.sheets.arrows import BACK, HALF, TIP
from tracer.sheets.pdf import BLACK, POINT, WHITE, Colour, Pdf
from tracer.sheets.track import DOT, RING, Line

Array = NDArray[np.float64]

TRACK: Colour = (0.75, 0.0, 0.1)
"""Dark red: shows beside a black stylus, and prints dark where there is no colour."""

AGAIN: Colour = (0.0, 0.2, 0.6)
BAND: Colour = (0.87, 0.87, 0.87)
BOARD: Colour = (0.3, 0.3, 0.3)

HAIRLINE = 0.25
"""mm: thickness of the line to follow."""

NUMBER_SIZE = 12.0
"""Points: the numbers of runs. Their digits are 3.1 mm high and so 18 minutes of arc at 600 mm, arm's length;
16 are the least that can be read well (ISO 9241-303, from memory)."""

WORK_SIZE = 9.0
"""Points: the least size of what is read while working. Its capitals are 2.3 mm high and so 13 minutes of arc
at 600 mm; guides on reading at work places ask for 12 to 16 at the least (from memory)."""

_STOP_DASHES: tuple[tuple[float, ...], ...] = ((), (7.0, 1.4), (7.0, 1.3, 0.4, 1.3))
"""mm: long enough to follow with the stylus, and told apart without colour."""

_SQUARE = np.array([[-0.9, -0.9], [0.9, -0.9], [0.9, 0.9], [-0.9, 0.9]])
_TRIANGLE = np.array([[0.0, -1.25], [1.15, 0.8], [-1.15, 0.8]])
"""Of about a dot's area and within its ring, in radii of the dot."""

_HOLLOW = 0.5
"""mm: line of a start's mark that goes round another."""

CHAIN = (7.0, 1.5, 1.0, 1.5)
"""Dashes of centre lines, as draughtsmen draw them (common practice, no source)."""


def paths_of(pdf: Pdf, lines: Sequence[Line]) -> list[str]:
    """Return the paths of lines, on which they and their bands are drawn in this window."""
    return pdf.paths([(line.curves, line.closed) for line in lines])


def draw_bands(pdf: Pdf, lines: Sequence[Line], paths: Sequence[str]) -> None:
    """Show how wide the grooves will be; `paths` are `paths_of` the lines."""
    for line, path in zip(lines, paths, strict=True):
        if line.dot:
            pdf.circle(line.points[0], line.band / 2, fill=BAND)
        else:
            pdf.stroke([path], width=line.band, colour=BAND)


def stop_dash(stop: int, *, scale: float = 1.0) -> tuple[float, ...]:
    """Return the dashes (mm) by which a depth stop's lines are known: the first whole, then broken."""
    return tuple(length * scale for length in _STOP_DASHES[min(stop, len(_STOP_DASHES)) - 1])


def draw_lines(pdf: Pdf, lines: Sequence[Line], paths: Sequence[str]) -> None:
    """Draw the hairlines to follow, broken as their depth stops say; a dot is a small cross."""
    for line, path in zip(lines, paths, strict=True):
        if line.dot:
            draw_cross(pdf, line.points[0], arm=2.6, colour=TRACK, width=HAIRLINE)
        else:
            pdf.stroke([path], width=HAIRLINE, colour=TRACK, dash=stop_dash(line.stop))


def draw_again(pdf: Pdf, points: Array) -> None:
    """Draw dashes beside a line that is followed a second time."""
    pdf.line(points, width=0.35, colour=AGAIN, dash=(1.8, 1.4))


def draw_hop(pdf: Pdf, points: Array) -> None:
    """Draw dots from one groove on into the next, where no line is."""
    pdf.line(points, width=0.5, colour=AGAIN, dash=(0.01, 1.1))


def draw_arrows(pdf: Pdf, arrows: Array | Sequence[Sequence[float]], *, colour: Colour = TRACK) -> None:
    """Draw the heads of arrows (n, 4): x, y and unit directions dx, dy."""
    if len(arrows):
        pdf.polygon(_heads(np.asarray(arrows, float)), fill=colour)


def arrow_boxes(arrows: Array) -> Array:
    """Return the boxes (n, 4) round the heads of arrows (n, 4)."""
    heads = _heads(arrows)
    return np.hstack([heads.min(axis=1), heads.max(axis=1)])


def _heads(arrows: Array) -> Array:
    """Return the corners (n, 3, 2) of the heads of arrows (n, 4)."""
    along = arrows[:, 2:]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    corners = [TIP * along, HALF * across - BACK * along, -HALF * across - BACK * along]
    heads: Array = arrows[:, None, :2] + np.stack(corners, axis=1)
    return heads


def draw_start(pdf: Pdf, place: Array, stop: int = 1, *, radius: float = DOT, hollow: bool = False) -> None:
    """Mark where the bit goes down: a dot at the first depth stop, a square at the second, a triangle.

    A hollow one goes round the mark of another stop.
    """
    if stop == 1:
        pdf.circle(place, radius, fill=BLACK)
        return
    corners = np.asarray(place) + radius * (_SQUARE if stop == 2 else _TRIANGLE)
    if hollow:
        pdf.polygon(corners, width=_HOLLOW, colour=BLACK)
    else:
        pdf.polygon(corners, fill=BLACK)


def draw_lift(pdf: Pdf, place: Array) -> None:
    """Mark where the bit comes up: a ring, so that it can lie round a start."""
    pdf.circle(place, RING, width=0.35)


def draw_leader(pdf: Pdf, start: Sequence[float] | Array, end: Sequence[float] | Array) -> None:
    """Tie a label that stands far off to its mark; the label is drawn on it."""
    pdf.line([np.asarray(start), np.asarray(end)], width=0.18, colour=BOARD)


def number_size(pdf: Pdf, number: int) -> tuple[float, float]:
    """Return the size (width, height) of a run's number with a little room round it."""
    return pdf.measure(str(number), NUMBER_SIZE, bold=True) + 0.8, NUMBER_SIZE * POINT * 0.73 + 0.8


def draw_number(pdf: Pdf, number: int, box: tuple[float, float, float, float]) -> None:
    """Write a run's number in its box, on white so that the band does not dim it."""
    x0, y0, x1, y1 = box
    pdf.box(x0, y0, x1 - x0, y1 - y0, fill=WHITE)
    pdf.text((x0 + x1) / 2, y1 - 0.4, str(number), NUMBER_SIZE, bold=True, anchor="middle")


def draw_cross(
    pdf: Pdf,
    centre: Sequence[float] | Array,
    *,
    arm: float = 4.0,
    colour: Colour = BLACK,
    width: float = 0.15,
) -> None:
    """Draw an upright cross."""
    x, y = (float(value) for value in centre)
    ends = [[(x - arm, y), (x + arm, y)], [(x, y - arm), (x, y + arm)]]
    pdf.line(ends, width=width, colour=colour)


def draw_bar(pdf: Pdf, x: float, y: float, *, length: float, upright: bool) -> None:
    """Draw a measuring bar from (x, y) to the right or downwards, ticks at every 10 mm inside its length.

    The end ticks are 0.1 mm thin and their middles `length` apart.
    """
    along, tick = (
        (np.array([0.0, 1.0]), np.array([-1.0, 0.0]))
        if upright
        else (np.array([1.0, 0.0]), np.array([0.0, -1.0]))
    )
    start, places = np.array([x, y]), np.arange(0.0, length + 1e-6, 10.0)
    feet = start + along * places[:, None]
    size = np.where((places == 0.0) | (places == length), 3.0, 1.5)
    ticks = np.stack([feet, feet + tick * size[:, None]], axis=1)
    pdf.line([[start, start + along * length], *ticks], width=0.1)


def draw_axis(
    pdf: Pdf, centre: tuple[float, float], *, angle: float, heads: int, length: float = 9.0
) -> None:
    """Draw an arrow through `centre` at `angle` radians (x towards y, down), with one or two heads."""
    way = np.array([np.cos(angle), np.sin(angle)])
    middle = np.array(centre)
    pdf.line([middle - way * length / 2, middle + way * length / 2], width=0.3)
    arrows = [(*(middle + sign * way * (length / 2 - 1.9)), *(sign * way)) for sign in (1, -1)[:heads]]
    draw_arrows(pdf, arrows, colour=BLACK)
