"""Overlapping contours as one area: the nonzero rule, curves kept, degenerate ones dropped."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.errors import LetterError
from tracer.geometry import bezier
from tracer.letters import unite
from tracer.letters.outline import area_of
from tracer.letters.unite import united

Array = NDArray[np.float64]


def around(*points: tuple[float, float]) -> Array:
    """A closed ring of straight cubics."""
    return bezier.from_polyline(np.array([*points, points[0]], float))


def box(x0: float, y0: float, x1: float, y1: float) -> Array:
    """A box, clockwise with y up as outer contours run."""
    return around((x0, y0), (x0, y1), (x1, y1), (x1, y0))


def disc(x: float, y: float, r: float) -> Array:
    """A circle of four cubics, clockwise with y up; 0.5523 is the usual length of handles."""
    k = 4 / 3 * math.tan(math.pi / 8) * r
    quarter = np.array([[0, r], [k, r], [r, k], [r, 0]])
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    return np.array([quarter @ np.linalg.matrix_power(turn, n).T for n in range(4)]) + np.array([x, y])


STEM = box(0, 0, 100, 700)


@pytest.mark.parametrize(
    ("rings", "count", "area"),
    [
        pytest.param([STEM, box(-200, 300, 300, 400)], 1, 70_000 + 40_000, id="cross"),
        pytest.param([STEM, box(50, 0, 300, 100)], 1, 70_000 + 20_000, id="along one edge"),
        pytest.param([STEM, box(100, 200, 300, 400)], 1, 110_000, id="edge to edge"),
        pytest.param([STEM, STEM], 1, 70_000, id="twice"),
        pytest.param([STEM, box(20, 20, 40, 40)], 1, 70_000, id="inside, same way: filled"),
        pytest.param(
            [STEM, bezier.reverse(box(20, 20, 40, 40))], 2, 69_600, id="inside, other way: a counter"
        ),
        pytest.param([bezier.reverse(STEM)], 1, 70_000, id="the wrong way round"),
        pytest.param([around((0, 0), (0, 400), (400, 0), (400, 400))], 2, 80_000, id="crosses itself"),
        pytest.param([STEM, around((5, 5), (5, 50), (5, 20))], 1, 70_000, id="a line is dropped"),
        pytest.param([STEM, box(200, 0, 200.2, 0.2)], 1, 70_000, id="a speck is dropped"),
        pytest.param([], 0, 0, id="nothing"),
    ],
)
def test_what_is_wound_round_is_ink(rings: list[Array], count: int, area: float) -> None:
    found = united(rings, 1000)
    assert len(found) == count
    assert -sum(map(area_of, found)) == pytest.approx(area, rel=1e-6)
    for ring in found:
        assert np.allclose(ring[:, 3], np.roll(ring[:, 0], -1, axis=0), atol=1e-9)


def test_contours_that_do_not_cross_are_returned_as_they_are() -> None:
    rings = [disc(300, 350, 300), bezier.reverse(disc(300, 350, 200))]
    for before, after in zip(rings, united(rings, 1000), strict=True):
        assert np.array_equal(before, after)


@settings(max_examples=15)
@given(st.floats(20, 480), st.floats(50, 300))
def test_two_discs_have_the_area_of_both_less_the_lens(apart: float, r: float) -> None:
    apart = min(apart, 1.9 * r)
    half = math.acos(apart / (2 * r))
    # Area of a lens of two equal circles (schoolbook): 2 r^2 acos(d / 2r) - d/2 sqrt(4 r^2 - d^2).
    lens = 2 * r * r * half - apart / 2 * math.sqrt(4 * r * r - apart * apart)
    (ring,) = united([disc(0, 0, r), disc(apart, 0, r)], 1000)
    # Four cubics are 2.7e-4 of the radius off a circle: 4e-4 of its area at most.
    assert -area_of(ring) == pytest.approx(2 * math.pi * r * r - lens, rel=5e-4)
    assert len(ring) <= 10


@pytest.mark.parametrize("em", [16, 1000, 2048, 16384])
def test_sizes_follow_the_em(em: int) -> None:
    rings = [STEM * em / 1000, box(50, 0, 300, 100) * em / 1000]
    (ring,) = united(rings, em)
    assert -area_of(ring) == pytest.approx(90_000 * (em / 1000) ** 2, rel=1e-6)


def test_edges_that_close_to_no_ring_are_told_by_areas_instead(monkeypatch: pytest.MonkeyPatch) -> None:
    original = unite.seen

    def with_loose_ends(*arguments: object) -> object:
        found = original(*arguments)  # type: ignore[arg-type]
        return type(found)([], [STEM], found.lines)

    monkeypatch.setattr(unite, "seen", with_loose_ends)
    rings = [disc(0, 0, 300), bezier.reverse(disc(0, 0, 100)), box(250, -10, 500, 10)]
    found = united(rings, 1000)
    disc_area = area_of(rings[0]) + area_of(rings[1])
    assert len(found) == 2
    assert -sum(map(area_of, found)) == pytest.approx(-disc_area + 5000 - 20 * 50, rel=2e-4)
    assert sorted(np.sign(area_of(ring)) for ring in found) == [-1, 1]


def test_a_tangle_is_refused() -> None:
    points = np.random.default_rng(7).uniform(0, 1000, (400, 2)).tolist()
    with pytest.raises(LetterError, match=r"crosses itself \d+ times"):
        united([around(*points)], 1000)
