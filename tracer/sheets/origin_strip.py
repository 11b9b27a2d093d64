"""The strip of origins: a full-size print for the fence or the board, in as many bands as it needs. True mm.

Its frame: mm on the wood along a line's baseline, the first origin, the datum, at 0.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracer.job import SHEETS_SHARE
from tracer.lengths import both
from tracer.model.plan import Plan
from tracer.sheets.marks import WORK_SIZE, draw_bar, draw_cross
from tracer.sheets.pdf import BLACK, GREY, POINT, Pdf
from tracer.sheets.placement import PlacedLine
from tracer.sheets.said_names import title_of
from tracer.sheets.tiling import row_letters

HEIGHT = 32.0
"""mm: of a band."""

TICK = 0.2
"""mm: thickness of a tick."""

_LONG = 11.0  # mm: length of a tick
_PITCH = HEIGHT + 6.0  # mm from one band on the page to the next
_HEAD, _FOOT = 20.0, 12.0  # mm at the page's top and bottom for its words and its bar
_ENDS = 14.0  # mm of strip beyond its first and last tick
_CLEAR = 11.0  # mm from a seam to the nearest tick, where there is room
_SIZES = (6.0, 14.0)  # points: least and most of a letter's name
_USE = (
    "Cut out the bands and join them at their crosses. Every tick is an origin, measured from the datum.",
    "On the board, datum on the first origin: bring tick after tick under one mark on the fence.",
    "On the fence, the other way up: bring one mark on the board to tick after tick, from the datum on.",
)


@dataclass(frozen=True)
class Band:
    """What one band shows of a line's strip, from `start` to `end`; neighbours' names, "" where it ends."""

    line: PlacedLine
    name: str
    start: float
    end: float
    before: str = ""
    after: str = ""


def strip_lines(lines: Sequence[PlacedLine]) -> list[PlacedLine]:
    """Return the lines that get a strip: straight ones of several letters."""
    return [line for line in lines if line.straight and len(line.letters) > 1]


def bands(line: PlacedLine, room: float) -> tuple[Band, ...]:
    """Cut one line's strip into bands at most `room` mm long that share `SHEETS_SHARE`.

    They join in the middle of that, away from ticks where the letters leave room for it.
    """
    ticks = np.array([one.along for one in line.letters])
    start, end = -_ENDS, float(ticks[-1]) + _ENDS
    seams: list[float] = []
    while end - start > room:
        places = start + room - SHEETS_SHARE / 2 - np.arange(0.0, room / 3, 1.0)
        clear = np.abs(places[:, None] - ticks).min(axis=1)
        seams.append(float(places[int(np.argmax(np.minimum(clear, _CLEAR)))]))
        start = seams[-1] - SHEETS_SHARE / 2
    names = ["", *(f"{line.number}{row_letters(k).lower()}" for k in range(len(seams) + 1)), ""]
    starts = [-_ENDS, *(seam - SHEETS_SHARE / 2 for seam in seams)]
    ends = [*(seam + SHEETS_SHARE / 2 for seam in seams), end]
    return tuple(
        Band(line, names[k + 1], starts[k], ends[k], before=names[k], after=names[k + 2])
        for k in range(len(starts))
    )


def draw_strips(pdf: Pdf, plan: Plan, lines: Sequence[PlacedLine]) -> None:
    """Draw pages, held across, with the strips of all straight lines; none where there is no such line."""
    across, down = plan.job.printer.correction
    margin = plan.job.printer.margin
    width, height = plan.job.paper.height / down, plan.job.paper.width / across
    parts = [band for line in strip_lines(lines) for band in bands(line, width - 2 * margin)]
    count = max(1, int((height - 2 * margin - _HEAD - _FOOT + _PITCH - HEIGHT) // _PITCH))
    for first in range(0, len(parts), count):
        pdf.page(plan.job.paper.height, plan.job.paper.width, stretch=(down, across))
        _draw_head(pdf, plan, (margin, width - margin))
        for place, band in enumerate(parts[first : first + count]):
            _draw_band(pdf, plan, band, (margin, margin + _HEAD + place * _PITCH))
        _draw_foot(pdf, (margin, width - margin), height - margin)


def _draw_band(pdf: Pdf, plan: Plan, band: Band, at: tuple[float, float]) -> None:
    """Draw one band with its top left at a place on the page."""
    end = band.line.letters[-1].along + _ENDS
    with pdf.window(*at, (band.end - band.start, HEIGHT), (band.start, 0.0)):
        pdf.box(-_ENDS, 0.1, end + _ENDS, HEIGHT - 0.2, line=0.15, colour=GREY)
        _draw_ticks(pdf, band)
        if not band.before:
            _draw_datum(pdf)
        told = _draw_use(pdf, plan, band)
        if band.before:
            _draw_seam(pdf, band.start + SHEETS_SHARE / 2, f"lay on {band.before}", cut=True)
        if band.after:
            _draw_seam(pdf, band.end - SHEETS_SHARE / 2, f"{band.after} here", cut=False)
    if band.line.level and not band.before and not told:
        said = f"{band.name}{datum_words(plan, band.line)}"
        pdf.text(at[0], at[1] + HEIGHT + 3.4, said, WORK_SIZE)


def _draw_seam(pdf: Pdf, x: float, words: str, *, cut: bool) -> None:
    """Draw the line to cut along, or on which the next band's edge lies, and its crosses."""
    pdf.line([(x, 0.0), (x, HEIGHT)], width=0.12, colour=GREY, dash=() if cut else (0.6, 1.6))
    for y in (HEIGHT / 5, 4 * HEIGHT / 5):
        draw_cross(pdf, (x, y))
    width = pdf.measure(words, WORK_SIZE)
    pdf.text(x + (2.8 if cut else -1.0), (HEIGHT + width) / 2, words, WORK_SIZE, angle_deg=90.0)


def _draw_ticks(pdf: Pdf, band: Band) -> None:
    """Draw a tick from either edge at each origin, its letter's name right of it as read from that edge."""
    size, tiers = _label_size(pdf, band.line)
    letters = [one for one in band.line.letters if band.start - _ENDS < one.along < band.end + _ENDS]
    for one in letters:
        lift = (one.number % tiers) * size * POINT
        for edge, side, angle in ((HEIGHT, 1.0, 0.0), (0.0, -1.0, 180.0)):
            pdf.line([(one.along, edge), (one.along, edge - side * _LONG)], width=TICK)
            x, y = one.along + 0.9 * side, edge - side * (4.6 + lift)
            pdf.text(x, y, one.name, size, bold=True, angle_deg=angle)
            if tiers == 1:
                pdf.text(x + side, y + 3.8 * side, f"{one.number}", WORK_SIZE, angle_deg=angle)


def _label_size(pdf: Pdf, line: PlacedLine) -> tuple[float, int]:
    """Return the size at which names fit between ticks, and in how many rows they must stand for it."""
    gaps = np.concatenate([[_ENDS], np.diff([one.along for one in line.letters]), [_ENDS]])
    gaps = np.minimum(gaps[:-1], gaps[1:])  # a name stands left of its tick, too
    widths = [max(pdf.measure(one.name, 1.0, bold=True), 1e-3) for one in line.letters]
    fits = min((gap - 1.6) / width for gap, width in zip(gaps, widths, strict=True))
    numbers = pdf.measure(str(line.letters[-1].number), WORK_SIZE) + 1.6
    crowded = fits < _SIZES[0] or float(gaps.min()) < numbers
    return float(np.clip(fits, *_SIZES)), 3 if crowded else 1


def _draw_datum(pdf: Pdf) -> None:
    """Mark the first tick, seen from both edges."""
    pdf.line([(0.0, 0.0), (0.0, HEIGHT)], width=TICK)
    for y, way in ((0.0, 1.0), (HEIGHT, -1.0)):
        pdf.polygon([(0.0, y + 2.6 * way), (-1.6, y), (1.6, y)], fill=BLACK)
    pdf.text(-2.4, HEIGHT - 4.6, "datum", WORK_SIZE, bold=True, anchor="right")
    pdf.text(-2.4, 10.4, "datum", WORK_SIZE, bold=True, angle_deg=180.0)


def _draw_use(pdf: Pdf, plan: Plan, band: Band) -> bool:
    """Say in the middle of the band which it is, where its datum lies, and where it is taped this way up.

    Return whether there was room for the datum's place.
    """
    x = max(band.start, 0.0) + (SHEETS_SHARE if band.before else 2.0)
    right = band.end - (SHEETS_SHARE if band.after else 2.0)
    place = datum_words(plan, band.line) if band.line.level and not band.before else ""
    for y, where, angle, left in ((0.58, "board", 0.0, x), (0.42, "fence", 180.0, right)):
        said = f"{band.name}: on the {where}, this way up"
        fitting = (one for one in (said + place, said) if pdf.measure(one, WORK_SIZE) <= right - x)
        words = next(fitting, f"{band.name}: {where}")
        down = y * HEIGHT + (0.9 if angle == 0.0 else -0.9)
        pdf.text(left, down, words, WORK_SIZE, angle_deg=angle)
    return bool(place) and pdf.measure(said + place, WORK_SIZE) <= right - x


def _draw_head(pdf: Pdf, plan: Plan, sides: tuple[float, float]) -> None:
    """Write what the page is, and how either edge is used."""
    left, right = sides
    top = plan.job.printer.margin
    said = f"{title_of(plan)}: strip of origins, full size on the wood"
    title = pdf.fit(said, 12.0, right - left, bold=True)
    pdf.text(left, top + 4.4, title, 12.0, bold=True)
    for row, said in enumerate(_USE):
        pdf.text(left, top + 9.0 + 4.0 * row, pdf.fit(said, WORK_SIZE, right - left), WORK_SIZE)


def _draw_foot(pdf: Pdf, sides: tuple[float, float], bottom: float) -> None:
    """Draw the bar, as long as fits."""
    left, right = sides
    length = min(100.0, math.floor((right - left - 1.0) / 10.0) * 10.0)
    draw_bar(pdf, left + 0.5, bottom - 5.0, length=length, upright=False)
    said = f"must measure {length:g} mm: print at actual size"
    pdf.text(left + 0.5, bottom - 1.2, said, WORK_SIZE)


def datum_words(plan: Plan, line: PlacedLine) -> str:
    """Say where a level line's datum lies on the board."""
    return f"; datum {both(line.letters[0].origin[0], plan.job.units)} from the board's left end"
