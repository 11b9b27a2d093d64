"""Mesh, bodies and fields against what brute force, scipy and shapely make of the same discs."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay

from tracer.geometry import bezier
from tracer.model.drawing import Stroke
from tracer.report.bodies import BURIED, Bodies, find_bodies
from tracer.report.fields import areas
from tracer.report.inscribed import clearances
from tracer.report.mesh import build_mesh
from tracer.report.samples import sample, step_for

SEEDS = st.integers(0, 10_000)


def discs(seed: int, sizes: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray, Bodies]:
    random = np.random.default_rng(seed)
    points = random.uniform(0, 40, (random.integers(1, 90), 2))
    if len(points) > 4:
        points[1], points[2] = points[0], points[3] + 0.001  # the same place twice, and all but the same
    radius = random.choice(sizes, len(points))
    common = float(radius.min()) ** 2
    return points, radius, find_bodies(build_mesh(points, radius**2 - common), common)


@pytest.mark.parametrize("sizes", [(1.0,), (0.5, 2.0, 3.0)])
@given(seed=SEEDS)
def test_no_disc_is_nearer_to_a_middle_than_its_own_three(sizes: tuple[float, ...], seed: int) -> None:
    mesh = discs(seed, sizes)[2].mesh
    near = np.hypot(*(mesh.centres - mesh.nodes[0]).T) < 200
    power = ((mesh.centres[near, None] - mesh.nodes) ** 2).sum(axis=2) - mesh.weights
    assert power.min(axis=1) == pytest.approx(mesh.powers[near], abs=1e-6)


def test_there_are_as_many_triangles_as_another_library_finds() -> None:
    mesh = discs(3, (1.0,))[2].mesh
    assert len(mesh.triangles) == len(Delaunay(mesh.nodes).simplices)


@pytest.mark.parametrize("sizes", [(2.0,), (0.5, 2.0, 3.0)])
@given(seed=SEEDS)
def test_discs_that_touch_are_one_body(sizes: tuple[float, ...], seed: int) -> None:
    points, radius, bodies = discs(seed, sizes)
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    count, true = connected_components(coo_array(apart < radius[:, None] + radius[None]))
    found = bodies.of_node[bodies.mesh.node_of]
    shown = found != BURIED
    assert len(np.unique(found[shown])) == count
    assert len({*zip(true[shown].tolist(), found[shown].tolist(), strict=True)}) == count


@pytest.mark.parametrize("sizes", [(2.0,), (0.5, 2.0, 3.0)])
@given(seed=SEEDS)
def test_fields_are_the_holes_of_the_discs(sizes: tuple[float, ...], seed: int) -> None:
    points, radius, bodies = discs(seed, sizes)
    union = shapely.union_all(shapely.buffer(shapely.points(points), radius, quad_segs=64))
    holes = [shapely.Polygon(ring) for part in shapely.get_parts(union) for ring in part.interiors]
    middles = bodies.mesh.centres[bodies.of_triangle >= 0]
    own = bodies.of_triangle[bodies.of_triangle >= 0]
    for hole in holes:
        if hole.area > 0.05:
            inside = shapely.contains_xy(hole, *middles.T)
            assert len(np.unique(own[inside])) == 1
    assert len(np.unique(own)) - 1 <= len(holes) + sum(hole.area < 0.05 for hole in holes)


def rings(seed: int) -> list[Stroke]:
    """Polygons about one another, and lines across them."""
    random = np.random.default_rng(seed)
    strokes = []
    for number in range(1, random.integers(2, 7)):
        corners = random.integers(3, 9)
        angle = np.linspace(0, 2 * math.pi, corners + 1) + random.uniform(0, 6)
        ring = random.uniform(4, 25) * np.column_stack([np.cos(angle), np.sin(angle)])
        points = ring if number % 3 else random.uniform(-30, 30, (2, 2))
        strokes.append(Stroke(number, bezier.from_polyline(points), closed=bool(number % 3), kind="line"))
    return strokes


def wood_between(lines: list[shapely.LineString], groove: float) -> np.ndarray:
    """Return the pieces of wood that grooves of this width leave, that outside too."""
    union = shapely.union_all(shapely.buffer(lines, groove / 2, quad_segs=64))
    return np.array(shapely.get_parts(shapely.difference(shapely.box(-99, -99, 99, 99), union)))


@pytest.mark.parametrize("groove", [1.0, 3.0, 6.0])
@given(seed=SEEDS)
def test_area_and_widest_circle_of_each_field(groove: float, seed: int) -> None:
    strokes = rings(seed)
    samples = sample(strokes, step_for(groove))
    bodies = find_bodies(build_mesh(samples.points), groove**2 / 4)
    area = areas(bodies, samples)
    lines = [shapely.LineString(stroke.points(0.01)) for stroke in strokes]
    slim, wood, wide = (wood_between(lines, width) for width in (groove - 0.05, groove, groove + 0.05))
    own = np.flatnonzero(bodies.of_triangle >= 0)
    for hole in wood:
        # Necks and walls of a few hundredths of a mm may be seen either way.
        whole = slim[shapely.intersects(slim, hole)]
        doubtful = len(whole) != 1 or shapely.intersects(wood, whole[0]).sum() != 1
        doubtful |= shapely.intersects(wide, hole).sum() != 1
        if hole.area < 1.0 or hole.bounds[0] == -99 or doubtful:
            continue
        circle = shapely.maximum_inscribed_circle(hole, tolerance=1e-3)
        inside = own[shapely.contains_xy(hole, *bodies.mesh.centres[own].T)]
        (field,) = np.unique(bodies.of_triangle[inside])
        assert area[field] == pytest.approx(hole.area, rel=0.01, abs=0.01 * hole.length)
        best = inside[bodies.clearance[inside].argmax()]
        touched = bodies.mesh.sample_of[bodies.mesh.triangles[[best]]]
        radius = np.full(len(strokes), groove / 2)
        clear = clearances(bodies.mesh.centres[[best]], touched, samples, radius)
        assert clear[0] == pytest.approx(circle.length, abs=0.03)


@given(SEEDS, st.floats(0.1, 5.0))
def test_samples_are_on_their_strokes_with_corners_and_ends(seed: int, step: float) -> None:
    strokes = rings(seed)
    samples = sample(strokes, step)
    for index, stroke in enumerate(strokes):
        own = samples.stroke == index
        assert samples.points[own] == pytest.approx(bezier.points_at(stroke.curves, samples.t[own]), abs=1e-6)
        assert np.diff(samples.along[own]).max() <= 1.51 * step
        assert samples.along[own][-1] == pytest.approx(samples.totals[index])
        for corner in stroke.curves[:, 0]:
            assert np.hypot(*(samples.points[own] - corner).T).min() < 1e-9
