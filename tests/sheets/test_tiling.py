import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.sheets.strip import _about
from tracer.sheets.tiling import MOST_SHEETS, row_letters, tile, tile_held
from tracer.shop.paper import PAPERS, Paper

A4, A3, LETTER = PAPERS[0], PAPERS[1], PAPERS[2]
sizes = st.floats(1.0, 2500.0)


def test_a_narrow_strip_is_cheaper_on_paper_held_across():
    upright = tile(180, 270, A4, margin=10, overlap=10)
    across = tile(270, 180, A4, margin=10, overlap=10)
    assert (upright.count, upright.landscape) == (1, False)
    assert (across.count, across.landscape) == (1, True)


def test_a_tie_is_held_upright():
    assert not tile(50, 50, A4, margin=10, overlap=10).landscape


def test_strip_and_side_take_their_room():
    free = tile(190, 277, A4, margin=10, overlap=10)
    kept = tile(190, 277, A4, margin=10, overlap=10, strip=30, side=8)
    assert free.cell == (190, 277)
    assert kept.count > 1
    sheet, cell = kept.sheet, kept.cell
    assert cell == (sheet[0] - 28, sheet[1] - 50)


def test_paper_without_room_is_refused():
    with pytest.raises(JobError, match="leaves no room"):
        tile(100, 100, Paper("tiny", 50, 60), margin=10, overlap=10, strip=30)


def test_names_of_sheets():
    tiling = tile(500, 500, A4, margin=10, overlap=10)
    assert [cell.name for cell in tiling.cells][: tiling.columns + 1] == ["A1", "A2", "A3", "B1"]
    assert [row_letters(n) for n in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]


def test_empty_sheets_are_left_out():
    tiling = tile(500, 500, A4, margin=10, overlap=10)
    corner = np.array([[1.0, 1.0]])
    assert [cell.name for cell in tiling.used(corner, 1.0)] == ["A1"]
    assert tiling.used(np.empty((0, 2)), 1.0) == ()


def test_a_point_in_an_overlap_is_on_one_sheet_only_unless_its_reach_crosses_the_middle():
    tiling = tile(300, 100, A4, margin=10, overlap=10)
    first = tiling.cells[0]
    seam = first.x + first.width - 5
    before = np.array([[seam - 2.0, 50.0]])
    assert len(tiling.used(before, 1.0)) == 1
    assert len(tiling.used(before, 3.0)) == 2


@given(width=sizes, height=sizes, paper=st.sampled_from(PAPERS), overlap=st.floats(0, 20))
def test_cells_cover_the_figure_and_neighbours_share_the_overlap(width, height, paper, overlap):
    tiling = tile(width, height, paper, margin=10, overlap=overlap, strip=30, side=8)
    first, last = tiling.cells[0], tiling.cells[-1]
    assert first.x <= 1e-6
    assert first.y <= 1e-6
    assert last.x + last.width >= width - 1e-6
    assert last.y + last.height >= height - 1e-6
    for cell in tiling.cells:
        if cell.column:
            left = tiling.at(cell.row, cell.column - 1)
            assert left.x + left.width - cell.x == pytest.approx(overlap)
        if cell.row:
            above = tiling.at(cell.row - 1, cell.column)
            assert above.y + above.height - cell.y == pytest.approx(overlap)


@given(width=sizes, height=sizes, paper=st.sampled_from(PAPERS))
def test_trimmed_cells_cover_every_place_once(width, height, paper):
    tiling = tile(width, height, paper, margin=10, overlap=10)
    area = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in map(tiling.trimmed, tiling.cells))
    first, last = tiling.cells[0], tiling.cells[-1]
    assert area == pytest.approx((last.x + last.width - first.x) * (last.y + last.height - first.y))


@given(width=sizes, height=sizes, paper=st.sampled_from(PAPERS))
def test_no_way_of_holding_the_paper_needs_fewer_sheets(width, height, paper):
    """By trying every count from 1 upwards, without the formula."""

    def fewest(extent: float, cell: float) -> int:
        return next(n for n in range(1, 200) if n * cell - (n - 1) * 10 >= extent - 1e-6)

    ways = [(paper.width - 20, paper.height - 20), (paper.height - 20, paper.width - 20)]
    best = min(fewest(width, across) * fewest(height, down) for across, down in ways)
    assert tile(width, height, paper, margin=10, overlap=10).count == best


@given(count=st.integers(1, 60), cell=st.floats(50, 500), overlap=st.floats(0, 20))
def test_cells_that_are_exactly_full_do_not_become_one_more(count, cell, overlap):
    """Whatever the last digit of the sum says: 3 x 0.1 is not 0.3 either."""
    full = sum([cell - overlap] * count) + overlap
    tiling = tile_held(full, full, (cell, cell), kept=(0.0, overlap, 0.0, 0.0))
    assert (tiling.columns, tiling.rows) == (count, count)


def test_a_template_of_hundreds_of_sheets_is_refused_with_the_figures() -> None:
    with pytest.raises(JobError, match=r"5600 x 6000 mm and would take \d+ sheets of A4 paper; at most 400"):
        tile(5600.0, 6000.0, A4, margin=10.0, overlap=15.0)
    assert tile(2000.0, 2500.0, A4, margin=10.0, overlap=15.0).count <= MOST_SHEETS


def test_the_map_of_many_sheets_shows_those_round_about() -> None:
    assert list(_about(3, 9)) == list(range(9))
    assert list(_about(0, 40)) == list(range(12))
    assert list(_about(39, 40)) == list(range(28, 40))
    assert 20 in _about(20, 40)
    assert len(_about(20, 40)) == 12
