import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.sheets.free_room import FreeRoom

ROOM = (-10.0, 5.0, 90.0, 85.0)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**31), off=st.floats(0, 4))
def test_what_is_found_is_clear_and_what_is_passed_over_is_not(seed, off):
    """Against distances; points are counted by mm, so up to two cells' diagonal more may be kept off."""
    random = np.random.default_rng(seed)
    points = random.uniform((-10, 5), (90, 85), (60, 2))
    corners = random.uniform((-10, 5), (70, 75), (30, 2))
    taken = np.hstack([corners[:4], corners[:4] + 8])
    boxes = np.hstack([corners, corners + np.array([12, 5])])
    free = FreeRoom(ROOM, points, taken)
    box = free.first_clear(boxes, off)
    before = boxes if box is None else boxes[: int(np.flatnonzero((boxes == box).all(axis=1))[0])]
    if box is not None:
        assert away(points, box) >= off
        assert not met(taken, box)
        assert met(free.taken, box)
    for other in before:
        assert away(points, other) < off + 2.9 or met(taken, other)


def away(points, box):
    return np.hypot(*(points - np.clip(points, box[:2], box[2:])).T).min()


def met(taken, box):
    return bool(((taken[:, :2] < box[2:]) & (taken[:, 2:] > box[:2])).all(axis=1).any())


def test_a_box_that_was_found_is_taken():
    free = FreeRoom(ROOM, np.empty((0, 2)), np.empty((0, 4)))
    box = np.array([[0.0, 10.0, 20.0, 20.0]])
    assert free.first_clear(box, 1.0) is not None
    assert free.first_clear(box, 1.0) is None
