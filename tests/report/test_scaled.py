"""What is scaled is what would be found at that size."""

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
import shapes

from tracer.report.mesh import build_mesh
from tracer.report.network import build_network
from tracer.report.samples import sample
from tracer.report.scaled import scaled_layout, scaled_mesh, scaled_network, scaled_samples


def assert_alike(found: Any, expected: Any) -> None:
    """Every array of a dataclass, whatever arrays it has."""
    for field in fields(expected):
        one, other = getattr(found, field.name), getattr(expected, field.name)
        if isinstance(other, np.ndarray):
            scale = 1.0 + float(np.abs(other).max(initial=0.0))
            np.testing.assert_allclose(one, other, rtol=1e-6, atol=1e-6 * scale, err_msg=field.name)


@pytest.mark.parametrize("times", [0.3, 2.5])
def test_samples_and_network_are_those_of_the_figure_scaled(times: float) -> None:
    layout = shapes.layout_of(shapes.drawing_of("EMMA"))  # straight: no tolerance is in the way
    larger = scaled_layout(layout, times)
    assert_alike(scaled_samples(sample(layout.strokes, 1.0), times), sample(larger.strokes, times))
    network, expected = (build_network(one.strokes, one.joints) for one in (layout, larger))
    assert_alike(scaled_network(network, times), expected)


@pytest.mark.parametrize("times", [0.5, 3.0])
@pytest.mark.parametrize("weighted", [False, True])
def test_a_mesh_is_that_of_the_points_scaled(times: float, weighted: bool) -> None:
    random = np.random.default_rng(3)
    points = np.round(random.uniform(0, 60, (80, 2)), 2)
    weights = np.round(random.uniform(0, 1, 80), 2) if weighted else None
    found = build_mesh(points, weights)
    expected = build_mesh(points * times, None if weights is None else weights * times**2)
    scaled = scaled_mesh(found, times)
    real = found.real
    np.testing.assert_allclose(scaled.nodes[:real], expected.nodes[:real], atol=1e-6)

    def by_nodes(mesh: Any) -> dict[tuple[int, ...], tuple[float, ...]]:
        own = (mesh.triangles < real).all(axis=1)
        keys = [tuple(sorted(one)) for one in mesh.triangles[own].tolist()]
        values = zip(mesh.powers[own].tolist(), *mesh.centres[own].T.tolist(), strict=True)
        return dict(zip(keys, values, strict=True))

    one, other = by_nodes(scaled), by_nodes(expected)
    shared = one.keys() & other.keys()
    assert len(shared) > 0.9 * max(len(one), len(other))  # at the rim the made-up points may differ
    for key in shared:
        assert one[key] == pytest.approx(other[key], rel=1e-5, abs=1e-4)
