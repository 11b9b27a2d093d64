"""Points near others: none is missed, and few of those far away are kept."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracer.vector.nearby import nearby

places = st.lists(st.tuples(*[st.floats(-50, 50)] * 2), max_size=30).map(lambda p: np.array(p).reshape(-1, 2))


@given(places, places, st.floats(0.5, 20))
def test_all_within_reach_are_found(points: np.ndarray, others: np.ndarray, reach: float) -> None:
    away = np.hypot(*(points[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1, initial=np.inf)
    found = nearby(points, others, reach)
    assert set(np.flatnonzero(away <= reach)) <= set(found)
    assert (away[found] <= 3 * max(reach, 8.0)).all()
    assert (np.diff(found) > 0).all()
