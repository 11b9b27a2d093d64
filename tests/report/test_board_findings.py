"""What is said of the board, the bit and the hand."""

import datetime
import re
from dataclasses import replace
from typing import Any

import shapes

from tracer.geometry import affine
from tracer.job import Job, PieceSpec
from tracer.lettering import Lettering
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.pipeline import Work
from tracer.report.build import build_plan
from tracer.sheets.verdict import verdict
from tracer.shop.bits import Straight, VBit
from tracer.shop.linkage import Linkage

LINES = shapes.drawing_from([shapes.line((0, 0), (1000, 0), width=30.0), shapes.line((0, 500), (1000, 500))])


def laid(*, width: float = 100.0, by: tuple[float, float] = (0.0, 0.0), **more: Any) -> tuple[Layout, Job]:
    """Two lines in the middle of the board, moved `by` mm."""
    job = Job(**more)
    layout = shapes.layout_of(LINES, width_mm=width, job=job)
    (piece,) = layout.pieces
    moved = replace(piece, matrix=affine.compose(affine.translation(*by), piece.matrix))
    return Layout(layout.board, (moved,)), job


def said(**more: Any) -> dict[str, Finding]:
    layout, job = laid(**more)
    return {finding.check: finding for finding in build_plan(layout, job).findings}


def test_over_the_edge_is_moved_back_where_there_is_room() -> None:
    board = (200.0, 120.0, 19.0)  # 50 mm of room to either side, less half a groove
    over = said(board=board, by=(-55.0, 0.0))["over the board's edge"]
    assert over.severity == "loss"
    assert "over the board's left edge" in over.message
    assert over.remedy == "Move the figure 6 mm (15/64 in) away from the left edge."
    near = said(board=board, by=(40.0, 0.0))["margin"]
    assert near.remedy.startswith("Move the figure 11 mm (7/16 in) away from the right edge, or ask for")
    tight = said(board=(90.0, 120.0, 19.0))["over the board's edge"]
    assert tight.message.startswith("This does not fit the board: the grooves run")
    assert "left edge and" in tight.message
    assert "right edge" in tight.message
    assert re.match(r"It fits up to [\d.]+ mm .* wide; as it is it takes a board of at least", tight.remedy)


def test_words_larger_than_the_board_are_told_the_capitals_that_fit() -> None:
    """The same words with those capitals lie inside the margin; 1 mm more and they do not."""

    def planned(height: float) -> Plan:
        words = PieceSpec(words=Lettering("MOOR COTTAGE", height=height))
        return Work().plan(Job(pieces=(words,), board=(100.0, 50.0, 19.0)))

    plan = planned(40.0)
    (over,) = [one for one in plan.findings if one.check == "over the board's edge"]
    assert verdict(plan).startswith("This does not fit the board: the grooves run")
    assert over.remedy in verdict(plan)
    assert "over the board's left edge and" in over.message
    assert "over the board's right edge" in over.message
    fits = re.search(r"capitals up to ([\d.]+) mm", over.remedy)
    assert fits
    for height, held in ((float(fits[1]), True), (float(fits[1]) + 1, False)):
        found = {one.check for one in planned(height).findings}
        assert (not found & {"margin", "over the board's edge"}) == held


def test_half_of_a_thin_board_stays() -> None:
    # Half of a 5 mm board is to stay under the groove: common practice, no source
    deep = said(depth=3.0, thickness=5.0)["too deep for the board"]
    assert deep.remedy == "It holds at 2.5 mm (3/32 in) deep, or in a thicker board."
    assert "too deep for the board" not in said(depth=2.5, thickness=5.0)


def test_a_straight_bit_needs_one_stop() -> None:
    note = said(bit=Straight(3.175), stops=3)["one depth stop"]
    assert note.severity == "note"
    assert "cuts as wide at any depth" in note.message
    assert "one depth stop" not in said(bit=VBit(60, 12.7), stops=3)
    assert "one depth stop" not in said(bit=Straight(3.175))


def test_the_hand_is_said_not_to_be_counted_until_it_is_said() -> None:
    note = said()["hand not counted"]
    assert note.severity == "note"
    assert "1 mm (3/64 in) off the line on the template is 0.5 mm (1/64 in) in the wood" in note.message
    inches = said(units="in", linkage=Linkage(0.25))["hand not counted"]
    assert "1/16 in (1.59 mm) off the line on the template is 1/64 in (0.40 mm) in the wood" in inches.message
    assert "hand not counted" not in said(hand_error=0.5)
    assert "hand not counted" not in said(origins={"hand": "said on the command line"})


def test_a_measured_ratio_is_not_doubted() -> None:
    measured = Linkage(0.5, measured_on=datetime.date(2026, 1, 2))
    assert "ratio not measured" in said()
    assert "ratio not measured" not in said(linkage=measured)
