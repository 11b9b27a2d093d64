"""The strip at the bottom and side of each template sheet: name, map, bars, ratio, arrows. True mm."""

import math
from dataclasses import dataclass

from tracer.lengths import format_length
from tracer.model.plan import Plan
from tracer.sheets.assembly import NOTE, SIDE, STRIP, Assembly
from tracer.sheets.extents import beside_edges
from tracer.sheets.legend import Legend, draw_legend, legend_of
from tracer.sheets.marks import WORK_SIZE, draw_axis, draw_bar
from tracer.sheets.paper_words import Note
from tracer.sheets.pdf import BLACK, GREY, WHITE, Pdf
from tracer.sheets.record import grooved_extent
from tracer.sheets.said_names import title_of
from tracer.sheets.tiling import Cell
from tracer.shop.linkage import ratio_words

_DARK = (0.25, 0.25, 0.25)


@dataclass(frozen=True)
class Words:
    """What every sheet of one template says."""

    title: str
    ratio: str
    trust: str
    rest: str
    issue: str
    grain: float
    turned: bool
    legend: Legend
    banner: str = ""
    """Said large in place of the legend."""


_SMALLEST = 7.0
"""Points: lines are made smaller down to this before they are cut short."""

_MOST_SHOWN = 12
"""Rows, and columns, of sheets on the map; with more its boxes are under 2 mm wide."""


def words_of(plan: Plan) -> Words:
    """Return what the strips say about the plan."""
    job = plan.job
    moved = beside_edges(plan)
    x0, y0, x1, y1 = grooved_extent(plan) if moved else plan.layout.extent
    carved = " x ".join(format_length(side, job.units) for side in (x1 - x0, y1 - y0))
    over = " over the grooves" if moved else ""
    ratio = ratio_words(job.ratio)
    return Words(
        title=title_of(plan),
        ratio=ratio[0].upper() + ratio[1:],
        trust=ratio_trust(plan),
        rest=f"carving {carved}{over}",
        issue="  ·  ".join([job.date.isoformat(), *([f"revision {job.revision}"] if job.revision else [])]),
        grain=math.radians(plan.layout.board.grain_deg),
        turned=job.linkage.turned,
        legend=legend_of(plan),
    )


def ratio_trust(plan: Plan) -> str:
    """Say whether the ratio was measured, and if not where it came from."""
    job = plan.job
    if job.linkage.measured_on is not None:
        return f"ratio measured on {job.linkage.measured_on.isoformat()}"
    origin = job.origin("ratio")
    return "ratio assumed, not measured" if origin == "assumed" else f"ratio {origin}, not measured"


def draw_strip(pdf: Pdf, assembly: Assembly, cell: Cell, words: Words, *, whole: str) -> None:
    """Draw the strip of one sheet: on narrow paper the map and arrows give way to the words.

    `whole` says how to judge the sheets once they are taped together.
    """
    tiling = assembly.tiling
    left, top = tiling.margin, tiling.margin + tiling.cell[1]
    right, foot = tiling.sheet[0] - tiling.margin, top + tiling.strip
    narrow = right - left < 120.0
    pdf.line([(left, top + 1.0), (right, top + 1.0)], width=0.15, colour=GREY)
    if words.banner:
        size = pdf.shrunk(words.banner, (13.0, 9.0), right - left)
        pdf.text(left, top + 7.2, pdf.fit(words.banner, size, right - left, bold=True), size, bold=True)
    else:
        rows = (top + 3.9, top + 8.2)
        draw_legend(pdf, words.legend, left, rows, room=right - left, joined=tiling.count > 1)
    x = left
    if not narrow:
        _draw_map(pdf, assembly, cell, (x, top + 10.6, 24.0, tiling.strip - 10.6))
        x += 27.0
    x += _draw_name(pdf, assembly, cell, x, top) + 4.0
    _draw_words(pdf, words, x, top, right - x)
    notes = (*assembly.notes, *([Note(whole)] if whole else []))
    _draw_notes(pdf, notes, (x, top + 20.8, right - x), round((tiling.strip - STRIP) / NOTE))
    _draw_bars(pdf, assembly, right, foot)
    if not narrow:
        _draw_arrows(pdf, words, x, foot)


def _draw_notes(pdf: Pdf, notes: tuple[Note, ...], room: tuple[float, float, float], lines: int) -> None:
    """Write notes under (x, y) of `room`, its width the third: small where they would take too many lines."""
    x, y, width = room
    for size in (WORK_SIZE, 8.0, _SMALLEST):
        broken = [
            (line, note.bad) for note in notes for line in pdf.wrap(note.words, size, width, bold=note.bad)
        ]
        if len(broken) <= lines:
            break
    for line, bad in broken[:lines]:
        y += NOTE
        pdf.text(x, y, line, size, bold=bad)


def _draw_map(pdf: Pdf, assembly: Assembly, cell: Cell, room: tuple[float, float, float, float]) -> None:
    """Draw the sheets as small boxes: this one black, those left out as empty crossed dotted ones.

    Of many sheets only those round about: smaller boxes could not be told apart.
    """
    x, y, width, height = room
    tiling = assembly.tiling
    across, down = tiling.cell
    rows, columns = _about(cell.row, tiling.rows), _about(cell.column, tiling.columns)
    scale = min(width / (len(columns) * across), height / (len(rows) * down), 10.0 / max(across, down))
    w, h = across * scale, down * scale
    for one in (tiling.at(row, column) for row in rows for column in columns):
        left, top = x + (one.column - columns[0]) * w, y + (one.row - rows[0]) * h
        here, there = one == cell, assembly.printed(one.row, one.column) is not None
        dash = () if there else (0.5, 0.7)
        fill = _DARK if here else None
        pdf.box(
            left + 0.2,
            top + 0.2,
            w - 0.4,
            h - 0.4,
            fill=fill,
            line=0.2,
            colour=_DARK if there else GREY,
            dash=dash,
        )
        if not there:
            pdf.line(
                [(left + 0.2, top + 0.2), (left + w - 0.2, top + h - 0.2)], width=0.12, colour=GREY, dash=dash
            )
        elif h > 4.0 and pdf.measure(one.place, WORK_SIZE) < w - 1.0:
            tint = WHITE if here else BLACK
            pdf.text(left + w / 2, top + h / 2 + 1.15, one.place, WORK_SIZE, anchor="middle", colour=tint)


def _about(place: int, count: int) -> range:
    """Return which rows, or columns, of `count` the map shows round one: all where they are few."""
    first = min(max(0, place - _MOST_SHOWN // 2), max(0, count - _MOST_SHOWN))
    return range(first, min(count, first + _MOST_SHOWN))


def _draw_name(pdf: Pdf, assembly: Assembly, cell: Cell, x: float, top: float) -> float:
    """Write the sheet's name large, and of how many; return the room taken."""
    tiling = assembly.tiling
    pdf.text(x, top + 17.4, cell.name, 24.0, bold=True)
    lines = [f"of {tiling.columns} × {tiling.rows}"] if tiling.count > 1 else ["the only", "sheet"]
    if assembly.set_up is not None:
        lines.insert(0, f"set-up {assembly.set_up.number}")
    if len(assembly.used) < tiling.count:
        lines.append(f"{len(assembly.used)} printed")
    for number, line in enumerate(lines):
        pdf.text(x, top + 21.6 + 3.7 * number, line, WORK_SIZE)
    return max(pdf.measure(cell.name, 24.0, bold=True), *(pdf.measure(line, WORK_SIZE) for line in lines))


def _draw_words(pdf: Pdf, words: Words, x: float, top: float, room: float) -> None:
    """Write title, date and revision, ratio, and where it came from."""
    issue = pdf.fit(words.issue, WORK_SIZE, room * 0.6)
    taken = pdf.measure(issue, WORK_SIZE)
    pdf.text(x, top + 13.4, pdf.fit(words.title, 10.0, room - taken - 3.0, bold=True), 10.0, bold=True)
    pdf.text(x + room, top + 13.4, issue, WORK_SIZE, anchor="right")
    for down, line, most, colour in (
        (17.2, words.ratio, 10.0, BLACK),
        (20.8, "  ·  ".join(filter(None, (words.trust, words.rest))), WORK_SIZE, BLACK),
    ):
        size = max(min(most, most * room / pdf.measure(line, most)), _SMALLEST)
        pdf.text(x, top + down, pdf.fit(line, size, room), size, colour=colour)


def _draw_bars(pdf: Pdf, assembly: Assembly, right: float, foot: float) -> None:
    """Draw the bar across at the foot of the strip and the bar down at the side."""
    tiling = assembly.tiling
    across = 100.0 if right - tiling.margin >= 165.0 else 50.0
    down = 100.0 if tiling.cell[1] >= 108.0 else 50.0
    short, long = ("short", "long") if not tiling.landscape else ("long", "short")
    x = right - across - 0.5
    draw_bar(pdf, x, foot - 4.8, length=across, upright=False)
    fully = f"{short} edge: must measure {across:g} mm. Print at actual size"
    said = fully if pdf.measure(fully, WORK_SIZE) <= across else f"{short} edge: must be {across:g} mm"
    pdf.text(x + across / 2, foot - 1.2, said, WORK_SIZE, anchor="middle")
    y = tiling.margin + 4.0
    draw_bar(pdf, right - 0.5, y, length=down, upright=True)
    said = f"{long} edge: must measure {down:g} mm too"
    pdf.text(right - SIDE + 3.2, y + down / 2, said, WORK_SIZE, anchor="middle", angle_deg=90.0)


def _draw_arrows(pdf: Pdf, words: Words, x: float, foot: float) -> None:
    """Draw which way the board's top is, and how the grain runs."""
    y = foot - 4.0
    up = math.pi / 2 if words.turned else -math.pi / 2
    draw_axis(pdf, (x + 2.0, y), angle=up, heads=1, length=7.0)
    for number, line in enumerate(("top of", "board")):
        pdf.text(x + 4.2, y - 0.6 + 3.6 * number, line, WORK_SIZE)
    draw_axis(pdf, (x + 19.5, y), angle=words.grain, heads=2, length=8.5)
    pdf.text(x + 24.6, y + 1.15, "grain", WORK_SIZE)
