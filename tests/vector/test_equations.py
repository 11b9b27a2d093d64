"""A step of the fit: what samples do not tell of stays where it is."""

import numpy as np
import pytest

from tracer.vector.breaks import LINE, Pieces
from tracer.vector.chains import Route, chains_of
from tracer.vector.equations import step


@pytest.mark.parametrize("tilt_deg", [0.0, 30.0, 90.0])
def test_a_damped_step_does_not_slide_along_lines(tilt_deg: float) -> None:
    """Levenberg (1944): the larger the damping, the shorter the step, in every direction.

    Where joint and ends of two lines lie along them no sample tells of.
    """
    tilt = np.radians(tilt_deg)
    along, across = np.array([np.cos(tilt), np.sin(tilt)]), np.array([-np.sin(tilt), np.cos(tilt)])
    points = np.arange(81)[:, None] * along
    bend = 0.02
    numbers = np.array(
        [
            [*points[0], tilt + bend, 40 / 3, 40 / 3, *(points[40] + 0.8 * across), tilt + bend],
            [*(points[40] + 0.8 * across), tilt - bend, 40 / 3, 40 / 3, *points[80], tilt - bend],
        ]
    )
    pieces = Pieces(np.array([0, 40]), np.array([40, 80]), np.array([LINE, LINE]))
    chains = chains_of([Route(pieces, numbers, np.array([False, True]), False, 1.0)], points)
    u, own = np.append(np.arange(40), np.arange(41)) / 40, np.repeat([0, 1], [40, 41])
    for damping in (12.0, 240.0):
        change = step(
            chains,
            chains.values,
            own,
            u,
            wanted=np.ascontiguousarray(points.T),
            weight=np.ones(81),
            damping=np.array([damping]),
        )
        for places in (chains.unknown[0, :2], chains.unknown[0, 5:7], chains.unknown[1, 5:7]):
            assert abs(change[places] @ along) < 0.5
