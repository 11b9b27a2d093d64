"""Corner marks of the assembled sheets, measured on the pages as another program (pdfium) reads them."""

import itertools
import re
from dataclasses import replace

import numpy as np
import pytest
from sheets import pages
from sheets.drawn import drawn
from sheets.plans import small_plan

from tracer.sheets.assembly import assemble
from tracer.sheets.diagonals import diagonal_words, diagonals_of
from tracer.sheets.template import write_template
from tracer.sheets.track import Track
from tracer.shop.linkage import Linkage

BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}
HALF = 2.6


def marks_on(path, assembly):
    """Middles (n, 2) of the squares round corner marks on all sheets laid on their crosses, template mm."""
    found = []
    for page, cell in enumerate(assembly.used):
        for line in drawn(path, page)[0]:
            corners = np.unique(line.points.round(3), axis=0)
            if len(corners) == 4 and np.allclose(np.ptp(corners, axis=0), 2 * HALF, atol=0.01):
                shift = np.add(assembly.origin, (cell.x, cell.y)) - assembly.tiling.margin
                found.append(corners.mean(axis=0) + shift)
    return np.array(found)


def test_the_length_said_is_that_between_opposite_corner_marks(tmp_path):
    plan = small_plan(**BIG)
    write_template(plan, tmp_path / "t.pdf")
    assembly = assemble(plan)
    marks = marks_on(tmp_path / "t.pdf", assembly)
    assert len(marks) == 4
    apart = sorted(float(np.hypot(*(a - b))) for a, b in itertools.combinations(marks, 2))
    assert apart[-1] == pytest.approx(apart[-2], abs=0.01)  # the two diagonals of a rectangle
    for words in pages.texts(tmp_path / "t.pdf"):
        (said,) = re.findall(r"corner marks \(A1 to B3, A3 to B1\):\s+([\d.]+) mm \(", words)
        assert float(said) == pytest.approx(apart[-1], abs=0.06)


def test_a_single_sheet_has_no_diagonals(tmp_path):
    plan = small_plan()
    assert diagonals_of(assemble(plan)) == ()
    write_template(plan, tmp_path / "t.pdf")
    assert len(marks_on(tmp_path / "t.pdf", assemble(plan))) == 0
    assert "Taped" not in pages.texts(tmp_path / "t.pdf")[0]


def test_corner_marks_lie_on_printed_sheets_clear_of_lines():
    """The ring and the bow 6 times as large: sheets in the corners are left out."""
    plan = small_plan(scale=6.0, board=(600.0, 520.0, 19.05))
    assembly = assemble(plan)
    assert len(assembly.used) < assembly.tiling.count
    diagonals = diagonals_of(assembly)
    assert len(diagonals) == 2
    for corner in (corner for one in diagonals for corner in (one.start, one.end)):
        assert corner.cell in assembly.used
        x0, y0, x1, y1 = assembly.tiling.trimmed(corner.cell)
        x, y = corner.point - assembly.origin
        assert x0 + 4 <= x <= x1 - 4
        assert y0 + 4 <= y <= y1 - 4
        away = np.hypot(*(assembly.track.points - corner.point).T).min()
        assert away > assembly.track.band / 2 + 6.9


def test_corner_marks_give_way_to_a_line_and_stay_a_rectangle():
    assembly = assemble(small_plan(**BIG))
    before = diagonals_of(assembly)
    place = before[1].end.point
    line = assembly.track.lines[1]
    there = replace(line, points=np.linspace(place - 4.0, place + 4.0, 9))
    busy = replace(assembly, track=Track((*assembly.track.lines, there), assembly.track.ways))
    first, second = diagonals_of(busy)
    assert np.hypot(*(there.points - second.end.point).T).min() > assembly.track.band / 2 + 6.9
    assert first.length == pytest.approx(second.length)
    assert first.length < before[0].length


def test_unequal_diagonals_are_said_one_by_one():
    assembly = assemble(small_plan(**BIG))
    first, second = diagonals_of(assembly)
    moved = replace(second, end=replace(second.end, point=second.end.point + np.array([0.0, 9.0])))
    said = diagonal_words((first, moved), "mm")
    assert f"top left of A1 to bottom right of B3 {first.length:.1f} mm" in said
    assert f"top right of A3 to bottom left of B1 {moved.length:.1f} mm" in said
    assert diagonal_words((first, second), "in").count(f"in ({first.length:.1f} mm)") == 1


def test_a_turned_template_says_its_diagonals_too(tmp_path):
    plan = small_plan(linkage=Linkage(0.5, turned=True), **BIG)
    write_template(plan, tmp_path / "t.pdf")
    assert len(marks_on(tmp_path / "t.pdf", assemble(plan))) == 4
