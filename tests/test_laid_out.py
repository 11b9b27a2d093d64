"""Several pieces on one board: how large each is, and where it lies."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.geometry import bezier
from tracer.job import Beside, Border, Job, PieceSpec
from tracer.laid_out import UNKNOWN_WIDTH, lay_out
from tracer.lettering import Lettering
from tracer.model.drawing import Drawing, Stroke
from tracer.model.layout import Layout
from tracer.model.marks import Marks
from tracer.model.plan import Plan
from tracer.report.build import Planner, build_plan
from tracer.report.fixes import propose
from tracer.report.places import piece_names

BOARD = (600.0, 300.0, 19.05)
GROOVE = Job().groove
HARE = PieceSpec("hare.png", width=200.0, name="hare")


def box(width: float, height: float, name: str = "hare.png", **more: Any) -> Drawing:
    """A closed rectangle, its corner somewhere in its picture."""
    corners = np.array([[7, 9], [7 + width, 9], [7 + width, 9 + height], [7, 9 + height], [7, 9]], float)
    stroke = Stroke(1, bezier.from_polyline(corners), closed=True, kind="line")
    return Drawing((stroke,), (), (int(width) + 20, int(height) + 20), name=name, **more)


def laid(*pieces: tuple[Drawing | None, PieceSpec], **settings: Any) -> Layout:
    drawings = {k: drawing for k, (drawing, _) in enumerate(pieces) if drawing is not None}
    return lay_out(drawings, Job(pieces=tuple(spec for _, spec in pieces), **settings))


def beside(where: Any, gap: float | None = 10.0, **more: Any) -> PieceSpec:
    return PieceSpec("name.png", width=100.0, beside=Beside(where, "Hare", gap, **more))


@pytest.mark.parametrize(
    ("where", "x", "y"),
    [
        ("above", 250.0, 60.0),  # 100 - 10 - 30
        ("below", 250.0, 210.0),  # 100 + 100 + 10
        ("left-of", 90.0, 135.0),  # 200 - 10 - 100; middles at 150
        ("right-of", 410.0, 135.0),
        ("centred-on", 250.0, 135.0),
    ],
)
def test_a_piece_lies_beside_another(where: str, x: float, y: float) -> None:
    gap = None if where == "centred-on" else 10.0
    hare = replace(HARE, x=200.0, y=100.0)
    layout = laid((box(100, 50), hare), (box(100, 30), beside(where, gap)), board=BOARD)
    assert layout.extents[0] == pytest.approx((200, 100, 400, 200))
    assert layout.extents[1] == pytest.approx((x, y, x + 100, y + 30))


@pytest.mark.parametrize(("line_up", "x", "y"), [("starts", 200.0, 100.0), ("ends", 300.0, 170.0)])
def test_its_ends_lie_in_one_line_with_the_others(line_up: str, x: float, y: float) -> None:
    hare = replace(HARE, x=200.0, y=100.0)
    below = laid((box(100, 50), hare), (box(100, 30), beside("below", line_up=line_up)), board=BOARD)
    right = laid((box(100, 50), hare), (box(100, 30), beside("right-of", line_up=line_up)), board=BOARD)
    assert below.extents[1][0] == pytest.approx(x)
    assert right.extents[1][1] == pytest.approx(y)


def test_a_gap_that_nobody_said_is_the_margin() -> None:
    layout = laid((box(100, 50), HARE), (box(100, 30), beside("below", None)), board=BOARD, margin=17.0)
    assert layout.extents[1][1] - layout.extents[0][3] == pytest.approx(17.0)


def test_pieces_beside_one_another_are_centred_together() -> None:
    name = PieceSpec("name.png", width=100.0, name="name", beside=Beside("below", "hare", 10.0))
    year = PieceSpec("year.png", width=40.0, beside=Beside("right-of", "name", 10.0))
    layout = laid((box(40, 10), year), (box(100, 30), name), (box(100, 50), HARE), board=BOARD)
    x0, y0, x1, y1 = layout.extent
    assert (x0 + x1, y0 + y1) == pytest.approx((600, 300))
    assert layout.extents[0][0] == pytest.approx(layout.extents[1][2] + 10)
    assert [piece.name for piece in layout.pieces] == ["hare.png", "name", "hare"]


def test_turned_pieces_are_placed_by_how_they_lie() -> None:
    name = replace(beside("below"), turn_deg=90.0)
    layout = laid((box(100, 50), HARE), (box(100, 30), name), board=BOARD)
    x0, y0, x1, y1 = layout.extents[1]
    assert (x1 - x0, y1 - y0) == pytest.approx((30, 100))
    assert y0 == pytest.approx(layout.extents[0][3] + 10)


def test_a_piece_without_a_size_takes_the_room_that_those_beside_it_leave() -> None:
    hare = replace(HARE, width=None)
    layout = laid((box(100, 50), hare), (box(100, 30), beside("below")), board=BOARD, margin=20.0)
    # Height 300 less margins and a groove, less name and gap.
    high = 300 - 40 - GROOVE - 30 - 10
    assert layout.extents[0][3] - layout.extents[0][1] == pytest.approx(high, abs=1e-5)
    assert layout.extents[1][2] - layout.extents[1][0] == pytest.approx(100)
    assert layout.extent[1] == pytest.approx(20 + GROOVE / 2, abs=1e-5)


def test_alone_it_fits_the_board_as_ever() -> None:
    layout = laid((box(100, 50), PieceSpec("hare.png")), board=BOARD, margin=20.0)
    assert layout.extent[3] - layout.extent[1] == pytest.approx(300 - 40 - GROOVE)


def test_no_room_beside_the_others_is_said() -> None:
    tall = PieceSpec("tall.png", height=259.0, name="tall")
    name = PieceSpec("name.png", beside=Beside("below", "tall"))
    with pytest.raises(JobError, match=r"no room is left beside the other pieces for “name.png”: make"):
        laid((box(10, 100), tall), (box(100, 30), name), board=BOARD)


def test_words_whose_capitals_are_said_are_as_large_as_they_say() -> None:
    words = PieceSpec(words=Lettering("EMMA", height=40.0))
    layout = laid((box(150, 40, "EMMA", mm_per_px=1.0), words), board=BOARD)
    x0, y0, x1, y1 = layout.extent
    assert (x1 - x0, y1 - y0) == pytest.approx((150, 40))
    assert layout.pieces[0].name == "EMMA"
    free = PieceSpec(words=Lettering("EMMA"))
    fits = laid((box(150, 40, "EMMA"), free), board=BOARD)
    assert fits.extent[2] - fits.extent[0] == pytest.approx(600 - 40 - GROOVE)
    plain = laid((box(150, 40, "EMMA"), free))
    assert plain.extent[2] - plain.extent[0] == pytest.approx(UNKNOWN_WIDTH)


def test_a_border_lies_at_its_distance_from_the_edge_and_the_others_inside_of_it() -> None:
    border = PieceSpec(border=Border(15.0, 25.0))
    layout = laid((box(100, 50), PieceSpec("hare.png")), (None, border), board=BOARD, margin=20.0)
    assert layout.extents[1] == pytest.approx((15, 15, 585, 285))
    assert [piece.border for piece in layout.pieces] == [False, True]
    # From the border's middle: half its groove, the margin, half the other groove.
    assert layout.extents[0][1] == pytest.approx(15 + GROOVE + 20)


def test_without_a_board_a_border_goes_round_the_others_and_the_board_grows() -> None:
    hare = replace(HARE, width=200.0)
    alone = laid((box(100, 50), hare), (box(100, 30), beside("below")), margin=20.0)
    layout = laid(
        (None, PieceSpec(border=Border(15.0))), (box(100, 50), hare), (box(100, 30), beside("below"))
    )
    x0, y0, x1, y1 = alone.extent
    assert layout.extents[0][2] - layout.extents[0][0] == pytest.approx(x1 - x0 + 30)
    assert layout.extents[0][3] - layout.extents[0][1] == pytest.approx(y1 - y0 + 30)
    for low, mine in zip(layout.extents[0][:2], layout.extents[1][:2], strict=True):
        assert mine - low == pytest.approx(15)
    assert (layout.board.width, layout.board.height) == (alone.board.width + 30, alone.board.height + 30)
    assert not layout.board.declared


def test_asked_again_a_layout_with_a_border_has_the_same_drawings() -> None:
    hare, border = box(100, 50), PieceSpec(border=Border(15.0))
    one, other = (laid((hare, HARE), (None, border), board=BOARD) for _ in range(2))
    assert all(a.drawing is b.drawing for a, b in zip(one.pieces, other.pieces, strict=True))


def test_a_name_may_lie_on_the_middle_of_a_border() -> None:
    border = PieceSpec(border=Border(15.0), name="frame")
    name = PieceSpec("name.png", width=100.0, beside=Beside("centred-on", "frame"))
    layout = laid((None, border), (box(100, 30), name), board=BOARD)
    assert layout.extents[1] == pytest.approx((250, 135, 350, 165))
    with pytest.raises(JobError, match=r"piece 2 \(“name.png”\) lies by a border, and without a board"):
        laid((None, border), (box(100, 30), name))


@pytest.mark.parametrize(
    ("border", "why"),
    [
        (
            Border(150.0),
            r"A border 150 mm from the edge has no room on a board 600 x 300 mm: say less than 150",
        ),
        (
            Border(50.0, 101.0),
            r"corners, 101 mm in radius, do not fit on its shorter side of 200 mm: .* 100 mm",
        ),
    ],
)
def test_borders_that_cannot_be(border: Border, why: str) -> None:
    with pytest.raises(JobError, match=why):
        laid((box(100, 50), HARE), (None, PieceSpec(border=border)), board=BOARD)


def test_a_border_round_nothing_is_refused() -> None:
    with pytest.raises(JobError, match="there is nothing for it to go round"):
        laid((None, PieceSpec(border=Border(10.0))))
    with pytest.raises(JobError, match=r"inside a border 130 mm from its edge, margins of 20 mm"):
        laid((box(9, 9), PieceSpec("a.png")), (None, PieceSpec(border=Border(130.0))), board=BOARD)


def test_words_that_would_fill_the_street_are_refused() -> None:
    words = PieceSpec(words=Lettering("a" * 900, height=1000.0))
    with pytest.raises(JobError, match=r"the template would be 1400 m long, and at most 20 m is printed"):
        laid((box(700_000, 1000, "a", mm_per_px=1.0), words))


def test_off_a_board_that_nobody_declared_is_said() -> None:
    hare = replace(HARE, x=30.0, y=30.0)
    with pytest.raises(JobError, match="“hare” lies so near the board's edge that what is beside it"):
        laid((box(100, 50), hare), (box(100, 30), beside("left-of")))


@pytest.mark.parametrize(
    ("pieces", "why"),
    [
        (
            [beside("below")],
            r"piece 1 \(“name.png”\) lies below “Hare”, and no piece has that name; give that",
        ),
        (
            [PieceSpec("a", name="fox"), beside("below")],
            r"piece 2 \(“name.png”\) lies below “Hare”, and no piece has that name; the names are “fox”",
        ),
        ([replace(HARE, beside=Beside("above", "hare"))], r"piece 1 \(“hare”\) lies above itself"),
        (
            [
                PieceSpec("a", name="fox", beside=Beside("above", "owl")),
                PieceSpec("b", name="owl", beside=Beside("left-of", "cat")),
                PieceSpec("c", name="cat", beside=Beside("left-of", "owl")),
            ],
            "wait for one another's places: “owl” by “cat”, “cat” by “owl”; place one of them on the board",
        ),
        ([HARE, replace(HARE, name="HARE")], "pieces 1 and 2 are both called “HARE”"),
        ([HARE, replace(beside("below"), x=3.0)], r"has two places, below another piece and x or y"),
        ([PieceSpec("a", words=Lettering("A"))], r"piece 1 \(“A”\) is of two kinds"),
        ([PieceSpec(words=Lettering("A", height=9.0), width=90.0)], r"has two sizes, the capitals' height"),
        (
            [HARE, PieceSpec(border=Border(9.0), turn_deg=5.0)],
            r"piece 2 \(“border”\) is a border, and goes round",
        ),
    ],
)
def test_pieces_that_cannot_be(pieces: list[PieceSpec], why: str) -> None:
    drawings = {k: box(100, 50) for k, spec in enumerate(pieces) if spec.border is None}
    with pytest.raises(JobError, match=why):
        lay_out(drawings, Job(pieces=tuple(pieces), board=BOARD))


sides = st.floats(5.0, 80.0)


@given(
    sizes=st.lists(st.tuples(sides, sides), min_size=2, max_size=5),
    wheres=st.lists(st.sampled_from(["above", "below", "left-of", "right-of"]), min_size=4, max_size=4),
    leaders=st.lists(st.integers(0, 3), min_size=4, max_size=4),
    gap=st.floats(0.0, 20.0),
    order=st.randoms(use_true_random=False),
)
def test_places_do_not_hang_on_the_order_of_the_pieces(
    sizes: list[tuple[float, float]], wheres: list[Any], leaders: list[int], gap: float, order: Any
) -> None:
    specs = [PieceSpec(str(k), width=w, name=str(k)) for k, (w, _) in enumerate(sizes)]
    for k in range(1, len(specs)):
        specs[k] = replace(specs[k], beside=Beside(wheres[k - 1], str(leaders[k - 1] % k), gap))
    drawings = [box(w, h, str(k)) for k, (w, h) in enumerate(sizes)]
    shuffled = list(range(len(specs)))
    order.shuffle(shuffled)
    one = laid(*zip(drawings, specs, strict=True))
    other = laid(*[(drawings[k], specs[k]) for k in shuffled])
    for place, k in enumerate(shuffled):
        assert other.extents[place] == pytest.approx(one.extents[k], abs=1e-6)
    x0, y0, x1, y1 = one.extent
    assert (x0 + x1, y0 + y1) == pytest.approx((one.board.width, one.board.height))
    for k in range(1, len(specs)):
        a, b = one.extents[leaders[k - 1] % k], one.extents[k]
        apart = {"above": a[1] - b[3], "below": b[1] - a[3], "left-of": a[0] - b[2], "right-of": b[0] - a[2]}
        assert apart[wheres[k - 1]] == pytest.approx(gap, abs=1e-6)


def planned(*pieces: tuple[Drawing | None, PieceSpec], **settings: Any) -> Plan:
    layout = laid(*pieces, **settings)
    return build_plan(layout, Job(pieces=tuple(spec for _, spec in pieces), **settings))


def level(length: float, name: str) -> Drawing:
    stroke = Stroke(1, bezier.from_polyline(np.array([[0.0, 0.0], [length, 0.0]])), closed=False, kind="line")
    return Drawing((stroke,), (), (int(length) + 1, 1), name=name)


def checks(plan: Plan) -> dict[str, str]:
    return {finding.check: f"{finding.message} {finding.remedy}" for finding in plan.findings}


def test_wood_between_a_name_and_a_picture_is_looked_at() -> None:
    near, far = (
        planned(
            (level(100, "whisker.png"), replace(HARE, name="")), (level(100, "name.png"), spec), board=BOARD
        )
        for spec in (
            PieceSpec("n", width=200.0, x=200.0, y=150 + 1.0 + GROOVE),
            PieceSpec("n", width=200.0, x=200.0, y=180.0),
        )
    )
    assert [(land.strokes, round(land.width, 6)) for land in near.lands] == [((1, 2), 1.0)]
    # Pine along the grain wants 3 mm [P]; 2 mm more.
    assert (
        "Or lay “whisker” and “name” at least 2 mm (5/64 in) farther apart." in checks(near)["wood too thin"]
    )
    assert not far.lands


def test_a_border_through_a_whisker_is_said_and_is_one_plunge_with_it() -> None:
    whisker = PieceSpec("w", width=200.0, x=450.0, y=150.0)
    plan = planned(
        (level(100, "whisker.png"), whisker),
        (None, PieceSpec(border=Border(20.0))),
        board=(700.0, 300.0, 19.0),
    )
    assert plan.totals.plunges == 2
    plan = planned((level(100, "whisker.png"), whisker), (None, PieceSpec(border=Border(20.0))), board=BOARD)
    assert plan.totals.plunges == 1
    said = checks(plan)["grooves run together"]
    assert "Lay “whisker” and “border” where they do not meet. Or leave out one of the two." in said


def test_no_margin_is_asked_of_a_border_but_the_board_must_hold_it() -> None:
    hare = (box(100, 50), replace(HARE, width=100.0))
    assert "margin" not in checks(planned(hare, (None, PieceSpec(border=Border(9.0))), board=BOARD))
    assert "margin" in checks(planned((box(100, 50), replace(HARE, x=9.0, y=50.0)), board=BOARD))
    over = planned(hare, (None, PieceSpec(border=Border(0.5))), board=BOARD)
    assert over.findings[0].check == "over the board's edge"
    assert over.findings[0].message.startswith("The grooves of “border” run 0.42 mm (1/64 in) over the board")
    both = planned(
        (hare[0], replace(HARE, x=19.0, y=50.0)), (None, PieceSpec(border=Border(9.0))), board=BOARD
    )
    assert "within 18.1 mm" in checks(both)["margin"]


def test_no_fix_takes_strokes_out_of_letters_and_borders() -> None:
    crowded = [level(100, "").strokes[0].curves + np.array([0.0, 1.5 * k]) for k in range(4)]
    strokes = tuple(Stroke(k, c, closed=False, kind="line") for k, c in enumerate(crowded, 1))
    hare = Drawing(strokes, (), (100, 5), name="hare.png")
    marks = Marks((), 1.0, 0.0, "Any", "", Lettering("lll"))
    for drawing, proposed in ((hare, True), (replace(hare, marks=marks), False)):
        job = Job(pieces=(replace(HARE, width=100.0),), board=BOARD)
        found = propose(Planner(lay_out({0: drawing}, job)), job).acts
        assert bool(found.leave_out or found.thin_out) is proposed


def test_two_borders_leave_the_room_inside_of_both() -> None:
    borders = [(None, PieceSpec(border=Border(d))) for d in (30.0, 15.0)]
    layout = laid((box(100, 50), PieceSpec("hare.png")), *borders, board=BOARD, margin=20.0)
    assert layout.extents[0][1] == pytest.approx(30 + GROOVE + 20)
    free = laid((box(100, 50), HARE), *borders, margin=20.0)
    assert min(free.extents[1][:2]) > 20.0
    assert [round(free.extents[0][0] - edge[0], 6) for edge in free.extents[1:]] == [30, 15]


def test_names_of_pieces_are_shown_whole() -> None:
    words = [PieceSpec(words=Lettering("St. Ives"), x=50.0 + 250 * k, y=50.0, width=200.0) for k in range(2)]
    words[1] = replace(words[1], name="No. 7")
    plan = planned(*((box(40, 20, "words"), spec) for spec in words), board=BOARD)
    assert [piece.name for piece in plan.layout.pieces] == ["St. Ives", "No. 7"]
    assert piece_names(plan.layout) == ["St. Ives", "No. 7"]
    file = laid((box(40, 20, "hare.page.png"), PieceSpec("hare.page.png")), board=BOARD)
    assert piece_names(file) == ["hare.page"]


def test_nothing_is_said_of_larger_where_a_border_keeps_to_the_board() -> None:
    """The wood between hare and border: the border would grow with it, and off the board."""
    hare = (box(100, 50), PieceSpec("hare.png", x=15.0 + GROOVE + 1.0, y=100.0, width=100.0))
    border = (None, PieceSpec(border=Border(15.0)))
    alone = (box(100, 50, "frame.png"), PieceSpec("frame.png", x=15.0, y=90.0, width=200.0))
    thin = checks(planned(hare, border, board=BOARD))["wood too thin"]
    assert "as large" not in thin
    assert "Lay “hare” and “border” at least" in thin
    assert "as large" in checks(planned(hare, alone, board=BOARD))["wood too thin"]
