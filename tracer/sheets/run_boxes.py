"""Boxes to tick on the job sheet, one for each run of each pass, and how the board is moved between."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.bench_words import depths_of, stops_in_order
from tracer.sheets.blocks import Block, Column, beside, draw_tick, gap, stack
from tracer.sheets.job_facts import listed_names, runs_words, shift_words
from tracer.sheets.job_page import JobPage
from tracer.sheets.marks import draw_start
from tracer.sheets.set_up_marks import register_words

_NUMBER = 12.0
"""Points: a run's number."""

_ROW, _BOX = 6.8, 4.6
"""mm from one row of boxes to the next, and across a box."""

_BESIDE = 54.0
"""mm: where boxes begin at the earliest that stand beside the heading of their pass."""


_NOISE = 1e-6
"""mm that sums of heights may be off."""


@dataclass(frozen=True)
class _Round:
    """One pass at one depth stop, in one set-up where there are several."""

    set_up: int
    stop: int
    words: str
    runs: tuple[int, ...]


@dataclass(frozen=True)
class _Row:
    """A row of boxes, and what is said above it where it goes on on a new page."""

    block: Block
    heading: str


class RunBoxes:
    """The boxes; `height` is what they take where they all find room on the page."""

    def __init__(self, column: Column, plan: Plan, aside: str) -> None:
        self._column, self._plan = column, plan
        self._several = len(plan.stops) > 1
        widest = max(
            (column.pdf.measure(str(run.number), _NUMBER, bold=True) for run in plan.runs), default=0
        )
        self._step = _BOX + 3.8 + widest
        title = stack(
            (
                column.rule(),
                column.title("Tick off each run when the bit is up again", aside),
                column.paragraph(_how(plan), 9.5),
                gap(0.8),
            )
        )
        self._rows = _under(title, [row for one in _rounds(plan) for row in self._of_round(one)])

    @property
    def height(self) -> float:
        """Height that all take, mm."""
        return sum(row.block.height for row in self._rows)

    def put(self, page: JobPage) -> None:
        """Draw all rows, on further pages where they need them."""
        for row in self._rows:
            if row.block.height > page.room + _NOISE:
                page.turn()
                page.put(self._column.rule())
                page.put(self._column.paragraph(row.heading, 10.5, bold=True))
            page.put(row.block)

    def _of_round(self, one: _Round) -> Iterator[_Row]:
        """Yield the rows of a round: its heading, and beside it and under it its boxes."""
        heading = f"{one.words}, continued"
        across = self._column.width
        first = math.ceil(max(_BESIDE, self._indent + self._wide(one.words) + 4.0) / self._step) * self._step
        count, full = max(1, int((across - first) // self._step)), max(1, int(across // self._step))
        yield _Row(beside((self._head(one), self._boxes(one.runs[:count], first))), heading)
        for start in range(count, len(one.runs), full):
            yield _Row(self._boxes(one.runs[start : start + full], 0.0), heading)

    @property
    def _indent(self) -> float:
        """Room for the sign of a depth stop before its heading."""
        return 5.0 if self._several else 0.0

    def _wide(self, words: str) -> float:
        return self._column.pdf.measure(words, 10.5, bold=True)

    def _head(self, one: _Round) -> Block:
        pdf, left = self._column.pdf, self._column.left

        def draw(y: float) -> None:
            if self._several:
                draw_start(pdf, np.array([left + 2.0, y + 3.2]), one.stop)
            pdf.text(left + self._indent, y + 4.5, one.words, 10.5, bold=True)

        return Block(_ROW, draw)

    def _boxes(self, numbers: Sequence[int], begin: float) -> Block:
        pdf = self._column.pdf

        def draw(y: float) -> None:
            for place, number in enumerate(numbers):
                x = self._column.left + begin + place * self._step
                draw_tick(pdf, x, y + 3.0, size=_BOX)
                pdf.text(x + _BOX + 1.4, y + 4.6, str(number), _NUMBER, bold=True)

        return Block(_ROW, draw)


def _how(plan: Plan) -> str:
    """Say how runs are followed."""
    job = plan.job
    speed = f"{job.speed_low:g} to {job.speed_high:g} mm a second"
    return f"Follow the arrows, {speed}. The bit pulls to the left of its way: lean against it."


def _under(title: Block, rows: list[_Row]) -> list[_Row]:
    """Return the rows with the title above the first, not to be parted from it."""
    if not rows:
        return [_Row(title, "")]
    first, *rest = rows
    return [_Row(stack((title, first.block)), ""), *rest]


def _rounds(plan: Plan) -> Iterator[_Round]:
    """Yield each pass of each depth stop of each set-up in the order of cutting."""
    for set_up in plan.set_ups:
        yield from _in_one(plan, set_up.number, frozenset(set_up.runs))
    if not plan.set_ups:
        yield from _in_one(plan, 0, frozenset(run.number for run in plan.runs))


def _in_one(plan: Plan, set_up: int, among: frozenset[int]) -> Iterator[_Round]:
    depths, several = depths_of(plan), len(plan.stops) > 1
    where = f"Set-up {set_up}: " if set_up else ""
    for stop, numbers in stops_in_order(plan):
        runs, times = tuple(number for number in numbers if number in among), len(stop.pass_depths)
        for number, depth in enumerate(stop.pass_depths, start=1):
            deep = f"{depths.own(depth)} deep"
            said = f"Pass {number} of {times}, {deep}"
            if several:
                which = f", pass {number} of {times}" if times > 1 else ""
                said = f"Stop {stop.number}{which}: {deep}"
            if runs:
                yield _Round(
                    set_up, stop.number, f"{where}{said[0].lower() if where else said[0]}{said[1:]}", runs
                )


_MOVING = (
    "All shifts are measured from where the board lies in set-up 1, never from the one before. Marks R1, R2 "
    ".. tie sheet and board together, router off, plug out. Two are measured and marked on the board first: "
    "in set-up 1 the bit must stand on each with the stylus on the sheet's. Make the others under the bit, "
    "on tape. To find marks again, lay the sheets so that the bit comes back to each dot, then tape them."
)


def shift_table(column: Column, plan: Plan, sheets: Sequence[Assembly]) -> tuple[Block, ...]:
    """Return how far the board is moved to each set-up, from the first one; nothing where one does.

    Between the blocks a page may end.
    """
    if len(plan.set_ups) < 2:
        return ()
    names = {one.set_up.number: one.names for one in sheets if one.set_up is not None}
    head = stack((column.rule(), column.title("Move the board"), column.paragraph(_MOVING, 10.5)))
    rows = []
    for one in plan.set_ups:
        runs = runs_words(one.runs) if one.runs else "no runs"
        moved = shift_words(plan.shift_of(one), plan.job.units)
        its = names.get(one.number, ())
        sheet = f"{'sheet' if len(its) == 1 else f'{len(its)} sheets'} {listed_names(its, most=4)}"
        said = "; ".join(words for words in (moved, sheet, runs, register_words(plan, one)) if words)
        rows.append(stack((gap(0.8), column.led(f"Set-up {one.number}", said, 11.0))))
    return (stack((head, rows[0])), *rows[1:], gap(2.0))
