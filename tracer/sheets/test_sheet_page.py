"""A page of the test sheet, filled from the top: words, blanks to write in, and commands to type. True mm."""

from collections.abc import Iterator
from contextlib import contextmanager

from tracer.errors import JobError
from tracer.job import Job
from tracer.lengths import both
from tracer.sheets.pdf import GREY, POINT, Colour, Pdf

DARK: Colour = (0.25, 0.25, 0.25)
PALE: Colour = (0.93, 0.93, 0.93)
BLANK = "______"
"""What is to be filled in, in a command."""

TITLE = 10.0
"""mm that a page's title takes."""

SIZE = 11.0
"""Points: read at arm's length (common practice, no source)."""

_FOOT = 10.0  # points: words at the bottom


class Leaf:
    """One page: `left`, `right`, `floor` bound what is written, `y` is how far it has come."""

    def __init__(
        self, pdf: Pdf, job: Job, title: str, *, inset: float, true: bool, size: float = SIZE
    ) -> None:
        """Begin a page with its title; `true` corrects it by the bar as measured, `size` is of its words."""
        self.pdf, self.job, self.size = pdf, job, size
        across, down = job.printer.correction if true else (1.0, 1.0)
        pdf.page(job.paper.width, job.paper.height, stretch=(across, down))
        self.width, self.height = job.paper.width / across, job.paper.height / down
        self.left, self.right = inset, self.width - inset
        self.floor = self.height - inset
        self.y = inset
        self._title(title)

    @property
    def room(self) -> float:
        """Width for words."""
        return self.right - self.left

    def _title(self, title: str) -> None:
        """Write the title, as large as the date leaves room for."""
        date = self.job.date.isoformat()
        room = self.room - self.pdf.measure(date, 9.0) - 4.0
        size = self.pdf.shrunk(title, (16.0, 12.0), room)
        self.pdf.text(self.left, self.y + 5.6, self.pdf.fit(title, size, room, bold=True), size, bold=True)
        self.pdf.text(self.right, self.y + 5.6, date, 9.0, anchor="right")
        line = self.y + TITLE - 2.0
        self.pdf.line([(self.left, line), (self.right, line)], width=0.3)
        self.y += TITLE

    @contextmanager
    def column(self, left: float, top: float) -> Iterator[None]:
        """Write from (left, top) on in a narrower column; after it goes on below whichever is longer."""
        kept, y = self.left, self.y
        self.left, self.y = left, top
        yield
        self.left, self.y = kept, max(y, self.y)

    def note(self, words: str, *, indent: float = 0.0) -> None:
        """Write wrapped words."""
        pitch = self.size * POINT * 1.3
        for said in self.pdf.wrap(words, self.size, self.room - indent):
            self.pdf.text(self.left + indent, self.y + pitch * 0.8, said, self.size)
            self.y += pitch
        self.y += 1.0

    def step(self, number: int, words: str) -> None:
        """Write one numbered step."""
        self.pdf.text(self.left, self.y + self.size * POINT * 1.04, f"{number}", self.size, bold=True)
        self.note(words, indent=5.5)

    def blanks(self, *labels: str, unit: str) -> None:
        """Write labels with a blank and a unit each, evenly over the width, with room for a pencil."""
        start = self.left + 5.5
        pitch = (self.right - start) / len(labels)
        base = self.y + 6.0
        for place, label in enumerate(labels):
            x = start + place * pitch
            self.pdf.text(x, base, label, self.size)
            x += self.pdf.measure(label, self.size) + 2.0
            end = start + (place + 1) * pitch - self.pdf.measure(unit, self.size) - 5.0
            self.pdf.line([(x, base + 0.8), (end, base + 0.8)], width=0.2)
            self.pdf.text(end + 1.5, base, unit, self.size)
        self.y = base + 3.5

    def command(self, words: str) -> None:
        """Write what to type, on a ground of its own; a long one goes over several lines."""
        lines = self.pdf.wrap(words, self.size, self.room - 9.5, bold=True)
        pitch = self.size * POINT * 1.5
        self.pdf.box(self.left + 5.5, self.y, self.room - 5.5, pitch * len(lines) + 1.6, fill=PALE)
        for line in lines:
            self.pdf.text(self.left + 7.5, self.y + pitch * 0.8, line, self.size, bold=True)
            self.y += pitch
        self.y += 3.2

    def check(self) -> None:
        """Refuse a page on which the words did not find room."""
        if self.y > self.floor:
            raise JobError(
                f"the test sheet does not fit {self.job.paper.name} paper inside margins of "
                f"{both(self.job.printer.margin, self.job.units)}: say larger paper with --paper"
            )

    def foot(self, words: str, *, size: float = _FOOT) -> None:
        """Write words at the bottom, under a line, `size` in points."""
        pitch = size * POINT * 1.3
        lines = self.pdf.wrap(words, size, self.room)
        top = self.floor - pitch * len(lines)
        self.pdf.line([(self.left, top - 0.6), (self.right, top - 0.6)], width=0.15, colour=GREY)
        for row, line in enumerate(lines):
            self.pdf.text(self.left, top + pitch * (row + 0.8), line, size)
        self.floor = top - 1.0
