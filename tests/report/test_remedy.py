"""Which ways out of a fault are offered, in which words, and that none less would do."""

from typing import Any

import numpy as np
import pytest
import shapes
from hypothesis import given
from hypothesis import strategies as st

from tracer.job import Job
from tracer.report.change import DEPTH_STEPS, LEAST_REMEDY
from tracer.report.remedy import cure, cures, for_groove, larger, partial_cure, shallower
from tracer.report.trial import Check, Trial, Trials
from tracer.shop.bits import Straight, VBit
from tracer.shop.wood import wood_named

RING = shapes.drawing_of("ring")


def trials(width: float = 100.0, **more: Any) -> Trials:
    job = Job(**more)
    return Trials(shapes.layout_of(RING, width_mm=width, job=job), job)


def each(*widest: float) -> Check:
    """Grooves of at most these widths on the figure as it is."""
    return lambda trial: np.array([trial.groove <= one * trial.larger + 1e-9 for one in widest])


def test_depth_bit_and_size_in_one_sentence() -> None:
    # V 60: w = 1.1547 d [D], 1.8 mm wide at 1.5588 mm; 45 deg: 0.8284 d; 100 mm x 3.4641 / 1.8 = 192.45
    assert for_groove(trials(depth=3.0), 1.8) == (
        "It holds at 1.5 mm (3/64 in) deep, with a 30 deg V, or from 193 mm (7 19/32 in) wide."
    )


def test_inches_are_said_on_the_rules_marks() -> None:
    said = for_groove(trials(depth=3.175, units="in"), 1.9)
    assert said == "It holds at 1/16 in (1.59 mm) deep, with a 30 deg V, or from 7 5/8 in (193.7 mm) wide."


def test_a_bit_at_hand_is_named_before_one_to_buy() -> None:
    bits = (("fine one", VBit(45.0, 6.35)), ("finer", VBit(20.0, 6.35)), ("bold", VBit(120.0, 12.7)))
    assert "with your bit “finer”," in for_groove(trials(depth=3.0, bits=bits), 1.8)
    # Of those that hold the one that cuts widest, as near as may be to what was asked for
    assert "with your bit “fine one”," in for_groove(trials(depth=3.0, bits=bits), 2.6)
    assert "with a 30 deg V," in for_groove(trials(depth=3.0, bits=bits[2:]), 1.8)


def test_bit_and_depth_together_only_where_neither_will_do() -> None:
    said = for_groove(trials(bit=Straight(3.175), depth=6.0), 1.2)
    assert said == "It holds with a 30 deg V at 2.2 mm (5/64 in) deep, or from 265 mm (10 7/16 in) wide."
    assert "deep" not in for_groove(trials(bit=Straight(3.175), depth=2.0), 1.2)


def test_what_the_board_does_not_take_is_said() -> None:
    roomy = for_groove(trials(depth=3.0, board=(400.0, 400.0, 19.0)), 1.8)
    assert "this board" not in roomy
    narrow = for_groove(trials(depth=3.0, board=(150.0, 400.0, 19.0)), 1.8)
    # 150 less two margins of 20 and a groove of 3.46
    assert narrow.endswith(" 193 mm (7 19/32 in) wide, but this board takes only 106.5 mm (4 3/16 in).")


def test_nothing_is_offered_that_cannot_be_set_or_is_another_job() -> None:
    assert for_groove(trials(bit=Straight(3.175), depth=8.0), 0.2) == ""
    assert for_groove(trials(depth=1.5), 0.3) == ""  # 0.26 mm deep would do
    assert "wide" not in for_groove(trials(depth=3.0), 3.4641 / 3.01)


def test_no_bit_with_several_stops_and_no_size_where_depths_are_free() -> None:
    said = for_groove(trials(depth=3.0, stops=2, origins={"depth": "said"}), 1.8)
    assert said == "It holds at 1.5 mm (3/64 in) deep, or from 193 mm (7 19/32 in) wide."
    assert for_groove(trials(depth=3.0, stops=2), 1.8) == "It holds at 1.5 mm (3/64 in) deep."


@given(st.sampled_from(["mm", "in"]), st.floats(0.3, 4.0), st.floats(1.6, 6.0))
def test_depth_and_size_hold_and_a_step_less_does_not(units: Any, widest: float, depth: float) -> None:
    asked = trials(units=units, depth=depth)
    check = each(widest)
    found, size = shallower(asked, check), larger(asked, check)
    if found is not None:
        assert LEAST_REMEDY <= found < depth
        assert holds(check, asked.at(depth=found))
        deeper = found + DEPTH_STEPS[asked.job.units]
        assert deeper >= depth - 1e-9 or not holds(check, asked.at(depth=deeper))
    if size is not None:
        step = 1.0 if units == "mm" else 3.175
        assert holds(check, asked.sized(size))
        assert size * 100 - step <= 100 + 1e-9 or not holds(check, asked.sized(size - step / 100))


def holds(check: Check, trial: Trial | None) -> bool:
    return trial is not None and bool(check(trial).all())


def test_where_nothing_holds_all_it_is_said_how_many_hold() -> None:
    asked = trials(depth=3.0)
    check = each(*[2.0] * 7, 1.9, 0.2, 0.1)
    assert cure(asked, check) == ""
    assert partial_cure(asked, check) == (
        "Of the 10, 8 hold at 1.6 mm (1/16 in) deep and 8 from 183 mm (7 13/64 in) wide."
    )
    assert partial_cure(asked, each(2.0, 2.0, 0.1)) == ""  # too few to be counted
    assert partial_cure(asked, each(2.0, *[0.1] * 9)) == ""  # most are lost anyway


def test_a_width_and_a_factor() -> None:
    asked = trials(depth=3.0)
    said = cures(asked.layout, asked.job, widest=1.8, factor=1.5)
    assert said == "It holds at 1.5 mm (3/64 in) deep, with a 30 deg V, or from 150 mm (5 29/32 in) wide."
    assert "wide" not in cures(asked.layout, asked.job, widest=1.8, factor=np.inf)


def test_a_shallower_groove_also_asks_for_less_land() -> None:
    # A straight bit cuts as wide at any depth; land at least the depth in maple [P]: 1.5 along, 2.5 across
    asked = trials(bit=Straight(3.175), depth=4.0, wood=wood_named("hard maple"))
    along = np.zeros(1)
    assert asked.now.least_land(along)[0] == pytest.approx(4.0)
    less = asked.at(depth=2.0)
    assert less is not None
    assert less.least_land(along)[0] == pytest.approx(2.0)
    hand = trials(bit=Straight(3.175), depth=4.0, wood=wood_named("hard maple"), hand_error=1.0)
    assert hand.now.least_land(along)[0] == pytest.approx(5.0)  # 4 + 2 x 1 mm x 0.5 [D]
