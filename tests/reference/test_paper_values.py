"""Sheets against the standards' numbers and another library's table.

[S7] NIST, the international inch; [S8] ISO 32000-1, the point of 1/72 in; [S9] CSS, 96 px to the inch;
[S11] web guides on print scaling; [S13] ISO 216, A sizes; [D] arithmetic.
"""

import math

import pytest
from reportlab.lib import pagesizes

from tracer.shop.paper import PAPERS, fitted, paper_named
from tracer.shop.printer import FITTED


def near(expected: float, digit: float) -> object:
    """Equal to within the last digit shown."""
    return pytest.approx(expected, rel=0, abs=digit)


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [("A4", 595.276, 841.890), ("Letter", 612.0, 792.0)],  # mm / 25.4 x 72 [S8]
)
def test_points(name: str, width: float, height: float) -> None:
    assert paper_named(name).points == (near(width, 0.0005), near(height, 0.0005))


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [("Letter", 816.0, 1056.0), ("A4", 793.70, 1122.52)],  # mm / 25.4 x 96 [S9]
)
def test_css_pixels(name: str, width: float, height: float) -> None:
    paper = paper_named(name)
    assert [side / 25.4 * 96 for side in (paper.width, paper.height)] == [
        near(width, 0.005),
        near(height, 0.005),
    ]


@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("A4", pagesizes.A4),
        ("A3", pagesizes.A3),
        ("Letter", pagesizes.LETTER),
        ("Legal", pagesizes.LEGAL),
        ("Tabloid", pagesizes.TABLOID),
    ],
)
def test_another_librarys_table(name: str, theirs: tuple[float, float]) -> None:
    assert paper_named(name).points == pytest.approx(theirs, abs=0.01)


def test_iso_216_by_its_definition() -> None:
    """A0 is 1 m^2 with sides as 1 to root 2; each next size is halved; sides are whole mm [S13]."""
    for size, name in ((4, "A4"), (3, "A3")):
        short = 1000 * 2 ** (-0.25 - size / 2)
        assert paper_named(name).width == near(short, 0.5)
        assert paper_named(name).height == near(short * math.sqrt(2), 0.5)


@pytest.mark.parametrize(("page", "sheet", "percent"), [("A4", "Letter", 94.07), ("Letter", "A4", 97.27)])
def test_fit_to_page(page: str, sheet: str, percent: float) -> None:  # 279.4 / 297 and 210 / 215.9 [D], [S11]
    share = fitted(paper_named(page), paper_named(sheet))
    assert 100 * share == near(percent, 0.005)
    assert share <= 1 - FITTED  # so that a bar printed so is doubted


def test_all_stand_upright() -> None:
    assert all(paper.width <= paper.height for paper in PAPERS)
