"""The quick curve of losses: the counts of `tracer size`, at few sizes, and never for long."""

from dataclasses import replace

import pytest
import shapes

from tracer.job import Job
from tracer.model.layout import Layout
from tracer.pipeline import sizes
from tracer.report import curve
from tracer.report.curve import FEWEST, TIMES, find_curve
from tracer.report.looks import Looks


def ladder(width: float, job: Job) -> Layout:
    parts = [shapes.line((0, y * y * 6.0), (1000, y * y * 6.0), width=4.0 + y) for y in range(5)]
    return shapes.layout_of(shapes.drawing_from(parts), width_mm=width, job=job)


def test_counts_are_those_of_the_full_answer() -> None:
    job = Job()
    layout = ladder(200.0, job)
    found = find_curve(layout, job)
    assert found is not None
    assert [row.width for row in found.rows] == [100.0, 140.0, 200.0, 280.0, 400.0, 560.0]
    assert any(row.losses.any for row in found.rows)
    full = {row.width: row.losses for row in sizes(layout, job).rows}
    assert found.asked in full
    looks = Looks(layout, job)
    for row in found.rows:
        assert row.losses == full.get(row.width, looks.at(row.width / 200.0).losses)


def test_sizes_that_share_nothing_are_fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    layout = ladder(200.0, Job())
    length = float(Looks(layout, Job()).figure.lengths.sum())
    monkeypatch.setattr(curve, "_MOST", 12 * length / (0.5 * Job().groove))
    shared, afresh = find_curve(layout, Job()), find_curve(layout, Job(stops=3))
    assert shared is not None
    assert afresh is not None
    assert len(shared.rows) == len(TIMES)
    assert [row.width for row in afresh.rows] == [140.0, 200.0, 400.0]


def test_rich_figures_get_fewer_sizes_and_the_richest_none(monkeypatch: pytest.MonkeyPatch) -> None:
    job = Job()
    layout = ladder(200.0, job)
    whole = find_curve(layout, job)
    assert whole is not None
    assert len(whole.rows) == len(TIMES)
    length = float(Looks(layout, job).figure.lengths.sum())
    a_size = length / (0.5 * job.groove)
    monkeypatch.setattr(curve, "_MOST", 3.8 * a_size)  # 1 + 2 + 0.7 of it, and no more
    few = find_curve(layout, job)
    assert few is not None
    assert [row.width for row in few.rows] == [140.0, 200.0, 400.0]
    assert {row.width: row.losses for row in few.rows}.items() <= {
        row.width: row.losses for row in whole.rows
    }.items()
    monkeypatch.setattr(curve, "_MOST", 2.0 * a_size)
    fewest = find_curve(layout, job)
    assert fewest is not None
    assert len(fewest.rows) == FEWEST
    monkeypatch.setattr(curve, "_MOST_OF_FEWEST", 3.6 * a_size)
    assert find_curve(layout, job) is None


def test_several_pieces_and_a_single_dot_have_no_curve() -> None:
    job = Job()
    layout = ladder(200.0, job)
    assert find_curve(replace(layout, pieces=layout.pieces * 2), job) is None
    dot = shapes.layout_of(shapes.drawing_from([shapes.dot(5, 5)]), width_mm=50.0, job=job)
    assert find_curve(dot, job) is None


def test_a_board_tells_the_largest_size() -> None:
    job = Job(board=(300.0, 250.0, 19.0))
    found = find_curve(ladder(200.0, job), job)
    assert found is not None
    assert found.largest == sizes(ladder(200.0, job), job).largest
