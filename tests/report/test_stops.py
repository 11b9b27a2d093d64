"""Depth stops: bold lines cut bold, fine lines fine."""

import itertools
import math
import time
from collections.abc import Sequence

import numpy as np
import pytest
from bit_strategies import FOLLOWING
from hypothesis import given
from hypothesis import strategies as st

from tracer.acts import Acts
from tracer.errors import BitError, JobError
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Kind, Stroke
from tracer.report.stops import SAME_GROOVE, Stops, find_stops
from tracer.shop.bits import RoundNose, Straight, VBit
from tracer.shop.router import pass_depths

SIXTY = VBit(60.0, 12.7)
SAID = {"depth": "said on the command line"}


def stroke(number: int, width: float | None, *, length: float = 100.0, kind: Kind = "line") -> Stroke:
    curves = bezier.from_polyline(np.array([[0.0, 0.0], [length, 0.0]]))
    return Stroke(
        number, curves, closed=False, kind=kind, widths=None if width is None else np.array([width])
    )


def strokes_of(*widths: float | None) -> list[Stroke]:
    return [stroke(number, width) for number, width in enumerate(widths, start=1)]


def misfit(strokes: Sequence[Stroke], stops: Stops) -> float:
    """Squared difference between drawn width and groove, weighted by length."""
    return sum(s.length * ((s.width or 0) - stops.of(s.number).width) ** 2 for s in strokes)


def depths(stops: Stops) -> list[float]:
    return [round(stop.depth, 9) for stop in stops.stops]


def test_one_stop_is_the_depth_of_the_job() -> None:
    job = Job(depth=1.23)
    stops = find_stops(strokes_of(1.0, 5.0, None), job)
    assert depths(stops) == [1.23]
    assert stops.stops[0].width == job.groove
    assert stops.of_stroke == {1: 1, 2: 1, 3: 1}


def test_bold_lines_cut_bold_and_fine_lines_fine() -> None:
    # 60 deg V: d = 0.866 w [D]: 1.2 mm wide at 1.04 deep, 3.5 at 3.03; to a tenth 1.0 and 3.0
    stops = find_stops(strokes_of(1.2, 3.5, 1.2, 3.5), Job(bit=SIXTY, stops=2))
    assert depths(stops) == [3.0, 1.0]
    assert [stop.number for stop in stops.stops] == [1, 2]
    assert stops.of_stroke == {1: 2, 2: 1, 3: 2, 4: 1}
    assert stops.stops[0].width == pytest.approx(2 * 3.0 * math.tan(math.radians(30)))
    assert stops.stops[0].pass_depths == pass_depths(SIXTY, 3.0)


def test_in_inches_a_stop_stands_on_a_64th() -> None:
    stops = find_stops(strokes_of(1.2, 3.5), Job(bit=SIXTY, stops=2, units="in"))
    assert depths(stops) == [round(25.4 / 64 * n, 9) for n in (8, 3)]


def test_long_lines_count_more() -> None:
    lines = [stroke(1, 2.0, length=900.0), stroke(2, 3.0, length=100.0), stroke(3, 6.0, length=2000.0)]
    stops = find_stops(lines, Job(bit=VBit(90.0, 25.4), stops=2))
    assert depths(stops) == [3.0, 1.0]  # 90 deg: w = 2 d [D]; the mean of 2 and 3 is 2.1, its depth 1.05


def test_a_dot_counts_by_its_width() -> None:
    dots = [stroke(1, 2.0, length=0.0, kind="dot"), stroke(2, 6.0, length=0.0, kind="dot")]
    # (2 x 2 + 6 x 6) / (2 + 6) = 5 wide, 2.5 deep in a 90 deg V; said as the deepest it is all there can be
    job = Job(bit=VBit(90.0, 25.4), stops=2, depth=2.5, origins=SAID)
    assert depths(find_stops(dots, job)) == [2.5, 1.0]
    assert find_stops(dots, job).of_stroke == {1: 2, 2: 1}


def test_widths_all_the_same_need_one_stop() -> None:
    stops = find_stops(strokes_of(2.0, 2.0, 2.0), Job(bit=SIXTY, stops=3))
    assert depths(stops) == [1.7]  # 0.866 x 2.0 = 1.73
    near = find_stops(strokes_of(2.0, 2.02), Job(bit=VBit(20.0, 12.7), stops=3))
    assert len(near.stops) == 1  # a tenth deeper is but 0.035 mm wider there


def test_a_depth_that_was_said_is_the_deepest() -> None:
    lines = strokes_of(1.2, 3.5, 9.0)
    stops = find_stops(lines, Job(bit=SIXTY, stops=3, depth=2.05, origins=SAID))
    assert stops.stops[0].depth == 2.05  # as said, on a mark or not
    assert stops.of_stroke == {1: 2, 2: 1, 3: 1}
    free = find_stops(lines, Job(bit=SIXTY, stops=3, depth=2.05))
    assert depths(free) == [7.8, 3.0, 1.0]


def test_what_has_no_width_goes_with_the_deepest_or_with_most_lines() -> None:
    lines = [*strokes_of(1.2, 1.2, 3.5, None), stroke(5, 9.0, kind="edge")]
    unsaid = find_stops(lines, Job(bit=SIXTY, stops=2))
    said = find_stops(lines, Job(bit=SIXTY, stops=2, depth=3.0, origins=SAID))
    assert depths(said) == depths(unsaid) == [3.0, 1.0]  # the edge's width counts for nothing
    assert (unsaid.of_stroke[4], unsaid.of_stroke[5]) == (2, 2)
    assert (said.of_stroke[4], said.of_stroke[5]) == (1, 1)


def test_without_any_width_there_is_one_stop() -> None:
    assert depths(find_stops(strokes_of(None, None), Job(stops=3))) == [Job().depth]
    assert depths(find_stops([], Job(stops=3))) == [Job().depth]


def test_a_straight_bit_has_one_stop() -> None:
    assert depths(find_stops(strokes_of(1.0, 6.0), Job(bit=Straight(3.175), stops=3))) == [Job().depth]


@pytest.mark.parametrize(("thickness", "deepest"), [(19.05, 12.7), (8.0, 4.0)])
def test_wood_is_left_under_the_deepest(thickness: float, deepest: float) -> None:
    # At least 1/4 in, or half the board: common practice, no source
    stops = find_stops(strokes_of(1.0, 60.0), Job(bit=VBit(90.0, 60.0), stops=2, thickness=thickness))
    assert stops.stops[0].depth == pytest.approx(deepest)


def test_no_stop_is_too_shallow_to_be_set() -> None:
    # About 1/64 in: common practice, no source
    assert depths(find_stops(strokes_of(0.05, 3.0), Job(stops=2)))[1] == 0.4
    assert depths(find_stops(strokes_of(0.05, 3.0), Job(stops=2, units="in")))[1] == round(25.4 / 64, 9)


def test_no_deeper_than_where_a_round_nose_is_full() -> None:
    assert depths(find_stops(strokes_of(1.0, 20.0), Job(bit=RoundNose(6.0), stops=2)))[0] == 3.0


def test_lines_that_are_left_out_do_not_count() -> None:
    lines = strokes_of(1.2, 3.5, 9.0)
    stops = find_stops(lines, Job(bit=SIXTY, stops=2), left_out=(3,))
    assert depths(stops) == [3.0, 1.0]
    assert stops.of_stroke[3] == 1


def test_the_user_moves_a_stroke_and_no_depth() -> None:
    lines = strokes_of(1.2, 3.5, 1.2, 3.5)
    job = Job(bit=SIXTY, stops=2, acts=Acts(stops={1: 1, 3: 1}))
    stops = find_stops(lines, job)
    assert depths(stops) == [3.0, 1.0]
    assert stops.of_stroke == dict.fromkeys((1, 2, 3, 4), 1)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"stops": 2}, r"stroke 2 is set to depth stop 3, and there are 2, the deepest is 1: ask for more"),
        ({"stops": 1}, r"stroke 2 is set to depth stop 3, and there is only 1: ask for more with --stops"),
        ({"stops": 3}, r"there are 2, the deepest is 1: more would not help with these lines; take that"),
        ({"stops": 3, "bit": Straight(3.0)}, r"there is only 1: this bit cuts as wide at any depth"),
    ],
)
def test_a_stop_that_is_not_there_is_an_error(more: dict[str, object], words: str) -> None:
    job = Job(acts=Acts(stops={2: 3}), **more)  # type: ignore[arg-type]
    with pytest.raises(JobError, match=words):
        find_stops(strokes_of(1.2, 3.5), job)


def test_a_depth_the_bit_cannot_cut_is_refused() -> None:
    with pytest.raises(BitError, match="too deep"):
        find_stops(strokes_of(1.0), Job(depth=50.0))


_LINES = st.lists(
    st.tuples(st.floats(0.2, 12.0), st.floats(1.0, 500.0)),
    min_size=1,
    max_size=20,
)


@given(_LINES, FOLLOWING)
def test_more_stops_never_fit_worse(pairs: list[tuple[float, float]], bit: VBit) -> None:
    lines = [stroke(n, width, length=length + width) for n, (width, length) in enumerate(pairs, start=1)]
    found = []
    for count in (2, 3):
        job = Job(bit=bit, stops=count, thickness=40.0)
        try:
            stops = find_stops(lines, job)
        except BitError:
            return  # the assumed depth is too deep for this bit, and it is too short for any other
        found.append(misfit(lines, stops))
        widths = [stop.width for stop in stops.stops]
        assert len(widths) <= count
        assert all(a - b >= SAME_GROOVE - 1e-9 for a, b in itertools.pairwise(widths))
        for line in lines:  # each goes to the groove that is nearest to it
            assert abs((line.width or 0) - stops.of(line.number).width) == pytest.approx(
                min(abs((line.width or 0) - width) for width in widths)
            )
    assert found[1] <= found[0] * (1 + 1e-6) + 1e-9


@given(_LINES, st.randoms())
def test_the_order_of_strokes_is_immaterial(pairs: list[tuple[float, float]], chance) -> None:  # type: ignore[no-untyped-def]
    lines = [stroke(n, width, length=length) for n, (width, length) in enumerate(pairs, start=1)]
    job = Job(bit=SIXTY, stops=3)
    one, other = find_stops(lines, job), find_stops(chance.sample(lines, len(lines)), job)
    assert misfit(lines, one) == pytest.approx(misfit(lines, other), rel=1e-6, abs=1e-6)


def test_five_hundred_strokes_take_no_time() -> None:
    lines = [stroke(n, 0.5 + (n * 37 % 500) / 50) for n in range(1, 501)]
    job = Job(bit=VBit(60.0, 40.0), stops=3)
    find_stops(lines, job)
    taken = []
    for _ in range(5):
        start = time.process_time()
        find_stops(lines, job)
        taken.append(time.process_time() - start)
    assert min(taken) < 0.02  # a plan has 0.2 s; usually a fifth of this
