import re

import numpy as np
import pytest
from sheets import pages
from sheets.plans import small_plan

from tracer.sheets.assembly import assemble
from tracer.sheets.board_marks import board_edge, board_marks, board_words, crossing
from tracer.sheets.pdf import Pdf
from tracer.sheets.sheet_labels import labels_of
from tracer.sheets.template import write_template
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named

BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}


def marked(tmp_path, **changes):
    plan = small_plan(**changes)
    assembly = assemble(plan)
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    return assembly, labels_of(pdf, plan, assembly)


def said_on(tmp_path, **changes):
    write_template(small_plan(**changes), tmp_path / "t.pdf")
    return [" ".join(words.split()) for words in pages.texts(tmp_path / "t.pdf")]


def test_the_edge_is_the_boards_divided_by_the_ratio():
    assert board_edge(small_plan(linkage=Linkage(0.4))) == pytest.approx((0, 0, 350, 250))
    np.testing.assert_allclose(crossing(small_plan(linkage=Linkage(0.4, turned=True))), [175, 125])


def test_words_about_the_board_meet_no_line_and_no_label(tmp_path):
    for changes in (BIG, BIG | {"paper": paper_named("150 x 210 mm")}, {}):
        assembly, labels = marked(tmp_path, **changes)
        words = [np.array(one.box) for one in labels.board.along]
        words += [np.array(box) for _, box in labels.board.notes]
        assert len(words) > 2
        others = [np.array(spot.box) for spot in labels.runs]
        for index, box in enumerate(words):
            away = np.hypot(*(assembly.track.points - np.clip(assembly.track.points, box[:2], box[2:])).T)
            assert away.min() > assembly.track.band / 2
            for other in others + words[:index]:
                assert not ((box[:2] < other[2:]).all() and (other[:2] < box[2:]).all())


def test_each_sheet_says_which_edges_it_shows(tmp_path):
    """The board is 600 x 520 mm on paper: the outermost sheets show its left and lower edges."""
    changes = BIG | {"paper": paper_named("Legal")}
    sheets, assembly = said_on(tmp_path, **changes), assemble(small_plan(**changes))
    edges = []
    for words, cell in zip(sheets, assembly.used, strict=True):
        box = np.reshape(assembly.tiling.trimmed(cell), (2, 2)) + assembly.origin
        (x0, y0), (x1, y1) = box
        edges.append((x0 < 0 < x1, y0 < 520 < y1))
        assert ("left edge of the board" in words) == (x0 < 0 < x1)
        assert ("bottom edge of the board" in words) == (y0 < 520 < y1)
    assert {(True, False), (False, True), (False, False)} <= {(bool(a), bool(b)) for a, b in edges}


def test_turned_sheets_have_the_boards_top_at_their_foot(tmp_path):
    plain = marked(tmp_path, **BIG)[1].board
    turned = marked(tmp_path, **BIG, linkage=Linkage(0.5, turned=True))[1].board
    assert plain.datum == pytest.approx([0, 0])
    assert turned.datum == pytest.approx([600, 520])
    tops = {one.box[1] for one in turned.along if one.words.startswith("top edge")}
    assert tops
    assert min(tops) > 500
    said = " ".join(said_on(tmp_path, **BIG, linkage=Linkage(0.5, turned=True)))
    assert "turned half round: the board's top lies at the foot of these sheets" in said
    assert "turned half round" not in " ".join(said_on(tmp_path, **BIG))


def test_the_note_says_where_the_middle_of_the_board_is_and_where_clamps_may_stand(tmp_path):
    said = " ".join(said_on(tmp_path, **BIG))
    assert "150 mm (5 29/32 in) from the left edge and 130 mm (5 1/8 in) from the top" in said
    assert "Clamps:" in said
    plan = small_plan(declared=False)
    assert [words.split(":")[0] for words in board_words(plan)] == ["Clamps"]


def test_the_datum_is_marked_in_the_boards_top_left_corner(tmp_path):
    plan = small_plan(paper=paper_named("A3"))
    write_template(plan, tmp_path / "t.pdf")
    assembly = assemble(plan)
    image = pages.rendered(tmp_path / "t.pdf", dpi=100)
    at = assembly.tiling.margin - np.array(assembly.origin) - (assembly.used[0].x, assembly.used[0].y)
    x, y = ((at + 2.0) / 25.4 * 100).astype(int)  # 2 mm inside the corner
    assert image[y, x].max() < 120
    x, y = ((at + 5.5) / 25.4 * 100).astype(int)  # beyond the quarter circle of 6 mm
    assert image[y, x].min() > 200
    assert "datum" in pages.texts(tmp_path / "t.pdf")[0]
    assert "datum" not in said_on(tmp_path, declared=False, paper=paper_named("A3"))[0]


def test_where_the_crossing_of_the_middle_lines_is_on_no_sheet_two_starts_say_where_the_board_lies(tmp_path):
    """A small figure in the corner of a large board: the stylus is put where something is printed."""
    far = small_plan(board=(900.0, 800.0, 19.05))
    said = " ".join(said_on(tmp_path, board=(900.0, 800.0, 19.05)))
    assert "ringed crossing" not in said
    near = " ".join(said_on(tmp_path, paper=paper_named("A3")))
    assert "ringed crossing" in near
    (words, _) = board_words(far)
    found = re.findall(r"run (\d+), ([\d.]+) mm \([^)]*\) from the board's left edge and ([\d.]+) mm", words)
    assert len(found) == 2
    for number, x, y in found:
        start = next(run.start for run in far.runs if run.number == int(number))
        np.testing.assert_allclose([float(x), float(y)], start, atol=0.051)


def test_words_that_find_no_room_whole_stand_one_by_one_or_are_handed_on(tmp_path):
    plan = small_plan(**BIG)
    assembly, pdf = assemble(plan), Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    x0, y0, x1, y1 = assembly.room
    said = ["Clamps stand off. " * 12, "The board lies so. " * 12]
    taken = np.array([[x0, y0, x1, y1 - 60.0], [x0, y1 - 35.0, x1, y1]])  # but for 25 mm in height
    board = board_marks(pdf, plan, assembly, taken, said=said)
    assert [lines[0].split(" ")[0] for lines, _ in board.notes] == ["Clamps", "The"]
    assert board.unsaid == ()
    board = board_marks(pdf, plan, assembly, np.array([[x0, y0, x1, y1]]), said=said)
    assert board.notes == ()
    assert board.unsaid == tuple(said)
