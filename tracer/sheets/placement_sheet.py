"""placement.pdf: where every letter starts on the board, how far the work moves, and the strip of origins."""

import math
from collections.abc import Sequence
from pathlib import Path

from tracer.lengths import Units, both
from tracer.model.plan import Plan
from tracer.sheets.letter_table import Column, baseline_words, reading, table_columns, turn_words
from tracer.sheets.letter_words import face_words, set_words_of
from tracer.sheets.marks import WORK_SIZE
from tracer.sheets.origin_strip import draw_strips, strip_lines
from tracer.sheets.pdf import GREY, POINT, Colour, Pdf
from tracer.sheets.placement import PlacedLetter, PlacedLine, pieces_of_words, placed_lines
from tracer.sheets.said_names import title_of, words_said
from tracer.shop.linkage import ratio_words
from tracer.shop.paper import default_paper

_WHEN = (
    "Needed only if you work letter by letter, from cards; with the joined template the board stays "
    "where it is."
)
_DARK: Colour = (0.25, 0.25, 0.25)
_ROW = 6.8  # mm from one letter to the next
_SIZE = 11.0  # points
_NARROWEST = 190.0  # mm of paper on which the table has its room
_NUMBER, _NAME = 9.0, 27.0  # mm: the first two columns


def drift(line: PlacedLine) -> float:
    """Return how far the baseline drifts over a line, mm, when the board lies 1 degree out of square."""
    return line.end * math.sin(math.radians(1.0))


def write_placement(plan: Plan, path: Path) -> None:
    """Write placement.pdf: the tables of all lines, held upright, then the strips, held across.

    Every length is rounded by itself, from unrounded positions. The same plan gives the same bytes.
    """
    pdf = Pdf(path, title=f"{title_of(plan)}: placement", date=plan.job.date)
    lines = placed_lines(plan)
    sheet = _Sheet(pdf, plan)
    sheet.facts(lines)
    for line in lines:
        sheet.table(line)
    sheet.note("Board assumed round the figure: saw it so." if not plan.layout.board.declared else "")
    draw_strips(pdf, plan, lines)
    pdf.save()


class _Sheet:
    """The page being filled, from the top down: `y` is how far it is."""

    def __init__(self, pdf: Pdf, plan: Plan) -> None:
        self.pdf, self.plan, self.pages = pdf, plan, 0
        own = plan.job.paper
        self.paper = own if own.width >= _NARROWEST else default_paper(plan.job.units)
        self.left = plan.job.printer.margin
        self.right = self.paper.width - self.left
        self.floor = self.paper.height - self.left
        self.turn()

    def turn(self) -> None:
        """Begin a page with its title."""
        self.pdf.page(self.paper.width, self.paper.height)
        self.pages += 1
        page = f", page {self.pages}" if self.pages > 1 else ""
        said = f"{title_of(self.plan)}: placing the letters{page}"
        date = self.plan.job.date.isoformat()
        room = self.right - self.left - self.pdf.measure(date, 11.0) - 5.0
        self.y = self.left
        self.pdf.text(self.right, self.y + 6.0, date, 11.0, anchor="right")
        size = self.pdf.shrunk(said, (18.0, 12.0), room)
        self.pdf.text(self.left, self.y + 6.5, self.pdf.fit(said, size, room, bold=True), size, bold=True)
        self.y += 9.5
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.3)
        self.y += 2.5

    def note(self, words: str, size: float = 10.0) -> None:
        """Write wrapped words."""
        pitch = size * POINT * 1.3
        for said in self.pdf.wrap(words, size, self.right - self.left):
            self.pdf.text(self.left, self.y + pitch * 0.8, said, size)
            self.y += pitch
        self.y += 1.2 if words else 0.0

    def facts(self, lines: Sequence[PlacedLine]) -> None:
        """Say when the sheet is needed, what the letters are and how the table is used."""
        self.note(_WHEN)
        units, ratio = self.plan.job.units, ratio_words(self.plan.job.ratio)
        heights = {one.piece: one.height for line in lines for one in line.letters}
        for index, _, marks in pieces_of_words(self.plan):
            high = f"capitals {both(heights[index], units)} high"
            self.note(f"{face_words(marks)}: {high}, {set_words_of(marks.lettering)}.")
        ratio = ratio[0].upper() + ratio[1:]
        self.note(f"{ratio}.")
        if strips := strip_lines(lines):
            self.note("Shift = ratio × advance on the template, kerning included.")
            self.note(
                "Set a straight fence along the baseline and slide the board on it. Every place is measured "
                "from one end, none from the letter before: rounding never adds up. Lift the bit and let it "
                "stop before the board is moved."
            )
            longest = max(strips, key=drift)
            self.note(
                "Square the board to the fence: 1° out lets the baseline drift "
                f"{both(drift(longest), units)} over {words_said(longest.words)}."
            )

    def table(self, line: PlacedLine) -> None:
        """Write one line's table; its head again on each page."""
        if self.y + 26.0 + 2 * _ROW > self.floor:
            self.turn()
        self.y += 3.0
        said = f"Line {line.number}: {words_said(line.words)}"
        words = self.pdf.fit(said, 13.0, self.right - self.left, bold=True)
        self.pdf.text(self.left, self.y + 4.5, words, 13.0, bold=True)
        self.y += 6.5
        self.note(baseline_words(self.plan, line))
        columns = table_columns(line)
        self.head(line, columns)
        for place, one in enumerate(line.letters):
            if self.y + _ROW > self.floor:
                self.turn()
                self.head(line, columns)
            self.row(line, place, one, columns)

    def head(self, line: PlacedLine, columns: Sequence[Column]) -> None:
        """Write the heads of the columns."""
        for place, column in enumerate(columns):
            for row, words in enumerate(column.head):
                y = self.y + 3.4 + 3.6 * row
                self.pdf.text(self.stop(place), y, words, WORK_SIZE, anchor="right", bold=True)
        if not line.straight:
            self.pdf.text(self.right, self.y + 7.0, "turned", WORK_SIZE, anchor="right", bold=True)
        self.pdf.text(self.left + 6.5, self.y + 7.0, "No.", WORK_SIZE, anchor="right", bold=True)
        self.pdf.text(self.left + _NUMBER, self.y + 7.0, "letter", WORK_SIZE, bold=True)
        self.y += 8.6
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.3)

    def row(self, line: PlacedLine, place: int, one: PlacedLetter, columns: Sequence[Column]) -> None:
        """Write one letter's row, the user's unit in front and larger."""
        units = self.plan.job.units
        other: Units = "in" if units == "mm" else "mm"
        y = self.y + _ROW - 2.0
        self.pdf.text(self.left + 6.5, y, f"{one.number}", _SIZE, anchor="right")
        size = self.pdf.shrunk(one.name, (_SIZE + 2, 7.0), _NAME - 8.0)
        name = self.pdf.fit(one.name, size, _NAME - 8.0, bold=True)
        self.pdf.text(self.left + _NUMBER, y, name, size, bold=True)
        for at, column in enumerate(columns):
            mm = column.value(line, place)
            middle = self.stop(at) - 22.0
            self.pdf.text(middle, y, reading(mm, units), _SIZE, anchor="right")
            if mm is not None:
                self.pdf.text(self.stop(at), y, reading(mm, other), _SIZE - 1.5, anchor="right", colour=_DARK)
        if not line.straight:
            self.pdf.text(self.right, y, turn_words(one), _SIZE - 1.0, anchor="right")
        self.y += _ROW
        self.pdf.line([(self.left, self.y), (self.right, self.y)], width=0.12, colour=GREY)

    def stop(self, column: int) -> float:
        """Where a column's words end."""
        return self.left + _NUMBER + _NAME + 50.0 * (column + 1)
