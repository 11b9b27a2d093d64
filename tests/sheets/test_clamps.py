import numpy as np
import pytest
from sheets.plans import small_plan

from tracer.sheets.clamps import clamp_room, clamp_words
from tracer.shop.linkage import Linkage

WIDE = {"board": (400.0, 300.0, 19.05), "router_base": 150.0}
"""What is cut of the figure reaches from (20, 12) to (92, 80)."""


def test_a_clamp_may_stand_half_the_base_from_the_outermost_grooves():
    """92 + 75 = 167 mm from the left and 80 + 75 = 155 from the top: 233 and 145 mm are free. By hand."""
    plan = small_plan(**WIDE)
    said = clamp_words(plan, clamp_room(plan))
    assert "75 mm (2 61/64 in) on the wood, on the template 150 mm (5 29/32 in) from the middle" in said
    assert "233 mm at the right, 145 mm at the bottom" in said
    assert "left" not in said


def test_where_clamps_may_stand_is_hatched_and_nowhere_else():
    plan = small_plan(**WIDE)
    grooves = np.concatenate([np.array(stroke.points(0.5)) for stroke in plan.cut])
    ends = clamp_room(plan).hatching.reshape(-1, 2)
    away = np.hypot(*(ends[:, None] - grooves[None]).transpose(2, 0, 1)).min(axis=1)
    assert len(ends) > 60
    assert away.min() == pytest.approx(75.0, abs=0.5)
    inside = (ends > 1e-6).all(axis=1) & (ends < np.array([400, 300]) - 1e-6).all(axis=1)
    assert away[inside] == pytest.approx(np.full(inside.sum(), 75.0), abs=0.5)


def test_a_small_base_leaves_more_room():
    assert clamp_room(small_plan(**WIDE | {"router_base": 90.0})).area > clamp_room(small_plan(**WIDE)).area


def test_on_a_board_that_the_base_passes_over_no_clamp_may_stand():
    plan = small_plan(board=(140.0, 100.0, 19.05), router_base=150.0)
    assert clamp_room(plan).rings == ()
    assert "nowhere on the board's face" in clamp_words(plan, clamp_room(plan))
    assert "150 mm (5 29/32 in) across" in clamp_words(plan, clamp_room(plan))


@pytest.mark.parametrize(("ratio", "paper"), [(0.5, "150 mm"), (0.4, "187.5 mm"), (2 / 3, "112.5 mm")])
def test_the_distance_is_said_on_the_wood_and_on_the_paper(ratio, paper):
    """Half of 150 mm is 75 mm on the wood: divided by the ratio it is the paper's. By hand."""
    for declared in (True, False):
        said = clamp_words(
            plan := small_plan(**WIDE, declared=declared, linkage=Linkage(ratio)), clamp_room(plan)
        )
        assert "75 mm (2 61/64 in) on the wood" in said
        assert f"on the template {paper} (" in said
    plan = small_plan(**WIDE, linkage=Linkage(1.0))
    assert "template" not in clamp_words(plan, clamp_room(plan))


def test_it_says_whether_the_routers_base_was_assumed():
    for origins, assumed in (({}, True), ({"router-base": "from the shop file"}, False)):
        plan = small_plan(**WIDE, origins=origins)
        said = clamp_words(plan, clamp_room(plan))
        assert ("half the router's base, assumed to be 150 mm (5 29/32 in) across" in said) == assumed


def test_of_a_board_whose_size_nobody_said_nothing_is_hatched():
    plan = small_plan(**WIDE, declared=False)
    assert clamp_room(plan).rings == ()
    assert clamp_words(plan, clamp_room(plan)) == (
        "Clamps: at least 75 mm (2 61/64 in) on the wood, on the template 150 mm (5 29/32 in) from the "
        "middle of every groove, half the router's base, assumed to be 150 mm (5 29/32 in) across."
    )


def test_where_an_assumed_board_leaves_no_clamp_room_a_larger_one_or_its_edges_hold_it():
    plan = small_plan(declared=False)
    said = clamp_words(plan, clamp_room(plan))
    assert said.startswith("Clamps: nowhere on the face of a board of 140 mm x 100 mm, as assumed")
    assert said.endswith("take a larger board, or hold it by its edges or from below.")
    plan = small_plan(declared=True)
    assert clamp_words(plan, clamp_room(plan)).endswith(" across: hold it by its edges or from below.")
