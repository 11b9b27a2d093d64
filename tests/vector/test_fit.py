"""The promise of the fit: cubics within the tolerance of their samples, by shapely's distances."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.geometry import bezier
from tracer.geometry.flatten import flatten
from tracer.vector.breaks import LINE, Pieces, Sections
from tracer.vector.cubics import rounded
from tracer.vector.elimination import solve_all
from tracer.vector.fit import Course, fitted
from tracer.vector.guesses import laid
from tracer.vector.spans import RunningSums


def departures(chain: np.ndarray, points: np.ndarray) -> tuple[float, float]:
    """The largest distance from the samples to the chain, and from the chain to the samples' polyline."""
    curve, way = shapely.LineString(flatten(chain, 1e-3)), shapely.LineString(points)
    to_chain = shapely.distance(shapely.points(points), curve).max()
    dense = shapely.points(bezier.points_at(chain, np.linspace(0, len(chain), 800)))
    to_way = shapely.distance(dense, way).max()
    return float(to_chain), float(to_way)


def wave(amplitude: float, period: float, length: float = 200.0) -> np.ndarray:
    x = np.arange(0, length, 0.9)
    return np.column_stack([x, amplitude * np.sin(2 * np.pi * x / period)])


def fit_one(
    points: np.ndarray, tolerance: float, *, corners: tuple[int, ...] = (), closed: bool = False
) -> np.ndarray:
    (chain,) = fitted([Course(points, corners, closed, 4)], tolerance)
    return chain


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.floats(-0.12, 0.12), min_size=3, max_size=8),
    st.sampled_from([0.1, 0.2, 0.5, 1.5]),
)
def test_any_smooth_wandering_is_within_the_tolerance(bends: list[float], tolerance: float) -> None:
    # The pen's heading turns at a rate that is interpolated between random knots.
    s = np.arange(0, 160.0)
    heading = np.cumsum(np.interp(s, np.linspace(0, 160, len(bends)), bends))
    points = np.cumsum(np.column_stack([np.cos(heading), np.sin(heading)]), axis=0)
    chain = fit_one(points, tolerance)
    to_chain, _ = departures(chain, points)
    assert to_chain <= tolerance * 1.05 + 2e-3
    assert chain[0, 0] == pytest.approx(points[0], abs=tolerance)
    assert chain[-1, -1] == pytest.approx(points[-1], abs=tolerance)
    assert chain[1:, 0] == pytest.approx(chain[:-1, -1], abs=1e-9)


@pytest.mark.parametrize("tolerance", [0.1, 0.3, 1.0])
def test_the_curve_does_not_swing_out_between_the_samples(tolerance: float) -> None:
    points = wave(20, 60)
    assert max(departures(fit_one(points, tolerance), points)) <= tolerance * 1.1 + 0.02


def test_a_straight_line_is_one_cubic() -> None:
    points = np.column_stack([np.arange(100.0), np.arange(100.0) * 0.3])
    chain = fit_one(points, 0.2)
    assert len(chain) == 1
    assert bezier.length(chain) == pytest.approx(np.hypot(99, 29.7), rel=1e-6)


def test_one_cubic_needs_no_more_than_two() -> None:
    source = np.array([[[0.0, 0.0], [30.0, 60.0], [80.0, 50.0], [100.0, 0.0]]])
    points = bezier.points_at(source, np.linspace(0, 1, 170))
    chain = fit_one(points, 0.2)
    assert len(chain) <= 2
    assert max(departures(chain, points)) < 0.22


def test_tangents_run_on_between_cubics_but_not_over_a_corner() -> None:
    points = np.concatenate([wave(20, 60, 90.0), wave(20, 60, 90.0)[1:, ::-1] + wave(20, 60, 90.0)[-1]])
    corner = len(wave(20, 60, 90.0)) - 1
    chain = fit_one(points, 0.2, corners=(corner,))
    inner = np.arange(1, len(chain))
    before, after = (bezier.tangents_at(chain, inner + e) for e in (-1e-7, 1e-7))
    turn = np.degrees(np.arccos(np.clip((before * after).sum(axis=1), -1, 1)))
    at_corner = np.hypot(*(chain[1:, 0] - points[corner]).T) < 0.2
    assert at_corner.sum() == 1
    assert turn[at_corner][0] > 30
    assert turn[~at_corner].max() < 1e-3


def test_a_closed_smooth_ring_closes_smoothly() -> None:
    a = np.linspace(0, 2 * np.pi, 300)
    points = np.column_stack([60 * np.cos(a), 35 * np.sin(a)])
    points[-1] = points[0]
    chain = fit_one(points, 0.2, closed=True)
    assert chain[-1, -1] == pytest.approx(chain[0, 0], abs=1e-9)
    first, last = bezier.tangents_at(chain, np.array([1e-7, len(chain) - 1e-7]))
    assert first @ last > np.cos(np.radians(0.5))
    assert max(departures(chain, points)) <= 0.23


@pytest.mark.parametrize("turn", [1, -1])
def test_a_circle_keeps_its_radius_and_its_way_round(turn: int) -> None:
    a = turn * np.linspace(0, 2 * np.pi, 250)
    points = 40 * np.column_stack([np.cos(a), np.sin(a)]) + (5, 7)
    points[-1] = points[0]
    chain = fit_one(points, 0.2, closed=True)
    assert len(chain) == 4
    radii = np.hypot(*(flatten(chain, 1e-3) - (5, 7)).T)
    assert (
        np.abs(radii - 40).max() < 40 * 3e-4
    )  # a cubic quarter departs by 2.7e-4 of the radius (from memory)
    x, y = flatten(chain, 0.01).T
    assert np.sign((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) == turn


def test_a_closed_square_with_its_corners() -> None:
    side = np.arange(0, 40.0)
    zero, full = np.zeros(40), np.full(40, 40.0)
    edges = [(side, zero), (full, side), (40 - side, full), (zero, 40 - side)]
    points = np.concatenate([np.column_stack(edge) for edge in edges] + [[[0.0, 0.0]]])
    rolled = np.concatenate([np.roll(points[:-1], -20, axis=0), points[20:21]])
    chain = fit_one(rolled, 0.2, corners=(20, 60, 100, 140), closed=True)
    assert chain[0, 0] == pytest.approx(chain[-1, -1])
    assert sorted(map(tuple, chain[:, 0].round(6))) == [(0, 0), (0, 40), (40, 0), (40, 40)]


def test_many_courses_at_once_give_what_each_gives_alone() -> None:
    courses = [Course(wave(a, p), (), False, 4) for a, p in ((5, 40), (20, 60), (1, 200))]
    for course, chain in zip(courses, fitted(courses, 0.2), strict=True):
        (alone,) = fitted([course], 0.2)
        assert chain == pytest.approx(alone, abs=1e-6)


def test_no_course_no_chain() -> None:
    assert fitted([], 0.2) == []


@pytest.mark.parametrize("points", [[[0.0, 0.0], [1.0, 0.0]], [[0.0, 0.0], [1.0, 0.0], [2.0, 0.5]]])
def test_the_shortest_courses(points: list[list[float]]) -> None:
    chain = fit_one(np.array(points), 0.2)
    assert chain[[0, -1], [0, -1]] == pytest.approx(np.array(points)[[0, -1]], abs=0.2)


def trembling(points: np.ndarray, sigma: float, seed: int = 1) -> np.ndarray:
    """Samples that err, neighbours alike."""
    noise = np.random.default_rng(seed).normal(0, 1, (len(points) + 4, 2))
    return (
        points
        + sigma * (noise[:-4] + 2 * noise[1:-3] + 3 * noise[2:-2] + 2 * noise[3:-1] + noise[4:]) / 19**0.5
    )


def rounded_bar(radius: float, side: float) -> np.ndarray:
    """A line, a quarter circle and a line, one px from sample to sample."""
    line, angle = np.arange(0, side), np.arange(0, np.pi / 2, 1 / radius)
    first = np.column_stack([line - side, np.full(len(line), -radius)])
    bend = radius * np.column_stack([np.sin(angle), -np.cos(angle)])
    return np.concatenate([first, bend, np.column_stack([np.full(len(line), radius), line])])


def to_rounded_bar(at: np.ndarray, radius: float) -> np.ndarray:
    """Distances from the true figure, by its formula."""
    x, y = at.T
    return np.where((x > 0) & (y < 0), np.hypot(x, y) - radius, np.where(x <= 0, y + radius, x - radius))


@pytest.mark.parametrize("radius", [12.0, 40.0, 150.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_line_a_bend_and_a_line_are_three_cubics_truer_than_their_samples(radius: float, seed: int) -> None:
    points = trembling(rounded_bar(radius, 120.0), 0.08, seed)
    chain = fit_one(points, 0.4)
    assert len(chain) == 3
    curve = bezier.points_at(chain, np.linspace(0, 3, 900))
    before, after = (np.abs(to_rounded_bar(at, radius)).mean() for at in (points, curve))
    assert (
        after < 0.7 * before + 1e-4 * radius
    )  # a quarter circle's cubic departs by 2.7e-4 of the radius at most
    assert max(departures(chain, points)) <= 0.4


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_lines_stay_exactly_straight(seed: int) -> None:
    chain = fit_one(trembling(rounded_bar(40.0, 120.0), 0.08, seed), 0.4)
    for cubic in chain[[0, -1]]:
        chord, away = cubic[3] - cubic[0], cubic[1:3] - cubic[0]
        assert np.abs(chord[0] * away[:, 1] - chord[1] * away[:, 0]).max() < 1e-9 * (chord @ chord)


@pytest.mark.parametrize(("at", "height"), [(0.3, 1.0), (0.1, 1.0)])
def test_a_flaw_in_a_ring_leaves_its_other_lines_and_bends_alone(at: float, height: float) -> None:
    """Four lines, four quarter circles, and what the flaw takes; wherever the ring's seam is."""
    quarter = np.add(rounded_bar(40.0, 120.0)[:-120], (60.0, -60.0))
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    ring = np.concatenate([quarter @ np.linalg.matrix_power(turn, k) for k in range(4)])
    away = np.abs((np.arange(len(ring)) / len(ring) - at + 0.5) % 1 - 0.5) * len(ring)
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    across = along @ turn / np.hypot(*along.T)[:, None]
    points = trembling(ring + height * np.exp(-((away / 3) ** 2))[:, None] * across, 0.05, 3)
    chain = fit_one(np.append(points, points[:1], axis=0), 0.25, closed=True)
    assert len(chain) <= 16
    assert departures(chain, points)[0] <= 0.25 * 1.05 + 2e-3


def test_two_cubics_that_meet_smoothly_are_found_again() -> None:
    source = np.array(
        [
            [[0.0, 0.0], [60.0, 90.0], [120.0, -60.0], [180.0, 30.0]],
            [[180.0, 30.0], [210, 75], [150, 140], [90, 120]],
        ]
    )
    points = trembling(bezier.points_at(source, np.linspace(0, 2, 460)), 0.05)
    chain = fit_one(points, 0.3)
    assert len(chain) <= 3
    truth = shapely.LineString(flatten(source, 1e-3))
    curve = shapely.points(bezier.points_at(chain, np.linspace(0, len(chain), 900)))
    samples = shapely.points(points)
    assert shapely.distance(curve, truth).mean() < shapely.distance(samples, truth).mean()


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(-0.1, 0.1), min_size=3, max_size=6), st.integers(0, 3), st.booleans(), st.booleans()
)
def test_turned_mirrored_or_reversed_samples_give_the_same_curve(
    bends: list[float], quarter: int, mirrored: bool, backwards: bool
) -> None:
    heading = np.cumsum(np.interp(np.arange(140.0), np.linspace(0, 140, len(bends)), bends))
    points = trembling(np.cumsum(np.column_stack([np.cos(heading), np.sin(heading)]), axis=0), 0.05)
    map_ = np.linalg.matrix_power(np.array([[0.0, 1.0], [-1.0, 0.0]]), quarter) * [1, -1 if mirrored else 1]
    plain = fit_one(points, 0.3)
    other = fit_one((points @ map_)[:: -1 if backwards else 1], 0.3)
    assert abs(len(other) - len(plain)) <= 1
    places = shapely.points(bezier.points_at(other, np.linspace(0, len(other), 300)))
    assert shapely.distance(places, shapely.LineString(flatten(plain @ map_, 1e-3))).max() < 0.2


@pytest.mark.parametrize("power", [2.0, 2.6])
@pytest.mark.parametrize("squeeze", [1.0, 0.99])
def test_only_a_circle_becomes_a_circle(power: float, squeeze: float) -> None:
    # A superellipse: |x|^p + |y|^p = 1 (Lame 1818); p = 2 is the circle.
    a = np.linspace(0, 2 * np.pi, 400)
    c, s = np.cos(a), np.sin(a)
    points = 50 * np.column_stack(
        [np.sign(c) * np.abs(c) ** (2 / power), squeeze * np.sign(s) * np.abs(s) ** (2 / power)]
    )
    points[-1] = points[0]
    chain = fit_one(points, 0.4, closed=True)
    radii = np.hypot(*flatten(chain, 1e-3).T)
    round_ = np.ptp(radii) < 50 * 5e-4
    assert round_ == (power == 2.0 and squeeze == 1.0)
    assert max(departures(chain, points)) <= 0.42


def test_a_ring_of_lines_and_bends_has_eight_cubics_and_no_seam() -> None:
    bar = rounded_bar(25.0, 60.0)[:-30][30:]
    corner, turn = np.array([-30.0, 30.0]), np.array([[0.0, 1.0], [-1.0, 0.0]])
    sides = [(bar - corner) @ np.linalg.matrix_power(turn, k) for k in range(4)]
    points = np.concatenate([*sides, sides[0][:1]])
    gaps = np.hypot(*np.diff(points, axis=0).T)
    assert gaps.max() < 2.1
    points[:-1] = trembling(points[:-1], 0.05)
    points[-1] = points[0]
    chain = fit_one(points, 0.3, closed=True)
    assert len(chain) == 8
    ends = np.arange(len(chain))
    after, before = bezier.tangents_at(chain, ends + 1e-9), bezier.tangents_at(chain, ends + 1 - 1e-9)
    assert (np.roll(before, 1, axis=0) * after).sum(axis=1) == pytest.approx(1, abs=1e-9)


def test_a_jump_in_the_samples_is_followed_within_the_tolerance() -> None:
    points = np.column_stack([np.arange(120.0), np.zeros(120)])
    points[60:, 1] += 3.0
    chain = fit_one(points, 0.3)
    assert departures(chain, points)[0] <= 0.3


def test_noise_is_not_fitted() -> None:
    points = trembling(np.column_stack([np.arange(300.0), np.zeros(300)]), 0.1)
    assert len(fit_one(points, 0.5)) == 1


def test_unknowns_that_say_the_same_share_what_they_say() -> None:
    # x + y = 2 twice over, and z = 3 beside it: the least x and y that solve it are 1 and 1 (Levenberg 1944).
    alike = np.array([[[1.0, 1.0, 0.0], [1.0, 1.0, 0.0], [0.0, 0.0, 1.0]]])
    told = solve_all(alike, np.array([[[2.0], [2.0], [3.0]]]))
    assert told.ravel() == pytest.approx([1.0, 1.0, 3.0], abs=1e-5)


def bumped(height: float) -> tuple[np.ndarray, np.ndarray]:
    """A line with a bump over 24 of its samples, and which these are."""
    points = trembling(np.column_stack([np.arange(160.0), np.zeros(160)]), 0.04)
    bump = np.zeros(160, bool)
    bump[70:94] = True
    points[bump, 1] += height * np.sin(np.linspace(0, np.pi, 24))
    return points, bump


def test_what_was_guessed_within_a_junction_does_not_break_a_line() -> None:
    points, bump = bumped(0.3)
    (chain,) = fitted([Course(points, (), False, 4, guessed=bump)], 0.3)
    assert len(chain) == 1
    assert departures(chain, points[~bump])[0] <= 0.3
    assert departures(chain, points)[0] <= 4 * 0.3  # moved by three tolerances at the most, then fitted
    assert len(fit_one(points, 0.3)) > 1


@pytest.mark.parametrize(("height", "stays"), [(0.8, False), (1.0, True)])
def test_what_was_guessed_is_moved_by_three_tolerances_at_the_most(height: float, stays: bool) -> None:
    x = np.arange(60.0)
    guessed = (x > 20) & (x < 30)
    points = np.column_stack([x, height * guessed])
    ends = np.array([0]), np.array([59])
    sections = Sections(points, *ends, np.full(60, 4), guessed, np.zeros(1, bool))
    line = rounded((points[:1], np.array([[1.0, 0.0]])), (points[-1:], np.array([[1.0, 0.0]])))
    found = [(Pieces(*ends, np.array([LINE])), line)]
    moved = laid(sections, found, RunningSums(points, *ends), 0.3)
    assert moved == pytest.approx(points if stays else points * [1, 0], abs=1e-9)


def test_where_guesses_do_not_fit_a_line_they_are_followed() -> None:
    points, bump = bumped(1.0)
    (chain,) = fitted([Course(points, (), False, 4, guessed=bump)], 0.3)
    assert departures(chain, points)[0] <= 0.3


def test_the_guessed_end_of_a_stem_lies_in_its_line() -> None:
    points = trembling(np.column_stack([np.arange(80.0), np.zeros(80)]), 0.04)
    points[65:, 1] += np.linspace(0, 0.4, 15)
    (chain,) = fitted([Course(points, (), False, 4, guessed=np.arange(80) >= 65)], 0.3)
    assert len(chain) == 1
    assert chain[-1, -1] == pytest.approx([79, 0], abs=0.1)


def test_a_guessed_corner_stays_where_it_is() -> None:
    side = np.arange(0, 60.0)
    points = np.concatenate([np.column_stack([side, 0 * side]), np.column_stack([60 + 0 * side, side])])
    points[60] += (0.5, -0.5)  # as far as the pen's outer edge says
    (chain,) = fitted([Course(points, (60,), False, 4, guessed=abs(np.arange(120) - 60) < 9)], 0.3)
    assert np.hypot(*(chain[:, 0] - points[60]).T).min() <= 0.3


def test_a_ring_with_guessed_points_at_its_seam_closes() -> None:
    a = np.linspace(0, 2 * np.pi, 300)
    points = np.column_stack([60 * np.cos(a), 35 * np.sin(a)])
    points[-1] = points[0]
    away = np.minimum(np.arange(300), 299 - np.arange(300))
    points[away < 8] += (0.5, 0)
    (chain,) = fitted([Course(points, (), True, 4, guessed=away < 8)], 0.2)
    assert chain[-1, -1] == pytest.approx(chain[0, 0], abs=1e-9)
    assert departures(chain, points[away >= 8])[0] <= 0.22


def test_a_sample_of_weight_two_counts_as_two_samples() -> None:
    points = trembling(np.column_stack([np.arange(30.0), 0.02 * np.arange(30.0) ** 2]), 0.1)
    weights = np.where(np.arange(30) % 3, 1, 2)
    twice = np.repeat(points, weights, axis=0)
    one = RunningSums(points, np.array([0]), np.array([29]), weights.astype(float))
    other = RunningSums(twice, np.array([0]), np.array([len(twice) - 1]))
    a, b = (s.offs(np.array([0]), np.array([len(s.points) - 1]), 0.0) for s in (one, other))
    assert np.array(a[:2]) == pytest.approx(np.array(b[:2]), rel=1e-9)
