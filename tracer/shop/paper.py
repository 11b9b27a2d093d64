"""Sheets of paper."""

from dataclasses import dataclass

from tracer.errors import JobError, LengthError
from tracer.lengths import MM_PER_INCH, MM_PER_POINT, Units, parse_size, quoted

SHORTEST, LONGEST = 50.0, 5000.0
"""Sides taken for a sheet or a cut length of roll paper, mm: our own limits."""

LEAST_PRINTED = 100.0
"""mm: shortest side of paper on which a template's marks and words find room."""


@dataclass(frozen=True)
class Paper:
    """A sheet held upright: `width` <= `height`, mm."""

    name: str
    width: float
    height: float

    @property
    def points(self) -> tuple[float, float]:
        """Width and height in the PDF's unit, 1/72 in (ISO 32000)."""
        return self.width / MM_PER_POINT, self.height / MM_PER_POINT


def _inches(name: str, width: float, height: float) -> Paper:
    return Paper(name, width * MM_PER_INCH, height * MM_PER_INCH)


PAPERS: tuple[Paper, ...] = (
    Paper("A4", 210.0, 297.0),
    Paper("A3", 297.0, 420.0),
    _inches("Letter", 8.5, 11.0),
    _inches("Legal", 8.5, 14.0),
    _inches("Tabloid", 11.0, 17.0),
)
"""A sizes of ISO 216; Letter and Tabloid are sizes A and B of ANSI/ASME Y14.1; Legal is an office size."""


_NAMED_ONLY = (Paper("A5", 148.0, 210.0), Paper("A2", 420.0, 594.0))
"""ISO 216, too: of A4's shape, so that a photo never shows them, and rare in printers."""


def paper_named(
    text: str, *, unit: Units | None = None, what: str = "paper", shortest: float = SHORTEST
) -> Paper:
    """A sheet by its name, or by its size as in "12 x 18 in" (`unit` is what bare numbers are in).

    `shortest` is the least that a side may be, mm: `LEAST_PRINTED` where it is to be printed on.

    Raises
    ------
    JobError
        Where it is neither, or a side is outside `shortest` to 5 m.
    """
    said = text.casefold().strip().removeprefix("us ")
    for paper in (*PAPERS, *_NAMED_ONLY):
        if paper.name.casefold() == said:
            return paper
    known = ", ".join(paper.name for paper in PAPERS)
    try:
        short, long = sorted(parse_size(text, unit=unit, what=what))
    except LengthError as error:
        raise JobError(
            f"{what} {quoted(text)} is not known: say {known}, or width x height as 12 x 18 in"
        ) from error
    if not shortest <= short <= long <= LONGEST:
        use = " to print on" if shortest > SHORTEST else ""
        raise JobError(
            f"{what} {quoted(text)} is no sheet{use}: its sides are to be between {shortest:g} mm and "
            f"{LONGEST / 1000:g} m"
        )
    return Paper(" ".join(text.split()), short, long)


def default_paper(units: Units) -> Paper:
    """The sheet most printers hold where these units are used: Letter for inches, A4 for millimetres."""
    return PAPERS[2] if units == "in" else PAPERS[0]


def fitted(page: Paper, sheet: Paper) -> float:
    """By what a page shrinks or grows when a print dialog fits it to another sheet."""
    return min(sheet.width / page.width, sheet.height / page.height)
