"""Test sheet, the linkage's page, or pages where its square goes over two: trace it, measure it, type it."""

from tracer.job import Job
from tracer.sheets.pdf import Pdf
from tracer.sheets.test_sheet_page import BLANK, Leaf
from tracer.sheets.test_sheet_square import Square, draw_half, draw_whole

_SIZE, _CAREFUL = 10.0, 8.6  # points: the words, and the cautions at the foot

_CARE = (
    "The bit's marking, router's manual and local rules come first. Guard eyes and ears; scrap held fast; "
    "both hands on."
)


def draw_linkage_page(pdf: Pdf, job: Job, title: str, square: Square) -> None:
    """Draw the page with the whole square."""
    leaf = _leaf(pdf, job, title)
    draw_whole(leaf, square)
    _tell_tracing(leaf)
    _tell_paper(leaf, 2)
    _tell_wood(leaf, 3)
    _end(leaf)


def draw_linkage_halves(pdf: Pdf, job: Job, titles: tuple[str, str], square: Square) -> None:
    """Draw the two pages of a square that one does not hold: pages 2 and 3 of the sheet."""
    leaf = _leaf(pdf, job, titles[0])
    draw_half(leaf, square, right=False, other="page 3")
    leaf.step(
        1,
        "Join this page and the next: cut where it says, lay crosses on crosses, tape. Then the two ways "
        "from corner to corner must measure the same.",
    )
    _tell_paper(leaf, 2)
    _tell_tracing(leaf, 3)
    _end(leaf)
    leaf = _leaf(pdf, job, titles[1])
    draw_half(leaf, square, right=True, other="page 2")
    _tell_wood(leaf, 4)
    _end(leaf)


def _leaf(pdf: Pdf, job: Job, title: str) -> Leaf:
    return Leaf(pdf, job, title, inset=job.printer.margin, true=True, size=_SIZE)


def _end(leaf: Leaf) -> None:
    """Write the cautions at the foot: this page has the router run."""
    leaf.foot(_CARE, size=_CAREFUL)
    leaf.check()


def _tell_tracing(leaf: Leaf, number: int = 1) -> None:
    depth = "1 mm" if leaf.job.units == "mm" else "1/32 in"
    leaf.step(
        number,
        "Tape the paper flat under the stylus and fix flat scrap under the router. Set the bit about "
        f"{depth} deep. Trace the square, then the line across its corner.",
    )


def _tell_paper(leaf: Leaf, number: int) -> None:
    leaf.step(number, "Measure the square on paper, from cross to cross:")
    leaf.blanks("across", "down", unit=leaf.job.units)


def _tell_wood(leaf: Leaf, number: int) -> None:
    """Say how the square is measured in the wood, and what to type."""
    units = leaf.job.units
    leaf.step(
        number,
        "Measure it in the wood, left wall to left wall, upper wall to upper wall. Type both, paper first:",
    )
    leaf.blanks("across", "down", unit=units)
    leaf.command(
        f'tracer ratio --traced "{BLANK} x {BLANK} {units}" --cut "{BLANK} x {BLANK} {units}" --save'
    )
    leaf.step(number + 1, "Is the corner with the line across it at the lower right in the wood? yes or no:")
    leaf.command(f"tracer shop set linkage.turned {BLANK}")
    leaf.note(
        "Corner to corner in the wood must measure the same both ways: if not, set the linkage square first."
    )
