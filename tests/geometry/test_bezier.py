"""Chains of cubics against svgpathtools, scipy and dense sampling."""

import numpy as np
import pytest
from curve_strategies import chains
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import BPoly
from svgpathtools import CubicBezier

from tracer.geometry import bezier

ARCH = np.array([[[0.0, 0.0], [0.0, 4.0], [6.0, 4.0], [6.0, 0.0]]])
fractions = st.floats(0, 1)


def cubics_of(chain: np.ndarray) -> list[CubicBezier]:
    return [CubicBezier(*(complex(x, y) for x, y in cubic)) for cubic in chain]


@given(chains(), fractions)
def test_points_are_the_bernstein_polynomials(chain: np.ndarray, share: float) -> None:
    # Outside reference: scipy's BPoly evaluates the Bernstein basis by its own code.
    t = share * len(chain)
    curve = BPoly(np.moveaxis(chain, 1, 0), np.arange(len(chain) + 1))
    assert bezier.points_at(chain, np.array([t]))[0] == pytest.approx(curve(t), abs=1e-9)


@settings(max_examples=30)
@given(chains(smooth=True))
def test_length_is_what_svgpathtools_measures(chain: np.ndarray) -> None:
    # Outside reference: svgpathtools' CubicBezier.length (adaptive quadrature).
    wanted = [cubic.length(error=1e-9) for cubic in cubics_of(chain)]
    assert bezier.lengths(chain) == pytest.approx(wanted, rel=1e-4)
    assert bezier.length(chain) == pytest.approx(sum(wanted), rel=1e-4)


def test_length_of_an_arch() -> None:
    # Outside reference: scipy's quad over the speed of the cubic written out by hand.
    def speed(u: float) -> float:
        return float(np.hypot(36 * u * (1 - u), 12 * (1 - 2 * u)))

    assert bezier.length(ARCH) == pytest.approx(quad(speed, 0, 1)[0], rel=1e-6)


@given(chains(smooth=True), fractions)
def test_length_to_a_place_is_that_of_the_piece_before_it(chain: np.ndarray, share: float) -> None:
    t = share * len(chain)
    (along,) = bezier.lengths_to(chain, np.array([t]))
    assert along == pytest.approx(bezier.length(bezier.between(chain, 0, t)), rel=1e-4, abs=1e-4)


@given(chains())
def test_bounds_are_those_of_dense_points(chain: np.ndarray) -> None:
    box = bezier.bounds(chain)
    dense = bezier.points_at(chain, np.linspace(0, len(chain), 600 * len(chain) + 1))
    low, high = dense.min(axis=0), dense.max(axis=0)
    assert (np.array(box[:2]) <= low + 1e-9).all()
    assert (np.array(box[2:]) >= high - 1e-9).all()
    assert box == pytest.approx((*low, *high), abs=0.01)


def test_bounds_are_not_those_of_the_handles() -> None:
    # The middle of an arch with handles 4 high is 3/4 of that: de Casteljau by hand.
    assert bezier.bounds(ARCH) == pytest.approx((0, 0, 6, 3))


def test_the_extents_of_many_chains_are_those_of_each() -> None:
    # The second's bows turn round at the same places, 10 to the right; a dot has no extent.
    found = bezier.bounds_of([ARCH, np.add(ARCH, (10.0, 0.0)), bezier.dot(np.array([2.0, 3.0]))])
    assert found == pytest.approx(np.array([(0, 0, 6, 3), (10, 0, 16, 3), (2, 3, 2, 3)]))


@given(chains(), fractions, fractions, st.floats(0, 1))
def test_a_piece_lies_on_its_chain(chain: np.ndarray, a: float, b: float, inner: float) -> None:
    t0, t1 = sorted((a * len(chain), b * len(chain)))
    piece = bezier.between(chain, t0, t1)
    assert piece[0, 0] == pytest.approx(bezier.points_at(chain, np.array([t0]))[0], abs=1e-6)
    assert piece[-1, -1] == pytest.approx(bezier.points_at(chain, np.array([t1]))[0], abs=1e-6)
    if np.floor(t0) == np.floor(t1):  # within one cubic the parameter maps linearly
        (here,) = bezier.points_at(piece, np.array([inner]))
        (there,) = bezier.points_at(chain, np.array([t0 + inner * (t1 - t0)]))
        assert here == pytest.approx(there, abs=1e-6)


@given(chains(), fractions, fractions)
def test_a_piece_backwards_is_the_piece_reversed(chain: np.ndarray, a: float, b: float) -> None:
    t0, t1 = sorted((a * len(chain), b * len(chain)))
    forth, back = bezier.between(chain, t0, t1), bezier.between(chain, t1, t0)
    if t0 < t1:
        assert np.array_equal(back, forth[::-1, ::-1])


@given(chains(), fractions)
def test_reversed_chains_mirror_their_places(chain: np.ndarray, share: float) -> None:
    t = np.array([share * len(chain)])
    assert bezier.points_at(bezier.reverse(chain), len(chain) - t) == pytest.approx(
        bezier.points_at(chain, t), abs=1e-6
    )


def test_pieces_between_whole_places_are_whole_cubics() -> None:
    chain = bezier.from_polyline(np.array([[0.0, 0], [3, 0], [3, 3], [9, 3]]))
    assert np.array_equal(bezier.between(chain, 1, 3), chain[1:])
    assert np.array_equal(bezier.between(chain, 0, 1), chain[:1])


@given(chains(smooth=True), st.floats(0.01, 0.99))
def test_tangents_are_unit_and_point_along(chain: np.ndarray, share: float) -> None:
    t, h = share * len(chain), 1e-5
    if abs(t - round(t)) < 2 * h:
        return
    (unit,) = bezier.tangents_at(chain, np.array([t]))
    before, after = bezier.points_at(chain, np.array([t - h, t + h]))
    step = after - before
    assert np.hypot(*unit) == pytest.approx(1)
    assert unit == pytest.approx(step / np.hypot(*step), abs=1e-3)


def test_tangent_where_a_handle_lies_on_its_end() -> None:
    chain = np.array([[[0.0, 0], [0, 0], [5, 0], [5, 0]]])
    assert bezier.tangents_at(chain, np.array([0.0, 1.0])) == pytest.approx(np.array([[1.0, 0], [1, 0]]))


def test_a_dot_has_no_length_and_no_direction() -> None:
    dot = bezier.dot(np.array([2.0, 3.0]))
    assert bezier.length(dot) == 0
    assert bezier.bounds(dot) == (2, 3, 2, 3)
    assert np.array_equal(bezier.tangents_at(dot, np.array([0.5])), [[0, 0]])


@pytest.mark.parametrize("order", ["derivative", "second_derivative"])
@given(chain=chains(), share=fractions)
def test_derivatives_are_scipys(order: str, chain: np.ndarray, share: float) -> None:
    nth = 1 if order == "derivative" else 2
    curve = BPoly(np.moveaxis(chain[:1], 1, 0), [0, 1]).derivative(nth)
    found = getattr(bezier, order)(chain[:1], np.array([share]))
    assert found[0] == pytest.approx(curve(share), abs=1e-6)
