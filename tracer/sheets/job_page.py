"""The pages of the job sheet, being filled from the top down."""

from collections.abc import Sequence

from tracer.model.plan import Plan
from tracer.sheets.blocks import Block, Column
from tracer.sheets.pdf import Pdf
from tracer.sheets.pdf_letters import shown
from tracer.sheets.said_names import title_of
from tracer.shop.paper import Paper, default_paper

_NARROWEST, _SHORTEST = 200.0, 270.0
"""mm: the smallest paper on which the page has its room."""


class JobPage:
    """The page being filled: `room` mm of its height are left."""

    def __init__(self, pdf: Pdf, plan: Plan) -> None:
        self.pdf, self._plan = pdf, plan
        self.paper = _paper(plan)
        self.margin = plan.job.printer.margin
        self.column = Column(pdf, self.margin, self.paper.width - self.margin)
        self.pages = 0
        self._y = self._floor = 0.0

    @property
    def room(self) -> float:
        """Height that is left, mm."""
        return self._floor - self._y

    def turn(self, *, foot: Block | None = None) -> None:
        """Begin a page with its heading; `foot` stands at its lower end."""
        self.pdf.page(self.paper.width, self.paper.height)
        self.pages += 1
        self._y, self._floor = self.margin, self.paper.height - self.margin
        if foot is not None:
            self._floor -= foot.height
            foot.draw(self._floor)
            self._floor -= 1.0
        self._heading()

    def put(self, block: Block) -> None:
        """Draw a block under what is there."""
        block.draw(self._y)
        self._y += block.height

    def put_each(self, blocks: Sequence[Block]) -> None:
        """Draw blocks under one another, on further pages where they need them."""
        for block in blocks:
            if block.height > self.room:
                self.turn()
            self.put(block)

    def _heading(self) -> None:
        """Title, revision and date, and on later pages which page it is."""
        job = self._plan.job
        revision = shown(job.revision)
        revision = self.pdf.fit(f"revision {revision}", 11.0, 50.0) + "   " if revision else ""
        date = revision + job.date.isoformat()
        self.pdf.text(self.column.right, self._y + 6.0, date, 11.0, anchor="right")
        room = self.column.width - self.pdf.measure(date, 11.0) - 5.0
        said = title_of(self._plan) + (f": page {self.pages}" if self.pages > 1 else "")
        self.pdf.text(
            self.column.left, self._y + 6.5, self.pdf.fit(said, 20.0, room, bold=True), 20.0, bold=True
        )
        self._y += 10.0


def _paper(plan: Plan) -> Paper:
    """Return the job's paper, or A4 or Letter where that is too small."""
    own = plan.job.paper
    fits = own.width >= _NARROWEST and own.height >= _SHORTEST
    return own if fits else default_paper(plan.job.units)
