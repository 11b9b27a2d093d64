import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.sheets.labels import place, place_clear
from tracer.sheets.spread import around

ROOM = (0.0, 0.0, 200.0, 200.0)
NOTHING = np.empty((0, 2))


def apart(spots):
    boxes = np.array([spot.box for spot in spots])
    for i, one in enumerate(boxes):
        others = np.delete(boxes, i, axis=0)
        clear = (
            (others[:, 0] >= one[2])
            | (others[:, 2] <= one[0])
            | (others[:, 1] >= one[3])
            | (others[:, 3] <= one[1])
        )
        if not clear.all():
            return False
    return True


def test_a_lone_label_stands_close_without_a_leader():
    (spot,) = place(np.array([[100.0, 100.0]]), [(4.0, 3.0)], lines=NOTHING, clear=2.0, room=ROOM)
    assert not spot.leader
    assert 2.0 < np.hypot(spot.x - 100, spot.y - 100) < 6.0


def test_a_label_keeps_off_a_line():
    line = np.column_stack([np.linspace(50, 150, 400), np.full(400, 100.0)])
    (spot,) = place(np.array([[100.0, 100.0]]), [(4.0, 3.0)], lines=line, clear=2.0, room=ROOM)
    _, y0, _, y1 = spot.box
    assert y1 < 100.0 or y0 > 100.0


def test_a_label_stays_in_the_room():
    (spot,) = place(np.array([[199.0, 1.0]]), [(8.0, 4.0)], lines=NOTHING, clear=2.0, room=ROOM)
    x0, y0, x1, y1 = spot.box
    assert (x0 >= 0, y0 >= 0, x1 <= 200, y1 <= 200) == (True,) * 4


def test_many_labels_at_one_place_still_get_one_each():
    spots = place(np.full((80, 2), 100.0), [(6.0, 3.4)] * 80, lines=NOTHING, clear=2.5, room=ROOM)
    assert apart(spots)
    assert any(spot.leader for spot in spots)


def test_labels_beyond_what_the_room_holds_are_left_out():
    spots = place(np.full((80, 2), 10.0), [(6.0, 3.4)] * 80, lines=NOTHING, clear=2.5, room=(0, 0, 20, 20))
    placed = [spot for spot in spots if spot is not None]
    assert 4 < len(placed) < 20
    assert apart(placed)


def test_a_label_far_off_is_tied_to_its_dot():
    block = np.stack(np.meshgrid(np.arange(92, 109, 0.5), np.arange(92, 109, 0.5)), axis=-1).reshape(-1, 2)
    (spot,) = place(np.array([[100.0, 100.0]]), [(4.0, 3.0)], lines=block, clear=2.0, room=ROOM)
    assert spot.leader


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**31), count=st.integers(1, 40))
def test_no_label_touches_another_or_a_dot(seed, count):
    random = np.random.default_rng(seed)
    dots = random.uniform(20, 180, (count, 2))
    lines = np.cumsum(random.normal(0, 1.5, (2000, 2)), axis=0) + 100
    sizes = [(random.uniform(3, 9), 3.4) for _ in range(count)]
    spots = place(dots, sizes, lines=lines, clear=2.0, room=ROOM)
    assert apart(spots)
    for spot in spots:
        x0, y0, x1, y1 = spot.box
        across = np.maximum(np.maximum(x0 - dots[:, 0], dots[:, 0] - x1), 0)
        down = np.maximum(np.maximum(y0 - dots[:, 1], dots[:, 1] - y1), 0)
        assert np.hypot(across, down).min() > 2.0 - 1e-6


@given(count=st.integers(1, 60), seed=st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=40)
def test_labels_that_must_be_clear_are_or_are_left_out(count, seed):
    random = np.random.default_rng(seed)
    points = random.uniform(0, 60, (count, 2))
    taken = np.hstack([points, points + 3.0])[: count // 2]
    lines = random.uniform(0, 60, (50, 2))
    choices = [around(point, (0.0, 3.0, 6.0), 8) for point in points]
    spots = place_clear(choices, [(4.0, 2.0)] * count, taken=taken, lines=lines, clear=1.0)
    found = [spot for spot in spots if spot is not None]
    assert len(found) < 2 or apart(found)
    for spot in found:
        x0, y0, x1, y1 = spot.box
        away = np.hypot(*(lines - np.clip(lines, (x0, y0), (x1, y1))).T)
        assert away.min() >= 1.0 - 1e-6
        meets = (taken[:, 0] < x1) & (taken[:, 2] > x0) & (taken[:, 1] < y1) & (taken[:, 3] > y0)
        assert not meets.any()


def test_a_label_takes_its_first_choice_that_is_free():
    line = np.array([[50.0, 50.0]])
    choices = [np.array([[50.0, 50.0], [50.0, 54.0], [50.0, 60.0]])]
    (spot,) = place_clear(choices, [(4.0, 2.0)], taken=np.empty((0, 4)), lines=line, clear=1.0)
    assert (spot.x, spot.y) == (50.0, 54.0)
    everything = np.array([[0.0, 0.0, 99.0, 99.0]])
    (none,) = place_clear(choices, [(4.0, 2.0)], taken=everything, lines=line, clear=1.0)
    assert none is None


def test_a_label_keeps_off_boxes_that_are_taken():
    taken = np.array([[100.0, 80.0, 120.0, 120.0]])
    (spot,) = place(np.array([[99.0, 100.0]]), [(4.0, 3.0)], lines=NOTHING, clear=2.0, room=ROOM, taken=taken)
    assert spot.box[2] <= 100.0


def test_a_label_that_may_be_taken_for_another_dots_has_a_leader():
    """All is walled up but a hole: the label in it is hardly nearer to its own dot than to the other."""
    hole = np.array([[90.0, 80, 130, 99], [90, 101, 130, 120], [90, 80, 98.9, 120], [115, 80, 130, 120]])
    sizes = [(8.0, 1.5), (1.0, 1.0)]
    apart = np.array([[100.0, 100.0], [140.0, 100.0]])
    alone = place(apart, sizes, lines=NOTHING, clear=1.0, room=ROOM, taken=hole)[0]
    assert not alone.leader
    beside = np.array([[100.0, 100.0], [110.5, 100.0]])
    doubtful = place(beside, sizes, lines=NOTHING, clear=1.0, room=ROOM, taken=hole)[0]
    assert doubtful.leader
    assert (doubtful.x, doubtful.y) == pytest.approx((alone.x, alone.y))


def test_no_label_is_put_on_anothers_leader():
    """The first label fits only the far hole A; B, nearest to the second dot, is under the leader to A."""
    a, b, c = (96.5, 77.5, 103.5, 82.5), (97.5, 88.0, 102.5, 92.0), (104.5, 88.0, 109.5, 92.0)
    taken = np.array([
        (0, 0, 200, 77.5), (0, 77.5, 96.5, 82.5), (103.5, 77.5, 200, 82.5), (0, 82.5, 200, 88),
        (0, 88, 97.5, 92), (102.5, 88, 104.5, 92), (109.5, 88, 200, 92), (0, 92, 200, 200),
    ])  # fmt: skip
    dots = np.array([[100.0, 100.0], [103.0, 90.0]])
    far, near = place(dots, [(6.0, 3.0), (4.0, 3.0)], lines=NOTHING, clear=1.0, room=ROOM, taken=taken)
    assert within(far, a)
    assert far.leader
    assert within(near, c)
    (alone,) = place(dots[1:], [(4.0, 3.0)], lines=NOTHING, clear=1.0, room=ROOM, taken=taken)
    assert within(alone, b)


def within(spot, hole):
    x0, y0, x1, y1 = spot.box
    return hole[0] <= x0 and hole[1] <= y0 and x1 <= hole[2] and y1 <= hole[3]
