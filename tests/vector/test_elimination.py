"""The joints of strokes, eliminated in turn, are those of numpy's solution of all equations at once."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.vector.breaks import CUBIC, Pieces
from tracer.vector.chains import Route, chains_of
from tracer.vector.elimination import joints_solved
from tracer.vector.unknowns import Chains


def strokes(shapes: list[tuple[list[bool], bool]]) -> Chains:
    """Strokes of cubics between samples, each (a corner at the end of its segments, closed)."""
    routes, samples = [], 0
    for corners, closed in shapes:
        first = samples + np.arange(len(corners))
        pieces = Pieces(first, first + 1, np.full(len(corners), CUBIC))
        samples += len(corners) + 1
        routes.append(Route(pieces, np.zeros((len(corners), 8)), np.array(corners), closed, 2.0))
    return chains_of(routes, np.zeros((samples, 2)))


def all_at_once(chains: Chains, normal: np.ndarray, pull: np.ndarray) -> np.ndarray:
    count = chains.begin[-1]
    matrix, right = np.diag(chains.hold).copy(), pull.copy()
    for own, equations in zip(chains.unknown[:, [0, 1, 2, 5, 6, 7]], normal, strict=True):
        np.add.at(matrix, (own[:, None], own), equations[:6, :6])
        np.add.at(right, own, equations[:6, 6])
    assert np.linalg.matrix_rank(matrix) == count
    return np.linalg.solve(matrix, right)


shape = st.tuples(st.lists(st.booleans(), min_size=1, max_size=11), st.booleans())


@settings(max_examples=60, deadline=None)
@given(st.lists(shape, min_size=1, max_size=4), st.integers(0, 99))
def test_joints_are_those_of_all_equations_at_once(shapes: list[tuple[list[bool], bool]], seed: int) -> None:
    chains, rng = strokes(shapes), np.random.default_rng(seed)
    rows = rng.normal(0, 1, (len(chains.kind), 9, 7))
    normal, pull = rows.transpose(0, 2, 1) @ rows, rng.normal(0, 1, chains.begin[-1])
    found = joints_solved(chains, normal, pull)
    assert found == pytest.approx(all_at_once(chains, normal, pull), rel=1e-6, abs=1e-6)


def test_an_unknown_that_nothing_tells_of_stays() -> None:
    chains = strokes([([False, False, False], False)])
    normal = np.zeros((3, 7, 7))
    normal[:, [0, 1, 3, 4], [0, 1, 3, 4]] = 1.0  # no segment tells of its angles
    normal[:, :2, 6] = 1.0
    found = joints_solved(chains, normal, np.zeros(chains.begin[-1]))
    assert found[chains.unknown[:, [2, 7]]] == pytest.approx(0, abs=1e-12)
    assert found[chains.unknown[1, :2]] == pytest.approx(0.5)
