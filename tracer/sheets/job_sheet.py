"""The job sheet: the paper that goes to the workshop with the template."""

import math
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

import numpy as np

from tracer.lengths import format_length
from tracer.model.plan import Plan
from tracer.sheets.assembly import assemble
from tracer.sheets.bench_words import (
    CAUTIONS,
    Fact,
    facts_of,
    rights_words,
    scrap_words,
    stops_in_order,
    warnings_of,
)
from tracer.sheets.marks import draw_start
from tracer.sheets.pdf import GREY, POINT, Colour, Pdf
from tracer.sheets.said_names import title_of
from tracer.sheets.thumbnail import draw_thumbnail
from tracer.shop.paper import default_paper

_DARK: Colour = (0.25, 0.25, 0.25)
_LEADING = 1.25
"""Line pitch, in sizes of the type."""

_WARNINGS = 5
"""Findings at most; the report holds all."""

_NARROWEST, _SHORTEST = 200.0, 270.0
"""mm: the smallest paper on which the page has its room."""

_LEAST_BOARD = 40.0
"""mm of height that the board in small has at the least."""

_ROW = 6.6
"""mm from one row of boxes to the next."""

_HEADED = 8.5
"""mm that the rule and the heading above the rows of boxes take."""

_SAID, _MORE = 12.0, 4.2
"""mm: where findings begin, right of their marks, and the height of the line that counts the others."""

_BEGINNING = 30.0
"""mm kept below the findings for the first boxes where not all find room on the page."""

_BESIDE = 62.0
"""mm: where boxes begin at the earliest that stand beside the heading of their pass."""


def write_job_sheet(plan: Plan, path: Path, *, cards: bool = False) -> None:
    """Write job-sheet.pdf, one page held upright; further ones only where the runs need them.

    `cards` says that letter cards are made, too. On the job's paper, or on A4 or Letter where that is
    smaller. The same plan gives the same bytes. JobError where the paper is too small for a template.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: job sheet", date=plan.job.date)
    sheet = _Sheet(pdf, plan)
    sheet.heading()
    sheet.board_and_facts(facts_of(plan, assemble(plan)))
    sheet.checks()
    sheet.warnings()
    sheet.runs("working from cards: tick letter-cards.pdf instead" if cards else "")
    sheet.notes()
    pdf.save()


class _Sheet:
    """The page being filled, from the top down to where the cautions begin: `y` is how far it is."""

    def __init__(self, pdf: Pdf, plan: Plan) -> None:
        self.pdf, self.plan = pdf, plan
        own, usual = plan.job.paper, default_paper(plan.job.units)
        fits = own.width >= _NARROWEST and own.height >= _SHORTEST
        self.paper = own if fits else usual
        self.left = plan.job.printer.margin
        self.right = self.paper.width - self.left
        self.pages = 0
        self.y = self.floor = 0.0
        self.turn()

    @property
    def width(self) -> float:
        return self.right - self.left

    def turn(self) -> None:
        """Begin a page; the first one carries the cautions at its foot."""
        self.pdf.page(self.paper.width, self.paper.height)
        self.pages += 1
        self.y = self.left
        self.floor = self.paper.height - self.left
        if self.pages == 1:
            self.floor = self.cautions(self.floor)

    def heading(self) -> None:
        """Title and date, and on later pages which page it is."""
        date = self.plan.job.date.isoformat()
        self.pdf.text(self.right, self.y + 6.0, date, 11.0, anchor="right")
        room = self.width - self.pdf.measure(date, 11.0) - 5.0
        said = title_of(self.plan) if self.pages == 1 else f"{title_of(self.plan)}: page {self.pages}"
        self.pdf.text(self.left, self.y + 6.5, self.pdf.fit(said, 20.0, room, bold=True), 20.0, bold=True)
        self.y += 10.0
        self.rule()

    def rule(self) -> None:
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.3)
        self.y += 2.5

    def board_and_facts(self, facts: Sequence[Fact]) -> None:
        """The board in small on the left with the sums under it, what must be known on the right.

        The last facts stand on the left too where that makes the whole less high.
        """
        y, board, share = self.y, self.plan.layout.board, self.width * 0.45
        columns = (self.left, self.left + share), (self.left + share + 5.0, self.right)
        told, sums = (tuple(fact for fact in facts if fact.sum is which) for which in (False, True))
        room = max(_LEAST_BOARD, self.facts(told, columns[1]) - self.facts(sums, columns[0]) - 4.0)
        picture = min(room, share * board.height / board.width + 7.0) + 4.0

        def high(kept: int) -> float:
            left = picture + self.facts((*told[kept:], *sums), columns[0])
            return max(left, self.facts(told[:kept], columns[1]))

        kept = min(range(len(told), 0, -1), key=high)
        right = self.facts(told[:kept], columns[1], y)
        below = y + draw_thumbnail(self.pdf, self.plan, self.left, y + 1.0, room=(share, room)) + 4.0
        self.y = max(right, self.facts((*told[kept:], *sums), columns[0], below)) + 1.0

    def facts(self, facts: Sequence[Fact], column: tuple[float, float], y: float | None = None) -> float:
        """Write facts one under another from y down; return where they end: without y, only their height."""
        end = y or 0.0
        for fact in facts:
            end = self.fact(fact, column, end, draw=y is not None)
        return end

    def fact(self, fact: Fact, column: tuple[float, float], y: float, *, draw: bool = True) -> float:
        """Write one fact between the sides of its column from y down; return where it ends."""
        x, right = column
        if draw:
            self.pdf.text(x, y + 2.6, fact.label, 7.5, bold=True, colour=_DARK)
            free = right - x - 3.0 - self.pdf.measure(fact.label, 7.5, bold=True)
            trust = self.pdf.fit(fact.trust, 7.5, free)
            self.pdf.text(right, y + 2.6, trust, 7.5, anchor="right", colour=_DARK)
        return self.paragraph(fact.value, 10.0, x, y + 3.2, right=right, draw=draw) + 1.4

    def paragraph(
        self, words: str, size: float, x: float, y: float, *, right: float | None = None, draw: bool = True
    ) -> float:
        """Write wrapped words from (x, y) to `right` or the right margin; return where they end."""
        pitch = size * POINT * _LEADING
        for line in self.pdf.wrap(words, size, (self.right if right is None else right) - x):
            if draw:
                self.pdf.text(x, y + pitch * 0.8, line, size)
            y += pitch
        return y

    def title(self, words: str) -> None:
        self.pdf.text(self.left, self.y + 4.0, words, 12.0, bold=True)
        self.y += 6.0

    def tick(self, x: float, y: float) -> None:
        """An empty box to tick, its middle line at y."""
        self.pdf.box(x, y - 2.0, 4.0, 4.0, line=0.35)

    def checks(self) -> None:
        """What to do and measure before the first cut, with room to write."""
        self.rule()
        self.title("Before you cut")
        for words in (
            "Bars on every sheet: across ______ mm, down ______ mm (each must be 100; if not, print again)",
            scrap_words(self.plan),
            "Line of ______ mm on the template is ______ mm in the wood (middle to middle): ratio ______",
            *rights_words(self.plan),
        ):
            self.tick(self.left, self.y + 2.5)
            self.y = max(self.paragraph(words, 10.0, self.left + 6.5, self.y), self.y + 5.0) + 1.4

    def warnings(self) -> None:
        """The findings that cost most, as many as leave the runs their room on this page."""
        findings = warnings_of(self.plan)
        if not findings:
            return
        self.rule()
        self.title("Look out for")
        needed, room, x = self.runs_height() + 1.0, self.floor - self.y, self.left + _SAID
        last = self.floor - (needed if needed < room - 18.0 else _BEGINNING)
        for shown, finding in enumerate(findings):
            more = _MORE if shown + 1 < len(findings) else 0.0
            end = self.paragraph(finding.message, 9.5, x, self.y, draw=False) + 0.8 + more
            if shown == _WARNINGS or (shown and end > last):
                said = f"And {len(findings) - shown} of other kinds: see report.html."
                self.y = self.paragraph(said, 9.0, x, self.y)
                break
            mark = {"loss": "LOSS", "risk": "RISK", "note": "note"}[finding.severity]
            self.pdf.text(self.left, self.y + 3.5, mark, 8.5, bold=finding.severity != "note")
            self.y = self.paragraph(finding.message, 9.5, x, self.y) + 0.8
        self.y += 1.0

    def runs(self, aside: str) -> None:
        """A box to tick for each run of each pass, in the order of cutting; `aside` is by the heading."""
        if not self.make_room(_HEADED + _ROW):
            self.rule()
        self.pdf.text(self.right, self.y + 4.0, aside, 9.0, anchor="right")
        self.title("Tick off each run when the bit is up again")
        for stop, said, numbers in self.rounds:
            self.make_room(_ROW)
            if len(self.plan.stops) > 1:
                draw_start(self.pdf, np.array([self.left + 2.0, self.y + 3.0]), stop)
            self.pdf.text(self.left + self.indent, self.y + 4.4, said, 10.0, bold=True)
            self.boxes([str(number) for number in numbers], said)

    @cached_property
    def rounds(self) -> list[tuple[int, str, tuple[int, ...]]]:
        """Each pass of each depth stop in the order of cutting: the stop, its heading, its runs."""
        units = self.plan.job.units
        found = []
        for stop, runs in stops_in_order(self.plan):
            times = len(stop.pass_depths)
            for number, depth in enumerate(stop.pass_depths, start=1):
                deep = f"{format_length(depth, units)} deep"
                said = f"Pass {number} of {times}, {deep}"
                if len(self.plan.stops) > 1:
                    which = f", pass {number} of {times}" if times > 1 else ""
                    groove = f", groove {format_length(stop.width, units)}" if number == times else ""
                    said = f"Stop {stop.number}{which}: {deep}{groove}"
                found.append((stop.number, said, runs))
        return found

    @property
    def indent(self) -> float:
        """Room for the sign of a depth stop before its heading."""
        return 5.0 if len(self.plan.stops) > 1 else 0.0

    def beside(self, heading: str) -> float:
        """Where boxes begin that stand beside a heading, from the left margin: under those of full rows."""
        least = max(_BESIDE, self.indent + self.pdf.measure(heading, 10.0, bold=True) + 4.0)
        return math.ceil(least / self.step) * self.step

    def boxes(self, numbers: list[str], heading: str) -> None:
        """One box and number for each run, in rows, the first beside the heading."""
        beside = self.beside(heading)
        first, count = self.in_a_row(beside), self.in_a_row(0.0)
        rows = [numbers[:first], *(numbers[k : k + count] for k in range(first, len(numbers), count))]
        for row, content in enumerate(rows):
            if self.make_room(_ROW):
                self.pdf.text(self.left, self.y + 4.4, f"{heading}, continued", 10.0, bold=True)
                self.y += _ROW
            left = self.left + (0.0 if row else beside)
            for place, number in enumerate(content):
                x = left + place * self.step
                self.tick(x, self.y + 3.0)
                self.pdf.text(x + 5.5, self.y + 4.4, number, 11.0, bold=True)
            self.y += _ROW
        self.y += 0.5

    @property
    def step(self) -> float:
        """Room for one box and its number."""
        return 8.0 + max(
            (self.pdf.measure(str(run.number), 11.0, bold=True) for run in self.plan.runs), default=0.0
        )

    def in_a_row(self, beside: float) -> int:
        """How many boxes find room in a row that begins `beside` mm from the margin."""
        return max(1, int((self.width - beside) // self.step))

    def runs_height(self) -> float:
        """Room that `runs` will take."""
        count = self.in_a_row(0.0)
        left = [len(runs) - self.in_a_row(self.beside(said)) for _, said, runs in self.rounds]
        rows = sum(1 + max(0, math.ceil(number / count)) for number in left)
        return _HEADED + _ROW * rows + 0.5 * len(left)

    def notes(self) -> None:
        """Lines to write on where room is left."""
        if self.y + 22.0 > self.floor:
            return
        self.rule()
        self.title("Notes: finish, what to do otherwise next time")
        while self.y + 8.0 < self.floor:
            self.y += 8.0
            self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.12, colour=GREY)

    def make_room(self, height: float) -> bool:
        """Go on to a new page where `height` does not fit; say whether that was so."""
        full = self.y + height > self.floor
        if full:
            self.turn()
            self.heading()
        return full

    def cautions(self, bottom: float) -> float:
        """Write the cautions so that they end at `bottom`; return where they begin."""
        size, room = 7.6, self.width - 4.0
        lines = [self.pdf.wrap(words, size, room) for words in CAUTIONS]
        pitch = size * POINT * _LEADING
        top = bottom - pitch * sum(len(block) for block in lines) - 6.0
        self.pdf.line([(self.left, top), (self.right, top)], width=0.15, colour=GREY)
        self.pdf.text(self.left, top + 4.0, "Take care", 9.0, bold=True)
        y = top + 5.0
        for block in lines:
            self.pdf.circle((self.left + 1.2, y + pitch * 0.55), 0.5, fill=_DARK)
            for line in block:
                self.pdf.text(self.left + 4.0, y + pitch * 0.8, line, size)
                y += pitch
        return top - 2.0
