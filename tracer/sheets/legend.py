"""What the signs of the template mean: two rows at the foot of each sheet. True mm."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tracer.model.plan import Plan
from tracer.sheets.bench_words import depths_of, run_range, stops_in_order
from tracer.sheets.island_names import draw_break, named_islands
from tracer.sheets.marks import (
    BAND,
    HAIRLINE,
    TRACK,
    WORK_SIZE,
    draw_again,
    draw_arrows,
    draw_cross,
    draw_hop,
    draw_start,
    stop_dash,
)
from tracer.sheets.pdf import BLACK, GREY, Pdf
from tracer.sheets.placement import pieces_of_words
from tracer.sheets.track import DOT, RING

_GAP = 3.0  # mm between entries
_ICON, _NAME, _BREAK, _DOT = 8.0, 5.0, 8.6, 4.0  # mm: room of a sign, an island's name, a break-out, a dot


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


def draw_legend(
    pdf: Pdf, legend: Legend, x: float, rows: tuple[float, ...], *, room: float, joined: bool
) -> None:
    """Explain the signs on the track in rows from `x` on, in as many words as find room.

    `rows` are the rows' middles.
    The sign of a join is explained where there are sheets to be `joined`. What finds no room at all is
    what is on every template.
    """
    entries = [*_signs(pdf, joined=joined), *_names(pdf, legend)]
    for level in range(max(len(entry.words) for entry in entries)):
        laid = _flow(pdf, entries, level, room)
        if len(laid) <= len(rows):
            break
    else:
        laid = _flow(pdf, [*_names(pdf, legend), *_signs(pdf, joined=joined)], level, room)
    for y, row in zip(rows, laid, strict=False):
        at = x
        for entry in row:
            entry.draw(at, y)
            pdf.text(at + entry.width + 1.0, y + 1.1, entry.said(level), WORK_SIZE)
            at += _length(pdf, entry, level) + _GAP


def _signs(pdf: Pdf, *, joined: bool) -> "list[_Entry]":
    """Return what is on every template."""
    entries = [
        ("line", ("follow the line; grey: groove", "follow")),
        ("dot", ("bit down, run number", "bit down")),
        ("arrow", ("way to go", "way")),
        ("again", ("go back over the groove", "go back")),
        ("ring", ("lift",)),
        *([("cross", ("join",))] if joined else []),
    ]
    return [_Entry(_sign(pdf, sign), _ICON, words) for sign, words in entries]


def _names(pdf: Pdf, legend: Legend) -> "list[_Entry]":
    """Return what is on some."""
    names = [_Entry(_stop_sign(pdf, stop.number), _ICON, stop.words) for stop in legend.stops]
    if legend.hops:
        names.append(_Entry(_sign(pdf, "hop"), _ICON, ("on to the next ring", "to next ring")))
    if legend.dots:
        names.append(_Entry(_dot(pdf), _DOT, ("dot: stylus on its cross", "stylus on cross")))
    if legend.islands:
        names.append(_Entry(_word(pdf, "i7", bold=False), _NAME, ("island in the report", "island")))
    if legend.breaks:
        names.append(_Entry(_break(pdf), _BREAK, ("will break out", "breaks out")))
    if legend.letters:
        said = ("baseline, and a letter's origin on it", "baseline, letter's origin", "baseline, origin")
        names.append(_Entry(_origin(pdf), _NAME, said))
    return names


_Sign = Callable[[float, float], None]


@dataclass(frozen=True)
class _Entry:
    """A sign, drawn in `width` mm from (x, y), and what it means, the fullest `words` first."""

    draw: _Sign
    width: float
    words: tuple[str, ...]

    def said(self, level: int) -> str:
        """Return the words at a level of shortness, or the shortest."""
        return self.words[min(level, len(self.words) - 1)]


def _flow(pdf: Pdf, entries: Sequence[_Entry], level: int, room: float) -> list[list[_Entry]]:
    """Return entries in rows at most `room` long."""
    rows: list[list[_Entry]] = []
    x = room
    for entry in entries:
        wide = _length(pdf, entry, level)
        if not rows or x + wide > room:
            rows.append([])
            x = 0.0
        rows[-1].append(entry)
        x += wide + _GAP
    return rows


def _length(pdf: Pdf, entry: _Entry, level: int) -> float:
    return entry.width + 1.0 + pdf.measure(entry.said(level), WORK_SIZE)


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
        pdf.text(x + _BREAK, y + 1.1, "i7!", WORK_SIZE, bold=True, anchor="right")

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
        pdf.text(x + _NAME, y + 1.1, name, WORK_SIZE, bold=bold, anchor="right")

    return draw


def _sign(pdf: Pdf, sign: str) -> _Sign:
    """Return what draws one sign of the first row in 8 mm."""

    def draw(x: float, y: float) -> None:
        if sign == "cross":
            draw_cross(pdf, (x + 4.0, y), arm=2.2)
            return
        if sign == "hop":
            draw_hop(pdf, np.array([[x + 1.0, y], [x + 7.0, y]]))
            draw_arrows(pdf, [(x + 4.0, y, 1.0, 0.0)])
            return
        pdf.line([(x + 1.4, y), (x + 6.6, y)], width=2.6, colour=BAND)
        pdf.line([(x + 0.2, y), (x + 7.8, y)], width=HAIRLINE, colour=TRACK)
        if sign == "dot":
            pdf.circle((x + 2.0, y), DOT, fill=BLACK)
            pdf.text(x + 4.2, y - 0.4, "3", WORK_SIZE, bold=True)
        elif sign == "arrow":
            draw_arrows(pdf, [(x + 4.0, y, 1.0, 0.0)])
        elif sign == "again":
            draw_again(pdf, np.array([[x, y + 1.4], [x + 8.0, y + 1.4]]))
        elif sign == "ring":
            pdf.circle((x + 4.0, y), RING, width=0.35)

    return draw
