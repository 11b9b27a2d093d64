"""The cutting list of letter cards: how many of each, and which letters of the words they are. True mm."""

from collections.abc import Iterator, Sequence

from tracer.lengths import both
from tracer.model.plan import Plan
from tracer.sheets.card_face import CardSize
from tracer.sheets.card_letters import CardLetter
from tracer.sheets.pdf import GREY, POINT, Pdf
from tracer.sheets.placement import PlacedLine, placed_lines
from tracer.sheets.said_names import title_of
from tracer.shop.paper import default_paper

_NARROWEST = 190.0  # mm of paper on which the list has its room
_ROW, _STEP = 7.2, 15.0  # mm from row to row, and from one box to tick to the next
_BOXES = 42.0  # mm from the left to the first box


def draw_list(pdf: Pdf, plan: Plan, letters: Sequence[CardLetter], size: CardSize) -> None:
    """Draw the list on pages held upright, with a box to tick for each letter."""
    sheet = _List(pdf, plan)
    units = plan.job.units
    total = sum(len(letter.places) for letter in letters)
    sheet.note(
        f"{len(letters)} cards, each {both(size.width, units)} x {both(size.height, units)}, for {total} "
        "letters. "
        f"On every card the origin lies {both(size.x, units)} from its left edge and {both(size.y, units)} "
        "from its top edge: stop the cards there, and only the board is moved."
    )
    sheet.note(
        "Numbers are those of placement.pdf, with the board's place for each. To lay out a word from "
        "cards alone put the next card's origin on this card's mark of that name, baseline on baseline; a "
        "number behind a name tells which one, where it follows at several marks."
    )
    sheet.note("Runs are counted on each card: tick letters here, not on the job sheet.")
    sheet.title("How many of each")
    for letter in letters:
        sheet.row(letter.name, f"× {len(letter.places)}", [f"{one.number}" for one in letter.places])
    sheet.title("In order")
    for line in placed_lines(plan):
        sheet.row(f"Line {line.number}", "", list(_in_order(line)))


def _in_order(line: PlacedLine) -> Iterator[str]:
    for one in line.letters:
        yield f"{one.number} {one.name}"


class _List:
    """The page being filled, from the top down: `y` is how far it is."""

    def __init__(self, pdf: Pdf, plan: Plan) -> None:
        self.pdf, self.plan = pdf, plan
        own = plan.job.paper
        self.paper = own if own.width >= _NARROWEST else default_paper(plan.job.units)
        self.left = plan.job.printer.margin
        self.right = self.paper.width - self.left
        self.turn()

    def turn(self) -> None:
        """Begin a page with its heading."""
        self.pdf.page(self.paper.width, self.paper.height)
        said = f"{title_of(self.plan)}: letter cards to cut"
        said = self.pdf.fit(said, 18.0, self.right - self.left, bold=True)
        self.pdf.text(self.left, self.left + 6.5, said, 18.0, bold=True)
        self.y = self.left + 9.5
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.3)
        self.y += 2.5

    def note(self, words: str) -> None:
        """Write wrapped words."""
        pitch = 10.0 * POINT * 1.3
        for said in self.pdf.wrap(words, 10.0, self.right - self.left):
            self.pdf.text(self.left, self.y + pitch * 0.8, said, 10.0)
            self.y += pitch
        self.y += 1.2

    def title(self, words: str) -> None:
        """Write a heading, on a new page where no row would follow it."""
        if self.y + 12.0 + _ROW > self.paper.height - self.left:
            self.turn()
        self.pdf.text(self.left, self.y + 7.0, words, 13.0, bold=True)
        self.y += 10.0

    def row(self, name: str, count: str, boxes: Sequence[str]) -> None:
        """Write a name, a count, and a box to tick for each of `boxes`, in as many rows as they need."""
        widest = max(self.pdf.measure(words, 11.0) for words in boxes) + 8.5
        step = max(_STEP, widest)
        each = max(1, int((self.right - self.left - _BOXES) // step))
        for first in range(0, len(boxes), each):
            if self.y + _ROW > self.paper.height - self.left:
                self.turn()
            base = self.y + 5.0
            if not first:
                size = self.pdf.shrunk(name, (13.0, 8.0), 26.0)
                self.pdf.text(self.left, base, self.pdf.fit(name, size, 26.0, bold=True), size, bold=True)
                self.pdf.text(self.left + 28.0, base, count, 11.0)
            for place, words in enumerate(boxes[first : first + each]):
                x = self.left + _BOXES + place * step
                self.pdf.box(x, base - 3.6, 4.0, 4.0, line=0.35)
                self.pdf.text(x + 5.5, base, words, 11.0)
            self.y += _ROW
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.12, colour=GREY)
