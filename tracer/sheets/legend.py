"""What the signs of the template mean: two rows at the foot of each sheet. True mm."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from tracer.model.plan import Plan
from tracer.sheets.bench_words import depths_of, run_range, stops_in_order
from tracer.sheets.island_names import draw_break, named_islands
from tracer.sheets.marks import (
    BAND,
    HAIRLINE,
    TRACK,
    draw_again,
    draw_arrow,
    draw_cross,
    draw_hop,
    draw_start,
    stop_dash,
)
from tracer.sheets.pdf import BLACK, GREY, Pdf
from tracer.sheets.placement import pieces_of_words
from tracer.sheets.track import DOT, RING

_SIZE, _GAP = 6.6, 3.0  # points; mm between entries
HOP = "on to the next ring"
"""What dots from groove to groove mean."""

_ICON, _NAME, _BREAK, _DOT = 8.0, 4.5, 7.4, 4.0  # mm: room of a sign, an island's name, a break-out, a dot


@dataclass(frozen=True)
class StopSign:
    """One depth stop of the legend: its number and what is said of it, the fullest words first."""

    number: int
    words: tuple[str, ...]


@dataclass(frozen=True)
class Legend:
    """What the second row explains: depth stops where there are several, names of islands and letters."""

    stops: tuple[StopSign, ...]
    islands: bool
    breaks: bool
    letters: bool = False
    hops: bool = False
    dots: bool = False


def legend_of(plan: Plan) -> Legend:
    """Return what the second row of the legend says of a plan, stops in the order of cutting."""
    breaking, holding = named_islands(plan)
    stops = []
    for stop, runs in stops_in_order(plan):
        deep, which = depths_of(plan).own(stop.depth), run_range(runs)
        said = (
            f"stop {stop.number}: {deep} deep, {which}",
            f"stop {stop.number}: {deep}, {which.replace(' to ', '–')}",
            f"stop {stop.number}: {deep}",
            deep,
        )
        stops.append(StopSign(stop.number, said))
    return Legend(
        stops=tuple(stops) if len(plan.stops) > 1 else (),
        islands=bool(holding),
        breaks=bool(breaking),
        letters=bool(pieces_of_words(plan)),
        dots=any(stroke.kind == "dot" for stroke in plan.cut),
        hops=any(leg.retraced and leg.start == leg.end for run in plan.runs for leg in run.legs),
    )


def draw_signs(pdf: Pdf, x: float, y: float, *, room: float, joined: bool, hops: bool = False) -> None:
    """Explain the signs on the track in one row, its middle at `y`, as many as find `room`."""
    entries = [
        ("line", "follow the line; grey: the groove"),
        ("dot", "bit down, run number"),
        ("arrow", "way to go"),
        ("again", "go back over the groove"),
        ("ring", "lift"),
    ]
    if hops:
        entries.append(("hop", HOP))
    if joined:
        entries.append(("cross", "join"))
    _row(pdf, [_Entry(_sign(pdf, sign), _ICON, words) for sign, words in entries], (x, y), room)


def draw_names(pdf: Pdf, legend: Legend, x: float, y: float, *, room: float) -> None:
    """Explain depth stops, in as many words as find room, and islands in one row, its middle at `y`."""
    names = [_Entry(_sign(pdf, "hop"), _ICON, HOP)] if legend.hops else []
    if legend.dots:
        names.append(_Entry(_dot(pdf), _DOT, "dot: stylus on its cross"))
    if legend.islands:
        names.append(_Entry(_word(pdf, "i7", bold=False), _NAME, "island in the report"))
    if legend.breaks:
        names.append(_Entry(_break(pdf), _BREAK, "will break out"))
    if legend.letters:
        names.append(_Entry(_origin(pdf), _NAME, "baseline, and a letter's origin on it"))
    rows = [
        [
            _Entry(_stop_sign(pdf, stop.number), _ICON, words)
            for stop, words in zip(legend.stops, said, strict=True)
        ]
        for said in zip(*(stop.words for stop in legend.stops), strict=True)
    ] or [[]]
    fitting = (row + names for row in rows if _length(pdf, row + names) <= room)
    _row(pdf, next(fitting, rows[-1]), (x, y), room)


_Sign = Callable[[float, float], None]


@dataclass(frozen=True)
class _Entry:
    """A sign, drawn in `width` mm from (x, y), and what it means."""

    draw: _Sign
    width: float
    words: str


def _row(pdf: Pdf, entries: Iterable[_Entry], at: tuple[float, float], room: float) -> None:
    """Draw signs with their words from `at` on, as many as find `room`."""
    x, y = at
    end = x + room
    for entry in entries:
        width = _length(pdf, [entry])
        if x + width > end:
            return
        entry.draw(x, y)
        pdf.text(x + entry.width + 1.0, y + 0.85, entry.words, _SIZE, colour=BLACK)
        x += width + _GAP


def _length(pdf: Pdf, entries: Iterable[_Entry]) -> float:
    return sum(entry.width + 1.0 + _GAP + pdf.measure(entry.words, _SIZE) for entry in entries) - _GAP


def _stop_sign(pdf: Pdf, number: int) -> _Sign:
    """Return what draws a bit of a stop's line with its start."""

    def draw(x: float, y: float) -> None:
        pdf.line([(x + 1.4, y), (x + 7.8, y)], width=2.6, colour=BAND)
        pdf.line(
            [(x + 1.4, y), (x + 7.8, y)], width=HAIRLINE, colour=TRACK, dash=stop_dash(number, scale=0.5)
        )
        draw_start(pdf, np.array([x + 1.6, y]), number)

    return draw


def _break(pdf: Pdf) -> _Sign:
    """Return what draws the two signs of wood that breaks out."""

    def draw(x: float, y: float) -> None:
        draw_break(pdf, (x + 1.0, y))
        pdf.text(x + _BREAK, y + 0.9, "i7!", 7.0, bold=True, anchor="right")

    return draw


def _dot(pdf: Pdf) -> _Sign:
    """Return what draws a dot of the drawing."""

    def draw(x: float, y: float) -> None:
        pdf.circle((x + _DOT / 2, y), 1.3, fill=BAND)
        draw_cross(pdf, (x + _DOT / 2, y), arm=1.9, colour=TRACK, width=HAIRLINE)

    return draw


def _origin(pdf: Pdf) -> _Sign:
    def draw(x: float, y: float) -> None:
        pdf.line([(x, y), (x + _NAME, y)], width=0.12, colour=GREY)
        pdf.line([(x + 1.0, y - 1.2), (x + 1.0, y + 1.6)], width=0.12, colour=GREY)

    return draw


def _word(pdf: Pdf, name: str, *, bold: bool) -> _Sign:
    def draw(x: float, y: float) -> None:
        pdf.text(x + _NAME, y + 0.9, name, 7.0, bold=bold, anchor="right")

    return draw


def _sign(pdf: Pdf, sign: str) -> _Sign:
    """Return what draws one sign of the first row in 8 mm."""

    def draw(x: float, y: float) -> None:
        if sign == "cross":
            draw_cross(pdf, (x + 4.0, y), arm=2.2)
            return
        if sign == "hop":
            draw_hop(pdf, np.array([[x + 1.0, y], [x + 7.0, y]]))
            draw_arrow(pdf, (x + 4.0, y, 1.0, 0.0))
            return
        pdf.line([(x + 1.4, y), (x + 6.6, y)], width=2.6, colour=BAND)
        pdf.line([(x + 0.2, y), (x + 7.8, y)], width=HAIRLINE, colour=TRACK)
        if sign == "dot":
            pdf.circle((x + 2.0, y), DOT, fill=BLACK)
            pdf.text(x + 4.2, y - 0.4, "3", 7.5, bold=True)
        elif sign == "arrow":
            draw_arrow(pdf, (x + 4.0, y, 1.0, 0.0))
        elif sign == "again":
            draw_again(pdf, np.array([[x, y + 1.4], [x + 8.0, y + 1.4]]))
        elif sign == "ring":
            pdf.circle((x + 4.0, y), RING, width=0.35)

    return draw
