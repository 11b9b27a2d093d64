"""Test sheet, third page: grooves at steps of depth to cut in scrap, and a gauge for their widths."""

from collections.abc import Iterator

import numpy as np

from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units, both, format_length
from tracer.sheets.marks import HAIRLINE, TRACK, draw_bar, draw_cross, draw_start
from tracer.sheets.pdf import BLACK, Pdf
from tracer.sheets.test_sheet_page import BLANK, DARK, Leaf
from tracer.shop.bit_words import describe
from tracer.shop.bits import RoundNose, Straight
from tracer.shop.printer import BAR

_STEPS: dict[Units, tuple[float, ...]] = {
    "mm": (0.5, 1.0, 2.0, 3.0),
    "in": tuple(k * MM_PER_INCH / 32 for k in (1, 2, 3, 4)),
}
"""Depths that a rule can set, mm."""

_DEPTH, _LINE, _BLANKS = 34.0, 62.0, 58.0  # mm of a row: its number and depth, the line to trace, the blanks
_LAND = 4.0  # mm of wood to leave between the grooves, so that each can be measured
_ROW = 13.0  # mm from line to line at least, so that a pencil has room
_BELOW = 92.0  # mm that the words, the gauge and the cautions below the lines take at most

_BAR_HIGH = 9.0  # mm: height of the gauge's bars
_GAP, _LEAST = 1.8, {"mm": 5.2, "in": 7.0}  # mm between the gauge's bars, and from one number to the next
_GAUGE = 24.0  # mm of height that the gauge takes


def step_depths(job: Job) -> tuple[float, ...]:
    """Return the depths of the test grooves, mm: what can be set, in one pass, above the bit's full width."""
    deepest = job.pass_limit
    if job.bit.max_depth is not None:
        deepest = min(deepest, 0.95 * job.bit.max_depth)
    found = tuple(depth for depth in _STEPS[job.units] if depth <= deepest + 1e-6)
    return found if len(found) > 1 else (deepest / 3, 2 * deepest / 3, deepest)


def draw_bit_page(pdf: Pdf, job: Job, title: str, *, name: str) -> None:
    """Draw the page; `name` is what the bit is called at the command line."""
    leaf = Leaf(pdf, job, title, inset=job.printer.margin, true=True)
    leaf.note(f"For the {describe(job.bit, job.units)}.")
    leaf.step(
        1,
        "Fix flat scrap of the wood that you will carve under the router. Trace each line at its depth, from "
        "dot to cross, set from where the bit just touches the wood.",
    )
    _draw_lines(leaf)
    leaf.step(
        2,
        "Measure each groove in the wood: its width at the face with calipers, or with the gauge below, and "
        "its depth with the calipers' rod. Fuzz is no wood: brush it off first.",
    )
    _tell_commands(leaf, name)
    _draw_gauge(leaf)
    leaf.floor -= _GAUGE + 3.0
    leaf.foot(
        "The bit's marking, the router's manual and your local rules come first. Eye and ear protection, "
        "scrap that cannot move, both hands on the router, and no hand under it while the bit turns."
    )
    leaf.check()


def _draw_lines(leaf: Leaf) -> None:
    """Draw the lines to trace, and beside each its depth, the width to expect and blanks."""
    job, pdf = leaf.job, leaf.pdf
    depths = step_depths(job)
    pitch = max((job.bit.width_at(depths[-1]) + _LAND) / job.ratio, _ROW)
    rows = (leaf.floor - _BELOW - leaf.y) / pitch
    if rows < len(depths):  # the shallowest and the deepest tell most
        depths = (depths[0], depths[-1])
        pitch = min(pitch, (leaf.floor - _BELOW - leaf.y) / 2)
    start = leaf.left + _DEPTH
    end = min(start + _LINE, leaf.right - _BLANKS - 6.0)
    for number, depth in enumerate(depths, 1):
        y = leaf.y + (number - 0.5) * pitch
        pdf.text(leaf.left, y + 1.6, f"{number}", 13.0, bold=True)
        pdf.text(leaf.left + 5.5, y + 1.4, f"{format_length(depth, job.units)} deep", 10.0, bold=True)
        pdf.line([(start, y), (end, y)], width=HAIRLINE, colour=TRACK)
        draw_start(pdf, np.array([start, y]))
        draw_cross(pdf, (end, y), arm=2.5)
        _draw_blanks(leaf, end + 6.0, y, said=both(job.bit.width_at(depth), job.units))
    leaf.y += pitch * len(depths) + 2.0


def _draw_blanks(leaf: Leaf, x: float, y: float, *, said: str) -> None:
    """Draw where a groove's width and depth are written, under the width that the bit as said leaves."""
    pdf, unit = leaf.pdf, leaf.job.units
    pdf.text(x, y - 2.0, f"as marked it leaves {said}", 9.0, colour=DARK)
    half = (leaf.right - x) / 2
    for place, label in enumerate(("width", "depth")):
        left, end = x + place * half, x + (place + 1) * half - pdf.measure(unit, 10.0) - 4.0
        pdf.text(left, y + 4.2, label, 10.0)
        pdf.line([(left + pdf.measure(label, 10.0) + 1.5, y + 5.0), (end, y + 5.0)], width=0.2)
        pdf.text(end + 1.2, y + 4.2, unit, 10.0)


def _tell_commands(leaf: Leaf, name: str) -> None:
    """Say what to type: one groove of a bit that has but a diameter, else two."""
    one = f'--measured "{BLANK} {leaf.job.units}" --depth "{BLANK} {leaf.job.units}"'
    if isinstance(leaf.job.bit, Straight | RoundNose):
        leaf.step(3, "Type the deepest groove's; it tells the diameter that the bit really cuts:")
        leaf.command(f'tracer groove --bit "{name}" {one} --save')
    else:
        leaf.step(3, "Type two grooves far apart in depth, in one line; together they tell tip and angle:")
        leaf.command(f'tracer groove --bit "{name}" {one} {one} --save')
        leaf.note(
            "One groove alone, near the depth you carve at, keeps the angle as marked and tells the tip.",
            indent=5.5,
        )
    leaf.note("From then on plans reckon with the bit as measured, and say so.", indent=5.5)


def _draw_gauge(leaf: Leaf) -> None:
    """Draw bars of known width along a line to cut, each with its number, and a bar to check the print by."""
    pdf, units = leaf.pdf, leaf.job.units
    top = leaf.floor - _GAUGE
    pdf.line([(leaf.left, top), (leaf.right, top)], width=0.15, dash=(3.0, 1.5))
    for width, label, x in _gauge(leaf):
        pdf.box(x - width / 2, top, width, _BAR_HIGH, fill=BLACK)
        pdf.text(x, top + _BAR_HIGH + 3.2, label, 8.0, anchor="middle")
    length = BAR if leaf.room > 165.0 else BAR / 2
    base = leaf.floor - 4.4
    draw_bar(pdf, leaf.right - length - 0.5, base, length=length, upright=False)
    said = f"must measure {length:g} mm"
    pdf.text(leaf.right - length / 2, base + 3.4, said, 9.0, anchor="middle")
    words = (
        f"Gauge, {'inches' if units == 'in' else 'mm'}: cut along the dashes and lay the edge across a "
        "groove. The bar that just covers it is as wide."
    )
    for row, line in enumerate(pdf.wrap(words, 8.6, leaf.room - length - 4.0)):
        pdf.text(leaf.left, top + _BAR_HIGH + 7.6 + 3.6 * row, line, 8.6)


def _gauge(leaf: Leaf) -> Iterator[tuple[float, str, float]]:
    """Yield width, number and middle of each bar, mm, as far as the paper goes."""
    units = leaf.job.units
    step, first, count = (0.2, 2, 29) if units == "mm" else (MM_PER_INCH / 64, 1, 20)
    x = leaf.left
    for k in range(first, first + count):
        width = k * step
        taken = max(width + _GAP, _LEAST[units])
        if x + taken > leaf.right:
            return
        label = f"{width:.1f}" if units == "mm" else format_length(width, "in").removesuffix(" in")
        yield width, label, x + taken / 2
        x += taken
