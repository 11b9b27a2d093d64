"""Free ends: where the pen ended."""

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arm import arm_of
from tracer.vector.centre import edge_distance
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]

FAR = 12.0
"""Line widths that thinning may have eaten off an end: of straight lines along the pixels it takes many."""


def ended(ink: Ink, samples: Samples, *, start: bool, end: bool) -> Samples:
    """Return `samples` with the named ends moved to where the pen's middle ended.

    Thinning leaves an end up to half a line's width short or bent into a corner of
    the cap. From the last clean samples the line goes on along its tangent to the
    edge of the ink and back by the line's half width: right for the round end that
    a bit cuts. At the picture's border and on a solid it goes all the way.
    """
    if start:
        samples = _ended_start(ink, samples)
    if end:
        samples = _ended_start(ink, samples.reversed()).reversed()
    return samples


def _ended_start(ink: Ink, samples: Samples) -> Samples:
    """Move the first end."""
    arm = arm_of(samples, clear=0.5 * samples.width, most=len(samples.points) // 2)
    cut, heading = arm.at(np.zeros(1)), -arm.heading()
    reach = FAR * arm.width
    edge = float(edge_distance(ink, cut, heading[None], reach)[0])
    target = _runs_out(ink, cut[0], heading, edge, reach)
    if target is None:
        target = edge - arm.width / 2
    if not np.isfinite(target):
        return samples
    count = max(1, round(max(target, 0.0) / SPACING))
    height, width = ink.solid.shape
    way = np.clip(cut + np.linspace(target, 0, count + 1)[:-1, None] * heading, 0, (width, height))
    kept = samples.part(arm.cut, len(samples.points))
    return Samples(
        np.concatenate([way, kept.points]),
        np.concatenate([np.full(len(way), arm.width), kept.widths]),
        np.concatenate([np.zeros(len(way), bool), kept.clean]),
        closed=False,
    )


def _runs_out(ink: Ink, point: Array, heading: Array, edge: float, reach: float) -> float | None:
    """Return the distance at which the line meets the picture's border or a solid before its own edge."""
    along = np.arange(0.0, min(reach, edge if np.isfinite(edge) else reach) + 0.5, 0.5)
    x, y = (point + along[:, None] * heading).T
    height, width = ink.solid.shape
    outside = (x <= 0) | (y <= 0) | (x >= width) | (y >= height)
    inside = np.clip(y.astype(int), 0, height - 1), np.clip(x.astype(int), 0, width - 1)
    met = np.flatnonzero(outside | ink.solid[inside])
    return float(along[met[0]]) if len(met) else None
