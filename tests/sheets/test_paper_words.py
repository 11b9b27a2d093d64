"""What sheets and the run say of the measured bar and of the stylus's table; how the paper is held."""

from dataclasses import replace

import networkx as nx
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sheets import pages
from sheets.plans import small_plan

from tracer.cli.finding_lines import tell_paper
from tracer.errors import JobError
from tracer.geometry import bezier
from tracer.report.build import build_plan
from tracer.sheets.assembly import NOTE, STRIP, assemble
from tracer.sheets.paper_words import bar_note, paper_sentences
from tracer.sheets.template import write_template
from tracer.sheets.tiling import tile, ways
from tracer.shop.linkage import Linkage
from tracer.shop.paper import PAPERS, Paper, paper_named
from tracer.shop.printer import Printer

BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}  # 432 x 408 mm on paper, and the groove's width


def said_on_sheets(tmp_path, **changes):
    write_template(small_plan(**changes), tmp_path / "t.pdf")
    return [" ".join(words.split()) for words in pages.texts(tmp_path / "t.pdf")]


def test_a_bar_that_was_not_measured_is_asked_for_and_not_corrected(tmp_path):
    assert bar_note(Printer()) is None
    (asked,) = paper_sentences(small_plan())
    assert '--bar "99.2mm x 99.4mm"' in asked
    assert "orrected" not in said_on_sheets(tmp_path)[0]


# axes further apart than 0.3 % of 100 mm say that the feed slips (common practice, no source)
@pytest.mark.parametrize(
    ("bars", "slips"),
    [((99.2, 99.2), False), ((99.2, 99.5), False), ((99.5, 100.4), True), ((100.4, 100.0), True)],
)
def test_sheets_and_run_say_what_the_bar_changed(tmp_path, bars, slips):
    printer = Printer(*bars, measured=True)
    (words,) = said_on_sheets(tmp_path, printer=printer)
    sentences = paper_sentences(small_plan(printer=printer))
    for said in (words, sentences[0]):
        assert ("feed" in said and "lean the rollers" in said) == slips
        assert f"{bars[0]:g}" in said
    assert "orrected" in words


def test_a_page_fitted_to_the_paper_is_said():
    """Fitting shrinks by 2 to 6 % (guides on printing)."""
    said = paper_sentences(small_plan(printer=Printer(94.1, 94.1, measured=True)))
    assert any('"fit to page" off' in sentence for sentence in said)


def test_the_run_prints_what_is_to_be_known_of_the_print(capsys):
    plan = small_plan(**BIG, linkage=Linkage(0.5, table=(300.0, 200.0)))
    tell_paper(build_plan(plan.layout, plan.job))
    said = " ".join(capsys.readouterr().out.split())
    assert "Measure both bars on the first sheet" in said
    assert "and only 300 mm (11 13/16 in) x 200 mm (7 7/8 in) lie flat under the stylus. Make" in said


def test_a_bar_that_measured_100_mm_needs_no_words():
    printer = Printer(100.0, 100.0, measured=True)
    assert bar_note(printer) is None
    assert paper_sentences(small_plan(printer=printer)) == ()


def table(width, height):
    return {"linkage": Linkage(0.5, table=(width, height)), "printer": Printer(100, 100, measured=True)}


def test_whether_the_template_lies_flat_under_the_stylus_is_said(tmp_path):
    for words in said_on_sheets(tmp_path, **BIG, **table(600.0, 450.0)):
        assert "Lies flat under the stylus, where 600 mm x 450 mm find room." in words
    for words in said_on_sheets(tmp_path, **BIG, **table(415.0, 600.0)):
        assert "only when turned by a quarter; turn the board, too." in words
    for words in said_on_sheets(tmp_path, **BIG, **table(300.0, 200.0)):
        assert "TOO LARGE to lie flat under the stylus: 435.7 mm x 411.7 mm, where 300 mm x 200 mm" in words


def test_sheets_that_say_more_keep_more_room_for_it():
    plain, noted = assemble(small_plan()), assemble(small_plan(printer=Printer(99.0, 99.0, measured=True)))
    assert plain.tiling.strip == STRIP
    assert noted.tiling.strip == pytest.approx(STRIP + NOTE)
    assert assemble(small_plan(**BIG)).tiling.strip == pytest.approx(STRIP + NOTE)  # the diagonals


@pytest.mark.parametrize("paper", ["120 x 160 mm", "100 x 100 mm"])
def test_narrow_paper_still_says_the_diagonals_whole(tmp_path, paper):
    for words in said_on_sheets(tmp_path, paper=paper_named(paper), scale=2.0, board=(240.0, 200.0, 19.05)):
        assert "Taped up" in words
        assert "in)." in words


def test_the_revision_stands_beside_the_date(tmp_path):
    (words,) = said_on_sheets(tmp_path, revision="B, ears shorter")
    assert "2026-11-25 · revision B, ears shorter" in words
    assert "revision" not in said_on_sheets(tmp_path)[0]


@pytest.mark.parametrize("hold", ["portrait", "landscape"])
def test_paper_is_held_as_said(tmp_path, hold):
    plan = small_plan(hold=hold, **BIG)
    assert assemble(plan).tiling.landscape == (hold == "landscape")
    write_template(plan, tmp_path / "t.pdf")
    for width, height in pages.sizes(tmp_path / "t.pdf"):
        assert (width > height) == (hold == "landscape")


def test_paper_without_room_one_way_only_says_so():
    strip = Paper("strip", 60.0, 400.0)
    assert not tile(30.0, 300.0, strip, margin=10.0, overlap=10.0, strip=30.0).landscape
    with pytest.raises(JobError, match="use larger paper, or leave landscape out"):
        tile(30.0, 300.0, strip, margin=10.0, overlap=10.0, strip=30.0, hold="landscape")


@given(overlap=st.floats(8.0, 30.0), paper=st.sampled_from(PAPERS))
@settings(max_examples=15)
def test_neighbours_share_what_was_asked(overlap, paper):
    tiling = assemble(small_plan(overlap=overlap, paper=paper, **BIG)).tiling
    assert tiling.overlap == overlap
    if tiling.columns > 1:
        assert tiling.at(0, 0).x + tiling.cell[0] - tiling.at(0, 1).x == pytest.approx(overlap)


def slanted(across, down, paper):
    """A plan of one straight stroke from the board's top left: many sheets of its grid stay empty."""
    plan = small_plan(board=(900.0, 900.0, 19.05), paper=paper)
    curves = bezier.from_polyline(np.array([[0.0, 0.0], [across, down]]))
    return replace(plan, strokes=(replace(plan.strokes[1], number=1, curves=curves),), runs=())


@given(across=st.floats(50.0, 800.0), down=st.floats(50.0, 800.0), paper=st.sampled_from(PAPERS))
@settings(max_examples=40)
@example(across=600.0, down=350.0, paper=PAPERS[0])
def test_no_way_of_holding_the_paper_prints_fewer_sheets(across, down, paper):
    """Each way's sheets counted again point by point: those that show a line within their seams.

    Where they do not hang together more are printed: then it is the way that needs fewer of those.
    """
    assembly = assemble(slanted(across, down, paper))
    track, tiling = assembly.track, assembly.tiling
    x0, y0, x1, y1 = track.extent
    kept = (10.0, 10.0, tiling.strip, tiling.side)
    counts = []
    for way in ways(x1 - x0 + 4, y1 - y0 + 4, paper, kept=kept, hold="fewest"):
        around = track.points - assembly.origin
        grid = nx.Graph()
        for cell in way.cells:
            a, b, c, d = way.trimmed(cell)
            nearest = np.clip(around, (a, b), (c, d))
            if (np.abs(around - nearest).max(axis=1) <= track.band / 2).any():
                grid.add_node((cell.row, cell.column))
        whole = nx.grid_2d_graph(way.rows, way.columns)
        grid.add_edges_from(whole.subgraph(grid).edges)
        # along a straight line groups meet at corners: one sheet more bridges each
        counts.append(len(grid) + nx.number_connected_components(grid) - 1)
    assert len(assembly.used) == min(counts)
