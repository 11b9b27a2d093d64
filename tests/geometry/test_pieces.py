"""Chains cut where they cross."""

import numpy as np
import pytest

from tracer.geometry import bezier
from tracer.geometry.pieces import beside, chain_of, cut_up, runs_of

SQUARE = bezier.from_polyline(np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]]))
BAR = bezier.from_polyline(np.array([[-5.0, 5], [15, 5]]))


def test_pieces_go_from_crossing_to_crossing():
    pieces = cut_up([(SQUARE, True), (BAR, False)], 0.01, 1)
    assert [(p.chain, p.start, p.end) for p in pieces] == [
        (0, pytest.approx(1.5), pytest.approx(3.5)),
        (0, pytest.approx(3.5), pytest.approx(5.5)),
        (1, 0, pytest.approx(0.25)),
        (1, pytest.approx(0.25), pytest.approx(0.75)),
        (1, pytest.approx(0.75), 1),
    ]
    lengths = [bezier.length(chain_of([SQUARE, BAR], piece, 1)) for piece in pieces]
    assert lengths == pytest.approx([20, 20, 5, 10, 5])
    assert pieces[0].tail == pieces[1].head == pieces[4].tail != pieces[0].head


def test_sides_lie_beside_a_stretch_and_not_at_a_corner():
    (whole,) = cut_up([(SQUARE, True)], 0.01, 1)
    right, left = beside([SQUARE], [whole], 0.1)
    # Clockwise as y points down: the inside is on the right hand.
    assert (right > 0).all()
    assert (right < 10).all()
    assert ((left < 0) | (left > 10)).any()


def test_an_outline_is_cut_where_its_area_is():
    open_outline = SQUARE[:3]
    pieces = cut_up([(SQUARE, True), (BAR, False), (SQUARE, True), (open_outline, False)], 0.01, 1)
    cuts = {n: [(p.start, p.end) for p in pieces if p.chain == n] for n in range(4)}
    assert cuts[2] == cuts[0]
    assert cuts[3] == [(0, cuts[0][0][0]), (cuts[0][0][0], 3)]


def test_runs_join_over_the_seam_of_a_ring_only():
    chains = [SQUARE, BAR]
    pieces = cut_up([(SQUARE, True), (BAR, False)], 0.01, 1)
    runs = runs_of(chains, pieces, np.array([1, 1, 1, 0, 1]))
    assert [(run.chain, run.end - run.start, state) for run, state in runs] == [
        (0, pytest.approx(4), 1),
        (1, pytest.approx(0.25), 1),
        (1, pytest.approx(0.5), 0),
        (1, pytest.approx(0.25), 1),
    ]
    back = chain_of(chains, runs[0][0], -1)
    assert bezier.length(back) == pytest.approx(40)
    assert back[0, 0] == pytest.approx(back[-1, 3])
