"""The job sheet: the paper that goes to the workshop with the template."""

import math
from collections.abc import Sequence
from pathlib import Path

from tracer.lengths import both, format_length
from tracer.model.plan import Plan
from tracer.sheets.assembly import assemble
from tracer.sheets.bench_words import CAUTIONS, Fact, facts_of, warnings_of
from tracer.sheets.pdf import GREY, POINT, Colour, Pdf
from tracer.sheets.thumbnail import draw_thumbnail
from tracer.shop.paper import default_paper

_DARK: Colour = (0.25, 0.25, 0.25)
_LEADING = 1.25
"""Line pitch, in sizes of the type."""

_WARNINGS = 5
"""Findings at most; the report holds all."""

_NARROWEST, _SHORTEST = 200.0, 270.0
"""mm: the smallest paper on which the page has its room."""

_BESIDE = 62.0
"""mm: where boxes begin that stand beside the heading of their pass."""


def write_job_sheet(plan: Plan, path: Path) -> None:
    """Write job-sheet.pdf, one page held upright; further ones only where the runs need them.

    On the job's paper, or on A4 or Letter where that is smaller. The same plan gives the
    same bytes. JobError where the paper is too small for a template.
    """
    pdf = Pdf(path, title=f"{plan.job.name}: job sheet", date=plan.job.date)
    sheet = _Sheet(pdf, plan)
    sheet.heading()
    sheet.board_and_facts(facts_of(plan, assemble(plan)))
    sheet.checks()
    sheet.warnings()
    sheet.runs()
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
        said = self.plan.job.name if self.pages == 1 else f"{self.plan.job.name}: page {self.pages}"
        self.pdf.text(self.left, self.y + 6.5, self.pdf.fit(said, 20.0, room, bold=True), 20.0, bold=True)
        self.y += 10.0
        self.rule()

    def rule(self) -> None:
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.3)
        self.y += 2.5

    def board_and_facts(self, facts: Sequence[Fact]) -> None:
        """The board in small on the left, what must be known on the right."""
        share = self.width * 0.45
        column = self.left + share + 5.0
        y = self.y
        for fact in facts:
            y = self.fact(fact, column, y)
        used = draw_thumbnail(self.pdf, self.plan, self.left, self.y + 1.0, room=(share, y - self.y - 2.0))
        self.y = max(y, self.y + used + 2.0) + 1.0

    def fact(self, fact: Fact, x: float, y: float) -> float:
        """Write one fact from (x, y) down; return where it ends."""
        self.pdf.text(x, y + 2.6, fact.label, 7.5, bold=True, colour=_DARK)
        if fact.trust:
            trust = self.pdf.fit(fact.trust, 7.5, self.right - x - 35.0)
            self.pdf.text(self.right, y + 2.6, trust, 7.5, anchor="right", colour=_DARK)
        return self.paragraph(fact.value, 10.0, x, y + 3.2) + 1.4

    def paragraph(self, words: str, size: float, x: float, y: float, *, bold: bool = False) -> float:
        """Write wrapped words from (x, y) to the right margin; return where they end."""
        pitch = size * POINT * _LEADING
        for line in self.pdf.wrap(words, size, self.right - x, bold=bold):
            self.pdf.text(x, y + pitch * 0.8, line, size, bold=bold)
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
        job = self.plan.job
        groove = f"{both(job.groove, job.units)} at {both(job.depth, job.units)} deep"
        for words in (
            "Bars on every sheet: across ______ mm, down ______ mm (each must be 100; if not, print again)",
            f"Test groove in scrap of this wood: ________ wide (expect {groove})",
            "Line of ______ mm on the template is ______ mm in the wood (middle to middle): ratio ______",
            "The art comes from __________________________ and I may carve it: ____________________",
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
        needed = self.runs_height()
        room = self.floor - self.y
        last = self.floor - needed if needed < room - 30.0 else self.floor - 30.0
        for shown, finding in enumerate(findings):
            if shown == _WARNINGS or (shown and self.y + 10.0 > last):
                said = f"And {len(findings) - shown} of other kinds: see report.html."
                self.y = self.paragraph(said, 9.0, self.left + 12.0, self.y)
                break
            mark = {"loss": "LOSS", "risk": "RISK", "note": "note"}[finding.severity]
            self.pdf.text(self.left, self.y + 3.5, mark, 8.5, bold=finding.severity != "note")
            self.y = self.paragraph(finding.message, 9.5, self.left + 12.0, self.y) + 0.8
        self.y += 1.0

    def runs(self) -> None:
        """A box to tick for each run of each pass, in the order of cutting."""
        self.rule()
        self.title("Tick off each run when the bit is up again")
        for stop in self.plan.stops:
            several = f"Stop {stop.number}, pass" if len(self.plan.stops) > 1 else "Pass"
            for number, depth in enumerate(stop.pass_depths, start=1):
                self.make_room(14.0)
                deep = format_length(depth, self.plan.job.units)
                said = f"{several} {number} of {len(stop.pass_depths)}, {deep} deep"
                self.pdf.text(self.left, self.y + 4.4, said, 10.0, bold=True)
                if not self.in_one_row:
                    self.y += 6.0
                self.boxes([str(run.number) for run in self.plan.runs if run.stop == stop.number])

    def boxes(self, numbers: list[str]) -> None:
        """One box and number for each run, in rows."""
        step = self.step
        left = self.left + (_BESIDE if self.in_one_row else 0.0)
        count = max(1, int((self.right - left) // step))
        for first in range(0, len(numbers), count):
            self.make_room(7.0)
            for place, number in enumerate(numbers[first : first + count]):
                x = left + place * step
                self.tick(x, self.y + 3.0)
                self.pdf.text(x + 5.5, self.y + 4.4, number, 11.0, bold=True)
            self.y += 7.0
        self.y += 0.5

    @property
    def step(self) -> float:
        """Room for one box and its number."""
        return 9.0 + max(
            (self.pdf.measure(str(run.number), 11.0, bold=True) for run in self.plan.runs), default=0.0
        )

    @property
    def in_one_row(self) -> bool:
        """Whether all boxes of a pass find room beside its heading."""
        return _BESIDE + self.step * len(self.plan.runs) <= self.width

    def runs_height(self) -> float:
        """Room that `runs` will take."""
        in_a_row = max(1, int(self.width // self.step))
        rows = 0
        for stop in self.plan.stops:
            runs = sum(run.stop == stop.number for run in self.plan.runs)
            rows += (1 if self.in_one_row else 1 + math.ceil(runs / in_a_row)) * len(stop.pass_depths)
        return 9.5 + 7.5 * rows

    def notes(self) -> None:
        """Lines to write on where room is left."""
        if self.y + 22.0 > self.floor:
            return
        self.rule()
        self.title("Notes: finish, what to do otherwise next time")
        while self.y + 8.0 < self.floor:
            self.y += 8.0
            self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.12, colour=GREY)

    def make_room(self, height: float) -> None:
        """Go on to a new page where `height` does not fit."""
        if self.y + height > self.floor:
            self.turn()
            self.heading()

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
