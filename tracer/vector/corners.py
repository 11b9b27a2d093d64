"""Corners: sharp where the pen turned sharply, left alone where it went round."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arm import Arm, arm_of
from tracer.vector.centre import edge_distance
from tracer.vector.samples import SPACING, Samples

Array = NDArray[np.float64]

LEAST_TURN = np.radians(28)
"""Turn over about a line's width on each side below which a bend is no corner."""

ROUNDED = 0.8
"""The outer edge lies at the pen's radius from a sharp corner; nearer by this factor, the pen went round."""

BLUR = 1.5
"""Ink pixels by which a scan or a screen rounds the corner of an edge."""


def sharpened(ink: Ink | None, samples: Samples, scale: float) -> tuple[Samples, list[int]]:
    """Return the samples with corners made sharp, and the indices of the corners, both in order.

    `scale` is the length in ink pixels over which a turn counts as one corner: the
    line's width. Both sides are cut back, extrapolated and made to meet; where the
    ink's outer edge is nearer to the meeting than the pen's radius, the corner was
    drawn round and the samples stay. Without `ink` the samples are themselves an
    edge, and the corner is sharp where they pass it within what a scan blurs.
    """
    step = max(3, round(scale / SPACING))
    found: list[_Corner] = []
    for at in _candidates(samples.points, step):
        corner = _corner(ink, samples, at, step)
        if corner and (not found or corner.start > found[-1].stop):
            found.append(corner)
    if not found:
        return samples, []
    parts, indices, kept, length = [], [], 0, 0
    for corner in found:
        parts += [samples.part(kept, corner.start), corner.replaced(samples)]
        length += corner.start - kept
        indices.append(length + corner.index)
        length += len(corner.way)
        kept = corner.stop
    parts.append(samples.part(kept, len(samples.points)))
    return _concatenated(parts, closed=samples.closed), indices


@dataclass(frozen=True, eq=False)
class _Corner:
    """Samples start..stop (exclusive) give place to points `way` (k, 2), the corner at `index` of them."""

    start: int
    stop: int
    way: Array
    index: int

    def replaced(self, samples: Samples) -> Samples:
        """Return the new samples, with the width found just before."""
        width = float(samples.widths[max(0, self.start - 1)])
        bare = np.zeros(len(self.way), bool)
        return Samples(self.way, np.full(len(self.way), width), bare, closed=False)


def _candidates(points: Array, step: int) -> list[int]:
    """Return the indices of the sharpest turns, none nearer than `step` to a sharper one or an end."""
    if len(points) < 2 * step + 1:
        return []
    index = np.arange(step, len(points) - step)
    into, out = points[index] - points[index - step], points[index + step] - points[index]
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn = np.abs(np.arctan2(cross, (into * out).sum(axis=1)))
    chosen: list[int] = []
    for k in np.argsort(-turn, kind="stable").tolist():
        if turn[k] < LEAST_TURN:
            break
        if all(abs(index[k] - other) > 1.2 * step for other in chosen):
            chosen.append(int(index[k]))
    return sorted(chosen)


def _corner(ink: Ink | None, samples: Samples, at: int, step: int) -> _Corner | None:
    """Return the corner near sample `at`, None where the line is round there."""
    before, after = samples.part(max(0, at - 8 * step), at + 1).reversed(), samples.part(at, at + 8 * step)
    clear = 0.75 * step * SPACING
    one, other = (arm_of(side, clear=clear, most=2 * step) for side in (before, after))
    corner = _meeting(one, other)
    if corner is None or np.hypot(*(corner - samples.points[at])) > 1.2 * step * SPACING:
        return None
    if ink is None:
        sharp = np.hypot(*(samples.points - corner).T).min() < BLUR
    else:
        sharp = _is_sharp(ink, one, other, corner)
    if not sharp:
        return None
    into, out = _leg(one, corner)[::-1], _leg(other, corner)
    way = np.concatenate([into, corner[None], out])
    return _Corner(at - one.cut, at + other.cut + 1, way, len(into))


def _meeting(one: Arm, other: Arm) -> Array | None:
    """Return where the two sides meet when prolonged along their curves."""
    u, v = one.heading(), other.heading()
    p, q = one.coefficients[0], other.coefficients[0]
    for _ in range(3):
        cross = u[0] * v[1] - u[1] * v[0]
        if abs(cross) < 0.2:
            return None
        gap = q - p
        point: Array = p + u * (gap[0] * v[1] - gap[1] * v[0]) / cross
        s, t = (float(np.hypot(*(point - arm.coefficients[0]))) for arm in (one, other))
        (p,), (q,) = one.at(np.array([-s])), other.at(np.array([-t]))
        u, v = one.heading(-s), other.heading(-t)
    return point


def _is_sharp(ink: Ink, one: Arm, other: Arm, corner: Array) -> bool:
    """Compare the distance from the corner to the ink's outer edge with the pen's radius."""
    outward = -(one.heading() + other.heading())
    size = float(np.hypot(*outward))
    if size < 1e-6:
        return False
    radius = (one.width + other.width) / 4
    edge = float(edge_distance(ink, corner[None], outward[None] / size, 3 * radius + 4)[0])
    return bool(edge >= ROUNDED * radius)


def _leg(arm: Arm, corner: Array) -> Array:
    """Return points from next to the corner to the arm's cut."""
    size = float(np.hypot(*(arm.coefficients[0] - corner)))
    u = np.linspace(0, 1, max(1, round(size / SPACING)) + 1)[1:]
    drift = arm.at(np.array([-size]))[0] - corner
    leg: Array = arm.at(-size * (1 - u)) - drift * (1 - u)[:, None]
    return leg


def _concatenated(parts: list[Samples], *, closed: bool) -> Samples:
    """Put samples one after the other."""
    return Samples(
        np.concatenate([p.points for p in parts]),
        np.concatenate([p.widths for p in parts]),
        np.concatenate([p.clean for p in parts]),
        closed,
    )
