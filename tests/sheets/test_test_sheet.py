"""The test sheet's pages: true lengths on them, as drawn in the file and as another renderer shows them."""

import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from sheets.drawn import Line, drawn
from sheets.pages import MM_PER_PX, dark, rendered, sizes, texts
from sheets.plans import DATE

from tracer.errors import JobError
from tracer.job import Job
from tracer.sheets.marks import TRACK
from tracer.sheets.test_sheet import write_test_sheet
from tracer.sheets.test_sheet_bit import step_depths
from tracer.shop.bits import RoundNose, Straight, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer

SLIPPING = Printer(99.2, 100.4, measured=True)
RED = tuple(round(255 * part) for part in TRACK)


def written(path: Path, *, side: float | None = None, **settings: object) -> Path:
    job = replace(Job(date=DATE), **settings)  # type: ignore[arg-type]
    again = "tracer test-sheet -o t.pdf --force"
    write_test_sheet(job, path / "t.pdf", bit="V 60deg 1/2in", again=again, side=side)
    return path / "t.pdf"


def span(lines: list[Line], axis: int) -> float:
    """How far apart the two outermost ends of lines are along an axis."""
    ends = np.concatenate([line.points[:, axis] for line in lines])
    return float(ends.max() - ends.min())


def longest(lines: list[Line], axis: int) -> float:
    return max(span([line], axis) for line in lines if span([line], 1 - axis) < 0.01)


@pytest.mark.parametrize("printer", [Printer(), SLIPPING])
def test_the_first_page_is_never_corrected(tmp_path: Path, printer: Printer) -> None:
    lines, _ = drawn(written(tmp_path, printer=printer), 0)
    # a bar's line of 0.1 mm; the line under the title and those of the blanks are thicker
    thin = [line for line in lines if line.width == pytest.approx(0.1, abs=0.01) and line.colour == (0, 0, 0)]
    assert longest(thin, 0) == pytest.approx(100.0, abs=0.01)
    assert longest(thin, 1) == pytest.approx(100.0, abs=0.01)


@pytest.mark.parametrize("printer", [Printer(), SLIPPING])
def test_the_square_prints_true_on_this_printer(tmp_path: Path, printer: Printer) -> None:
    """What is in the file, times what the printer does to 100 mm: 180 mm, the longest round side on A4."""
    lines, _ = drawn(written(tmp_path, printer=printer), 1)
    red = [line for line in lines if line.colour == RED]
    assert span(red, 0) * printer.bar_x / 100 == pytest.approx(180.0, abs=0.02)
    assert span(red, 1) * printer.bar_y / 100 == pytest.approx(180.0, abs=0.02)
    # 180 sqrt(2) = 254.56: derived
    assert "254.6 mm" in texts(tmp_path / "t.pdf")[1]


@pytest.mark.parametrize(
    ("paper", "units", "side"),
    [
        ("A4", "mm", 180.0),
        ("A3", "mm", 200.0),
        ("Letter", "in", 6.5 * 25.4),
        ("Tabloid", "in", 8 * 25.4),
        ("A4", "in", 7 * 25.4),
    ],
)
def test_the_square_is_as_large_as_the_paper_holds(
    tmp_path: Path, paper: str, units: str, side: float
) -> None:
    lines, _ = drawn(written(tmp_path, paper=paper_named(paper), units=units), 1)
    assert span([line for line in lines if line.colour == RED], 0) == pytest.approx(side, abs=0.02)


def test_a_square_larger_than_a_page_joins_by_its_crosses(tmp_path: Path) -> None:
    """200 mm on A4: each half shows all crosses of the seam, at the same places of the square."""
    path = written(tmp_path, printer=SLIPPING, side=200.0)
    assert len(sizes(path)) == 4
    seen = []
    for page in (1, 2):
        lines, _ = drawn(path, page)
        for line in lines:
            line.points[:] = line.points * [SLIPPING.bar_x / 100, SLIPPING.bar_y / 100]  # as it is printed
        square = max((line for line in lines if line.colour == RED), key=lambda line: len(line.points))
        assert np.ptp(square.points, axis=0) == pytest.approx([200.0, 200.0], abs=0.02)
        corner = square.points.min(axis=0)
        arms = [
            line.points.mean(axis=0) - corner
            for line in lines
            if span([line], 0) == pytest.approx(8, abs=0.1)
        ]
        on_seam = sorted(tuple(place.round(2)) for place in arms if abs(place[0] - 100.0) < 1.0)
        assert [y for _, y in on_seam] == pytest.approx([200 / 6, 100.0, 1000 / 6], abs=0.02)
        assert [x for x, _ in on_seam] == pytest.approx([100.0] * 3, abs=0.02)
        seen.append(corner[0])
    # the left page shows the square's left edge, the right one its right edge, both inside the margins
    assert seen[0] >= 10.0
    assert seen[1] + 200.0 <= 200.0
    assert "cut here, lay on page 2" in texts(path)[2]


def test_a_square_that_two_pages_do_not_hold_is_refused(tmp_path: Path) -> None:
    with pytest.raises(
        JobError, match=r"a square of 300 mm .* is not drawn on A4 paper: 50 mm .* to 20\d mm"
    ):
        written(tmp_path, side=300.0)
    with pytest.raises(JobError, match=r"a square of 20 mm .* is not drawn"):
        written(tmp_path, side=20.0)
    assert len(sizes(written(tmp_path, side=120.0))) == 3


def test_each_stair_goes_a_millimetre_further_from_its_edge_a_step(tmp_path: Path) -> None:
    """On A4, each side by itself: short lines across, 1 to 16 mm from the paper's edge."""
    lines, words = drawn(written(tmp_path), 0)
    short = [line for line in lines if 3.3 < math.dist(line.points[0], line.points[-1]) < 3.5]
    places = np.array([line.points.mean(axis=0) for line in short])
    upright = np.array([np.ptp(line.points[:, 0]) < 0.01 for line in short])
    width, height = 210.0, 297.0
    for out in (
        places[~upright & (places[:, 1] < 20), 1],
        height - places[~upright & (places[:, 1] > height - 20), 1],
        places[upright & (places[:, 0] < 20), 0],
        width - places[upright & (places[:, 0] > width - 20), 0],
    ):
        np.testing.assert_allclose(sorted(out), range(1, 17), atol=0.01)
    # the numbers stand where every printer prints
    numbers = [word.box for word in words if word.text.strip().isdigit() and word.box[1] < 22.0]
    assert min(box[1] for box in numbers) > 16.5


def test_numbers_of_a_stair_are_their_lines_own(tmp_path: Path) -> None:
    """The upper stair: the number under each line says how far it is from the edge."""
    lines, words = drawn(written(tmp_path), 0)
    found = {}
    for line in lines:
        x, y = line.points.mean(axis=0)
        if y < 17 and 3.3 < np.ptp(line.points[:, 0]) < 3.5:
            under = [w for w in words if w.box[0] <= x <= w.box[2] and 16.5 < w.box[1] < 22]
            found[under[0].text.strip()] = y
    assert {name: round(y, 2) for name, y in found.items()} == {str(k): float(k) for k in range(1, 17)}


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_gauges_bars_are_as_wide_as_they_say(tmp_path: Path, units: str) -> None:
    """By pdfium at 600 dpi: dark runs along a row through the bars, against their numbers below."""
    path = written(tmp_path, units=units)
    _, words = drawn(path, 2)
    labels = [w for w in words if 268.0 < w.box[1] < 277.5 and w.text.strip()[0].isdigit() and w.box[3] < 278]
    assert len(labels) > 15
    row = dark(rendered(path, 2))[round(268.0 / MM_PER_PX)]
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    bars = [(a * MM_PER_PX, b * MM_PER_PX) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    assert len(bars) == len(labels)
    for label in labels:
        middle = (label.box[0] + label.box[2]) / 2
        a, b = min(bars, key=lambda bar: abs(sum(bar) / 2 - middle))
        said = float(Fraction(label.text)) * (25.4 if units == "in" else 1.0)
        assert b - a == pytest.approx(said, abs=0.07)


def test_grooves_to_trace_leave_wood_between(tmp_path: Path) -> None:
    """At 1:3 grooves 3.46 mm wide with 4 mm of wood between lie (3.46 + 4) x 3 = 22 mm apart (derived)."""
    lines, _ = drawn(written(tmp_path, linkage=Linkage(1 / 3)), 2)
    rows = sorted(
        line.points[0, 1] for line in lines if line.colour == RED and np.ptp(line.points[:, 0]) > 50
    )
    np.testing.assert_allclose(np.diff(rows), (2 * 3 * math.tan(math.pi / 6) + 4) * 3, atol=0.02)


def test_where_grooves_need_much_paper_two_are_traced(tmp_path: Path) -> None:
    """At 1:5 a 90 deg V 3 mm deep takes (6 + 4) x 5 = 50 mm of paper (derived): the page holds two."""
    lines, _ = drawn(written(tmp_path, linkage=Linkage(0.2), bit=VBit(90.0, 12.7)), 2)
    rows = [line.points[0, 1] for line in lines if line.colour == RED and np.ptp(line.points[:, 0]) > 50]
    assert np.diff(sorted(rows)) == pytest.approx([50.0], abs=0.02)
    words = texts(tmp_path / "t.pdf")[2]
    assert "0.5 mm deep" in words
    assert "3 mm deep" in words
    assert "2 mm deep" not in words


@pytest.mark.parametrize(
    ("bit", "depths"),
    [
        (VBit(60.0, 12.7), (0.5, 1.0, 2.0, 3.0)),
        (VBit(90.0, 6.35), (0.5, 1.0, 2.0, 3.0)),  # full width at 3.175 mm
        (VBit(120.0, 6.35), (0.5, 1.0)),  # at 1.83 mm
        (VBit(150.0, 3.175), (0.135, 0.269, 0.404)),  # 1.5875 / tan 75 deg = 0.425; 95 % of it in thirds
        (Straight(3.175), (0.5, 1.0, 2.0, 3.0)),
    ],
)
def test_depths_are_those_the_bit_can_be_set_to(bit: VBit, depths: tuple[float, ...]) -> None:
    assert step_depths(Job(bit=bit)) == pytest.approx(depths, abs=1e-3)


def test_a_bit_that_has_but_a_diameter_asks_for_one_groove(tmp_path: Path) -> None:
    assert texts(written(tmp_path, bit=RoundNose(6.35)))[2].count("--measured") == 1
    assert texts(written(tmp_path))[2].count("--measured") == 2


def test_three_pages_within_the_margins_and_the_same_bytes_twice(tmp_path: Path) -> None:
    path = written(tmp_path)
    first = path.read_bytes()
    assert written(tmp_path).read_bytes() == first
    assert sizes(path) == [(pytest.approx(595.28, abs=0.01), pytest.approx(841.89, abs=0.01))] * 3
    for page in (1, 2):
        _, words = drawn(path, page)
        boxes = np.array([word.box for word in words])
        assert boxes[:, 0].min() >= 9.9
        assert boxes[:, 1].min() >= 9.9
        assert boxes[:, 2].max() <= 200.1
        assert boxes[:, 3].max() <= 287.3


def test_paper_without_room_is_refused(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="A5 paper is 148 x 210 mm; the test sheet needs 200 x 270 mm"):
        written(tmp_path, paper=paper_named("A5"))
    with pytest.raises(JobError, match=r"does not fit A4 paper inside margins of 50 mm"):
        written(tmp_path, printer=Printer(margin=50.0))


@pytest.mark.parametrize(("paper", "units"), [("A4", "mm"), ("Letter", "in"), ("A3", "in"), ("Letter", "mm")])
@pytest.mark.parametrize("side", [None, 183.0])
def test_cautions_stand_at_the_foot_of_every_page(
    tmp_path: Path, paper: str, units: str, side: float | None
) -> None:
    """Most of all where it sends someone to trace with the router running."""
    path = written(tmp_path, paper=paper_named(paper), units=units, side=side)
    assert len(sizes(path)) == 3 + (side is not None and paper != "A3")
    for page, said in enumerate(texts(path)):
        assert "local rules come first" in " ".join(said.split()), page
        guarded = "Guard eyes and ears" in said or "Eye and ear protection" in said
        assert guarded or page == 0


def test_says_by_what_it_is_corrected_and_what_comes_first(tmp_path: Path) -> None:
    words = " ".join(" ".join(texts(written(tmp_path, printer=SLIPPING))).split())
    assert "now by a bar of 99.2 mm across and 100.4 mm down" in words
    assert "The bit's marking, the router's manual and your local rules come first" in words
