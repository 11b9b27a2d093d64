"""Islands against a raster: what the grooves leave standing, and what lies within rings."""

from itertools import pairwise

import numpy as np
import pytest
import shapes
from scipy import ndimage

from tracer.job import Job
from tracer.model.layout import Layout
from tracer.report.build import build_plan


def standing_by_raster(layout: Layout, groove: float, pixel: float = 0.1) -> int:
    """Connected areas of wood that do not reach the board's edge, by distance on a raster."""
    board = layout.board
    free = np.ones((round(board.height / pixel), round(board.width / pixel)), dtype=bool)
    points = np.concatenate([_dense(stroke.points(0.01)) for stroke in layout.strokes])
    free[(points[:, 1] / pixel).astype(int), (points[:, 0] / pixel).astype(int)] = False
    wood = ndimage.distance_transform_edt(free) * pixel > groove / 2
    labels, count = ndimage.label(wood)
    outer = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    return count - len(outer[outer > 0])


def _dense(line: np.ndarray) -> np.ndarray:
    steps = np.linspace(0, 1, 400)[:, None]
    return np.concatenate([a + steps * (b - a) for a, b in pairwise(line)])


@pytest.mark.parametrize("name", ["nested rings", "wheel", "face", "grid", "A", "B", "close lines", "8"])
@pytest.mark.parametrize("width", [40.0, 80.0])
def test_standing_wood_as_the_raster_has_it(name: str, width: float) -> None:
    job = Job(thin="keep")
    layout = shapes.layout_of(shapes.drawing_of(name), width_mm=width, job=job)
    plan = build_plan(layout, job)
    standing = [island for island in plan.islands if island.kind == "standing wood"]
    assert len(standing) == standing_by_raster(layout, job.groove)


def test_rings_in_rings() -> None:
    job = Job()
    plan = build_plan(shapes.layout_of(shapes.drawing_of("nested rings"), job=job), job)
    enclosed = {i.strokes: (i.enclosed_by, i.nesting) for i in plan.islands if i.kind == "enclosed strokes"}
    assert enclosed == {(2,): ((1,), 1), (3,): ((2,), 2)}
    standing = sorted((i.nesting, i.enclosed_by) for i in plan.islands if i.kind == "standing wood")
    assert standing == [(1, (1,)), (2, (2,)), (3, (3,))]
    assert [island.number for island in plan.islands] == [1, 2, 3, 4, 5]
    assert [run.legs[0].stroke for run in plan.runs] == [3, 2, 1]  # inner before outer


def test_what_closes_an_eye_in() -> None:
    job = Job()
    plan = build_plan(shapes.layout_of(shapes.drawing_of("face"), job=job), job)
    pupils = [i for i in plan.islands if i.nesting == 2 and i.kind == "enclosed strokes"]
    assert [(pupil.strokes, pupil.enclosed_by) for pupil in pupils] == [((4,), (3,)), ((8,), (7,))]


def test_a_small_counter_breaks_out_and_a_larger_one_holds() -> None:
    # The circle inside is the ring's diameter less the groove; pine across the grain asks for 3/16 in.
    def plan(diameter: float) -> list[str]:
        job = Job()
        layout = shapes.layout_of(shapes.drawing_of("ring"), width_mm=diameter, job=job)
        return [finding.check for finding in build_plan(layout, job).findings]

    limit = 25.4 * 3 / 16 + Job().groove
    assert "standing wood breaks out" in plan(limit - 0.1)
    assert "standing wood breaks out" not in plan(limit + 0.1)


def test_an_island_is_in_its_wood() -> None:
    job = Job()
    layout = shapes.layout_of(shapes.drawing_of("grid"), job=job)
    lines = np.concatenate([_dense(stroke.points(0.01)) for stroke in layout.strokes])
    for island in build_plan(layout, job).islands:
        assert np.hypot(*(lines - island.where).T).min() > job.groove / 2
