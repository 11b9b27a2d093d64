"""Bundles thinned out: in order across whatever their shape, every second goes, evenly."""

import math
import random
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapes
from hypothesis import given
from hypothesis import strategies as st

from tracer.model.drawing import Stroke
from tracer.report.thinned import across, next_out


def strokes_of(parts: Sequence[shapes.Part]) -> list[Stroke]:
    return [Stroke(number, part.curves, part.closed, part.kind) for number, part in enumerate(parts, start=1)]


def whiskers(count: int, spacing: float = 2.0) -> list[Stroke]:
    return strokes_of([shapes.line((0, spacing * k), (40, spacing * k)) for k in range(count)])


def settled(bundle: Sequence[Stroke], room: float, keep: Sequence[int] = ()) -> list[int]:
    """Thin out until lines of a common direction lie `room` apart; what stays."""
    left = {stroke.number: stroke for stroke in bundle}
    for _ in range(20):
        heights = sorted((s.curves[0, 0, 1], s.number) for s in left.values())
        failing = {frozenset((a, b)) for (y, a), (z, b) in pairwise(heights) if z - y < room}
        out = next_out([[stroke.number for stroke in bundle]], left, failing, keep)
        if not out:
            return sorted(left)
        left = {number: stroke for number, stroke in left.items() if number not in out}
    raise AssertionError("no end")


@pytest.mark.parametrize(
    ("count", "stay"),
    [
        (2, [1]),
        (3, [1, 3]),
        (4, [1, 4]),
        (5, [1, 3, 5]),
        (6, [1, 3, 6]),
        (7, [1, 3, 5, 7]),
        (9, [1, 3, 5, 7, 9]),
    ],
)
def test_every_second_goes_and_the_outermost_stay(count: int, stay: list[int]) -> None:
    assert settled(whiskers(count), room=3.9) == stay


def test_nothing_goes_where_the_wood_holds() -> None:
    assert settled(whiskers(7), room=1.9) == [1, 2, 3, 4, 5, 6, 7]


def test_again_and_again_until_the_wood_holds() -> None:
    assert settled(whiskers(9), room=7.9) == [1, 5, 9]
    assert settled(whiskers(9), room=1000.0) == [1]


def test_of_a_pair_the_shorter_goes() -> None:
    pair = strokes_of([shapes.line((0, 0), (30, 0)), shapes.line((0, 2), (40, 2))])
    assert settled(pair, room=3.0) == [2]


def test_what_is_kept_stays() -> None:
    assert settled(whiskers(5), room=3.9, keep=[2]) == [1, 2, 5]
    assert settled(whiskers(2), room=3.9, keep=[2, 1]) == [1, 2]


def test_only_the_bundle_with_failing_wood_is_thinned() -> None:
    left = {stroke.number: stroke for stroke in whiskers(10)}
    bundles = [[1, 2, 3, 4, 5], [6, 7, 8, 9, 10]]
    assert next_out(bundles, left, {frozenset((7, 8))}) == {7, 9}
    assert next_out(bundles, left, {frozenset((5, 6))}) == frozenset()  # between two bundles
    assert next_out(bundles, left, {frozenset((3,))}) == frozenset()  # one stroke beside itself


def shuffled(parts: Sequence[shapes.Part], seed: int) -> tuple[list[Stroke], list[int]]:
    """Strokes numbered at random, some turned round, and their numbers in the order of `parts`."""
    draw = random.Random(seed)
    numbers = draw.sample(range(1, 100), len(parts))
    strokes = []
    for number, part in zip(numbers, parts, strict=True):
        turned = draw.random() < 0.5
        curves = part.curves[::-1, ::-1].copy() if turned else part.curves
        strokes.append(Stroke(number, curves, part.closed, part.kind))
    draw.shuffle(strokes)
    return strokes, numbers


BUNDLES = {
    "lines": [shapes.line((3 * k % 5, 2 * k), (40 - k % 3, 2 * k)) for k in range(8)],
    "fan": [
        shapes.line((0, 0), (40 * math.cos(a), 40 * math.sin(a))) for a in np.linspace(0.1, 0.9, 7).tolist()
    ],
    "rings": [shapes.ring((0, 0), 5 + 3 * k) for k in range(6)],
    "arcs": [shapes.arc((0, 0), 20 + 2 * k, 10 + 3 * k, 80) for k in range(7)],
}


@given(st.sampled_from(sorted(BUNDLES)), st.integers(0, 10**6))
def test_order_across_is_that_of_the_bundle(name: str, seed: int) -> None:
    strokes, order = shuffled(BUNDLES[name], seed)
    found = [stroke.number for stroke in across(strokes)]
    assert found in (order, order[::-1])
    assert found[0] < found[-1]
