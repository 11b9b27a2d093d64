import numpy as np
import pytest
from sheets.plans import small_plan

from tracer.sheets.clamps import clamp_room, clamp_words

WIDE = {"board": (400.0, 300.0, 19.05), "router_base": 150.0}
"""What is cut of the figure reaches from (20, 12) to (92, 80)."""


def test_a_clamp_may_stand_half_the_base_from_the_outermost_grooves():
    """92 + 75 = 167 mm from the left and 80 + 75 = 155 from the top: 233 and 145 mm are free. By hand."""
    plan = small_plan(**WIDE)
    said = clamp_words(plan, clamp_room(plan))
    assert "at least 75 mm (2 61/64 in) from the middle of every groove" in said
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


def test_of_a_board_whose_size_nobody_said_only_the_distance_is_told():
    plan = small_plan(**WIDE, declared=False)
    assert clamp_room(plan).rings == ()
    assert clamp_words(plan, clamp_room(plan)) == (
        "Clamps: at least 75 mm (2 61/64 in) from the middle of every groove, half the router's base."
    )
