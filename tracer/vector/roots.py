"""Lines that run into a solid end on its edge; none leaves the picture."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.samples import Samples

Array = NDArray[np.float64]

REACH = 1.0
"""Line widths ahead of a line's end within which a solid is looked for."""


def rooted(ink: Ink, lines: Sequence[Samples], edges: Array) -> list[Samples]:
    """Return lines within the picture, their ends led on to the edge of the solids that they run into.

    `edges` (m, 2) are points along the edges of all solids, ink pixels.
    """
    whole = list(lines)
    ended = [k for k, line in enumerate(whole) if not line.closed and len(line.points) > 1]
    for k in ended:
        whole[k] = _within(ink, _within(ink, whole[k], 0), -1)
    if not (len(edges) and ended):
        return whole
    for k in np.array(ended)[_solid_ahead(ink, [whole[k] for k in ended])].tolist():
        whole[k] = _led_on(ink, _led_on(ink, whole[k], edges).reversed(), edges).reversed()
    return whole


def _within(ink: Ink, line: Samples, end: int) -> Samples:
    """Cut off what lies outside the picture before one end of a line: 0 its beginning, -1 its last."""
    (x, y), (height, width) = line.points[end].tolist(), ink.solid.shape
    if 0 <= x <= width and 0 <= y <= height:
        return line
    return _cut_off(ink, line) if end == 0 else _cut_off(ink, line.reversed()).reversed()


def _cut_off(ink: Ink, line: Samples) -> Samples:
    """Cut off what of the beginning of a line lies outside the picture."""
    far = np.array(ink.solid.shape[::-1], float)
    inside = ((line.points >= 0) & (line.points <= far)).all(axis=1)
    first = int(inside.argmax())
    if not inside.any():
        return line
    out, step = line.points[first - 1], line.points[first] - line.points[first - 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = np.concatenate([(0 - out) / step, (far - out) / step])
    at_border = out + np.clip(np.nanmax(np.where((parts >= 0) & (parts <= 1), parts, 0)), 0, 1) * step
    points = line.points[first - 1 :].copy()
    points[0] = np.clip(at_border, 0, far)
    return Samples(points, line.widths[first - 1 :], line.clean[first - 1 :], closed=False)


def _solid_ahead(ink: Ink, lines: Sequence[Samples]) -> NDArray[np.bool_]:
    """Say of which lines one end at the least has a solid ahead."""
    ends = [(line.points[0], line.points[min(len(line.points) - 1, 3)]) for line in lines]
    ends += [(line.points[-1], line.points[max(len(line.points) - 4, 0)]) for line in lines]
    place, before = np.array(ends).transpose(1, 0, 2)
    heading = (place - before) / np.maximum(np.hypot(*(place - before).T), 1e-9)[:, None]
    reach = np.tile([REACH * line.width + 1 for line in lines], 2)[:, None]
    along = np.arange(-1.0, reach.max(), 0.5)
    looks = place[:, None] + along[:, None] * heading[:, None]
    solid = in_solid(ink, looks.reshape(-1, 2)).reshape(len(ends), -1) & (along < reach)
    return np.logical_or(*np.split(solid.any(axis=1), 2))


def _led_on(ink: Ink, line: Samples, edges: Array) -> Samples:
    """Lead the first end of a line on to an edge if a solid lies ahead of it."""
    place = line.points[0]
    heading = place - line.points[min(len(line.points) - 1, 3)]
    heading = heading / max(float(np.hypot(*heading)), 1e-9)
    reach = REACH * line.width + 1
    if not in_solid(ink, place + np.arange(-1.0, reach, 0.5)[:, None] * heading).any():
        return line
    gap = edges - place
    aside, ahead = np.abs(gap[:, 0] * heading[1] - gap[:, 1] * heading[0]), gap @ heading
    near = np.flatnonzero((ahead > -reach) & (ahead < reach) & (aside < 1.0))
    if not len(near):
        return line
    end = edges[near[np.argmin(np.abs(ahead[near]))]]
    kept = (line.points - end) @ heading < 0
    first = int(np.argmax(kept)) if kept.any() else 0
    rest = line.part(first, len(line.points))
    return Samples(
        np.concatenate([end[None], rest.points]),
        np.concatenate([rest.widths[:1], rest.widths]),
        np.concatenate([[False], rest.clean]),
        closed=False,
    )


def in_solid(ink: Ink, points: Array) -> NDArray[np.bool_]:
    """Say which points (m, 2) lie in a solid."""
    height, width = ink.solid.shape
    x, y = np.floor(points).astype(int).T
    inside: NDArray[np.bool_] = ink.solid[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
    return inside


def points_of(rings: Sequence[Samples]) -> Array:
    """Return all points (m, 2) of edges, none where there are none."""
    return np.concatenate([np.zeros((0, 2)), *(ring.points for ring in rings)])
