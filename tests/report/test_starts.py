"""Where runs may begin, and that they stay the same run."""

from collections import Counter

import numpy as np
import pytest
import shapes

from tracer.geometry import bezier
from tracer.model.plan import Run
from tracer.report import runs as routes
from tracer.report.network import build_network
from tracer.report.runs import turned_round
from tracer.report.starts import MOST_STARTS, begun_at, is_closed, starts_of


def run_of(*parts: shapes.Part) -> Run:
    drawing = shapes.drawing_from(parts)
    (run,) = routes.with_retracing(build_network(drawing.strokes, drawing.joints))
    return run


RUNS = {
    "ring": run_of(shapes.ring((0, 0), 20)),
    "square": run_of(shapes.line((0, 0), (30, 0), (30, 30), (0, 30), (0, 0))),
    "two rings": run_of(shapes.ring((0, 0), 20), shapes.ring((20, 0), 20)),
    "line": run_of(shapes.line((0, 0), (30, 10), (50, 0))),
    "T": run_of(shapes.line((0, 0), (30, 0)), shapes.line((15, 0), (15, 20))),
    "dot": run_of(shapes.dot(3, 4)),
}


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", RUNS)
def test_a_run_is_the_same_wherever_it_begins(name: str, turned: bool) -> None:
    run = turned_round(RUNS[name]) if turned else RUNS[name]
    choices, points = starts_of(run)
    for choice, (start, end) in zip(choices.tolist(), points, strict=True):
        begun = begun_at(run, choice)
        assert begun.start == pytest.approx(start)
        assert begun.end == pytest.approx(end, abs=0.05)  # joints are found within 0.5 px
        assert np.allclose(begun.curves[1:, 0], begun.curves[:-1, 3], atol=0.05)
        assert bezier.length(begun.curves) == pytest.approx(bezier.length(run.curves))
        for again in (False, True):
            one, two = (Counter(g.stroke for g in r.legs if g.retraced == again) for r in (begun, run))
            assert one == two


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", ["ring", "square"])
def test_places_on_the_stroke_say_where_it_begins(name: str, turned: bool) -> None:
    run = turned_round(RUNS[name]) if turned else RUNS[name]
    curves = RUNS[name].legs[0].curves
    for choice in starts_of(run)[0].tolist():
        (leg,) = begun_at(run, choice).legs
        assert bezier.points_at(curves, np.array([leg.start % 4]))[0] == pytest.approx(leg.curves[0, 0])
        assert leg.end - leg.start == (-4 if turned else 4)
        assert 0 <= min(leg.start, leg.end) < 4


def test_closed_runs_and_their_places() -> None:
    assert [name for name, run in RUNS.items() if is_closed(run)] == ["ring", "square", "two rings"]
    assert len(starts_of(RUNS["square"])[0]) == 4
    many = shapes.line(*[(float(np.cos(a)), float(np.sin(a))) for a in np.linspace(0, 6.2, 99)], (1.0, 0.0))
    assert len(starts_of(run_of(many))[0]) == MOST_STARTS
