"""What is said of the board, the bit and the hand."""

import datetime
from dataclasses import replace
from typing import Any

import shapes

from tracer.geometry import affine
from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.build import build_plan
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
    assert tight.remedy == "Make the figure smaller, or take a larger board."


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
