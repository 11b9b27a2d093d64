"""Chains of cubics for property tests; coordinates as on a drawing, within 200 units."""

import numpy as np
from hypothesis import strategies as st

_coordinates = st.integers(-1000, 1000).map(lambda n: n / 10)
_points = st.tuples(_coordinates, _coordinates)


@st.composite
def chains(draw: st.DrawFn, *, smooth: bool = False) -> np.ndarray:
    """Return (n, 4, 2), n of 1 to 4; `smooth` ones have handles like those of drawn lines: no cusps."""
    ends = draw(st.lists(_points, min_size=2, max_size=5))
    if not smooth:
        handles = [draw(st.tuples(_points, _points)) for _ in ends[1:]]
        return np.array([[a, *h, b] for a, h, b in zip(ends, handles, ends[1:], strict=False)])
    x = np.cumsum([10 + abs(point[0]) for point in ends])
    knots = np.column_stack([x, [point[1] for point in ends]])
    turns = [draw(st.tuples(st.floats(-1, 1), st.floats(-1, 1))) for _ in ends[1:]]
    cubics = []
    for a, b, (u, v) in zip(knots, knots[1:], turns, strict=False):
        step, side = (b - a) / 3, np.array([a[1] - b[1], b[0] - a[0]]) / 3
        cubics.append([a, a + step + u * side, b - step + v * side, b])
    return np.array(cubics)
