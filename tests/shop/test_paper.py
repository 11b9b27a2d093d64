import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.shop.paper import LEAST_PRINTED, default_paper, fitted, paper_named


@pytest.mark.parametrize(
    ("text", "name"), [("a4", "A4"), (" Letter ", "Letter"), ("a5", "A5"), ("US letter", "Letter")]
)
def test_by_name(text: str, name: str) -> None:
    assert paper_named(text).name == name


@pytest.mark.parametrize(
    ("text", "sides"),
    [("12 x 18 in", (304.8, 457.2)), ("18in x 12in", (304.8, 457.2)), ("210 x 297 mm", (210.0, 297.0))],
)
def test_by_size_stands_upright(text: str, sides: tuple[float, float]) -> None:
    paper = paper_named(text)
    assert (paper.width, paper.height) == pytest.approx(sides)


@pytest.mark.parametrize("name", ["A2", "A3", "A5"])
def test_a_sizes_are_of_one_shape(name: str) -> None:
    # ISO 216: the sides are as 1 to the square root of 2, to the rounding of whole mm.
    paper = paper_named(name)
    assert abs(paper.height - paper.width * 2**0.5) < 1.0


def test_bare_size_needs_units() -> None:
    with pytest.raises(JobError, match="width x height"):
        paper_named("210 x 297")
    assert paper_named("12 x 18", unit="in").width == pytest.approx(304.8)


@pytest.mark.parametrize(
    ("text", "why"),
    [("B4", "say A4, A3, Letter"), ("", "say A4"), ("2 x 3 mm", "no sheet"), ("1 m x 9 m", "no sheet")],
)
def test_refused(text: str, why: str) -> None:
    with pytest.raises(JobError, match=why):
        paper_named(text)


def test_a_photographed_sheet_may_be_smaller_than_one_that_is_printed_on() -> None:
    assert paper_named("60 x 90 mm").width == 60.0
    with pytest.raises(JobError, match=r"to print on: .* between 100 mm and 5 m"):
        paper_named("60 x 90 mm", shortest=LEAST_PRINTED)


def test_default_follows_the_units() -> None:
    assert default_paper("mm").name == "A4"
    assert default_paper("in").name == "Letter"


@given(st.floats(50, 5000), st.floats(50, 5000))
def test_a_sheet_fits_itself(width: float, height: float) -> None:
    paper = paper_named(f"{width:.4f} x {height:.4f} mm")
    assert paper.width <= paper.height
    assert fitted(paper, paper) == 1.0
