"""Courses run straight through junctions, and know where other lines open into them."""

import cv2
import numpy as np

from tracer.raster.courses import Course, courses

PEN = 10.0


def drawn(*lines: tuple[tuple[int, int], tuple[int, int]]) -> np.ndarray:
    skeleton = np.zeros((120, 160), np.uint8)
    for a, b in lines:
        cv2.line(skeleton, a, b, 1)
    return skeleton


def found(skeleton: np.ndarray, *, coloured: bool = True) -> list[Course]:
    ways = courses(skeleton, np.full_like(skeleton, coloured), PEN)
    return sorted(ways, key=lambda course: -len(course.points))


def test_the_bar_of_a_t_is_one_course_and_its_stem_another() -> None:
    bar, stem = found(drawn(((10, 40), (150, 40)), ((80, 40), (80, 110))))
    assert np.ptp(bar.points, axis=0).tolist() == [140, 0]
    assert stem.points[:, 1].max() == 110


def test_a_bar_knows_on_which_side_its_stem_is() -> None:
    for end, down in ((110, True), (5, False)):
        bar = found(drawn(((10, 60), (150, 60)), ((80, 60), (80, end))))[0]
        right = bar.points[-1, 0] > bar.points[0, 0]
        side = int(down == right)
        where = bar.points[bar.joined[:, side], 0]
        assert 15 <= np.ptp(where) <= 22
        assert abs(where.mean() - 80) < 2
        assert not bar.joined[:, 1 - side].any()


def test_a_cross_is_two_courses() -> None:
    ways = found(drawn(((10, 60), (150, 60)), ((80, 5), (80, 115))))
    assert [max(np.ptp(way.points, axis=0)) for way in ways] == [140, 110]
    assert all(way.joined.any(axis=0).all() for way in ways)


def test_a_corner_of_three_is_no_straight_line() -> None:
    ways = found(drawn(((80, 60), (80, 5)), ((80, 60), (30, 110)), ((80, 60), (140, 110))))
    assert len(ways) == 3


def test_short_stubs_under_colouring_are_left_out() -> None:
    skeleton = drawn(((10, 40), (150, 40)), ((80, 40), (80, 47)))
    ways = found(skeleton)
    assert len(ways) == 1
    assert not ways[0].joined.any()
    bare = found(skeleton, coloured=False)
    assert bare[0].joined.any()


def test_short_lines_of_their_own_stay() -> None:
    assert len(found(drawn(((10, 40), (150, 40)), ((80, 80), (88, 80))))) == 2


def test_a_ring_goes_on_over_its_beginning() -> None:
    skeleton = np.zeros((120, 160), np.uint8)
    cv2.circle(skeleton, (80, 60), 40, 1)
    (ring,) = found(skeleton)
    assert (ring.points[:30] == ring.points[-30:]).all()
    assert len(np.unique(ring.points, axis=0)) == np.count_nonzero(skeleton)


def test_every_pixel_of_a_line_comes_once_and_in_order() -> None:
    (way,) = found(drawn(((10, 10), (150, 100))))
    assert len(way.points) == 141
    assert np.abs(np.diff(way.points, axis=0)).max() == 1
