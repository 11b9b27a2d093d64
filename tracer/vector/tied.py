"""Ends at junctions that meet nothing are led on to the nearest line: what is one in ink stays one."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.centre import edge_distance, on_ink
from tracer.vector.samples import Samples

Array = NDArray[np.float64]

FAR = 2.5
"""Line widths over which an end is led on."""

NECK = 0.8
"""Part of a line's width below which the ink on the way is a neck between two that only touch."""

MEETS = 0.1
"""Line widths within which an end meets a line."""


def tied(ink: Ink, lines: Sequence[Samples], free: Sequence[tuple[bool, bool]]) -> list[Samples]:
    """Return the lines, their ends at junctions led on to the nearest other line where they meet none.

    `free` says of each line's start and end that it lies at no junction.
    """
    if len(lines) < 2:
        return list(lines)
    points = np.concatenate([line.points for line in lines])
    owner = np.repeat(np.arange(len(lines)), [len(line.points) for line in lines])
    order = np.argsort(points[:, 0], kind="stable")
    across = points[order, 0]

    def near(k: int, place: Array) -> Array:
        far = FAR * lines[k].width
        some = order[slice(*np.searchsorted(across, (place[0] - far, place[0] + far)))]
        some = np.sort(some[(np.abs(points[some, 1] - place[1]) <= far) & (owner[some] != k)])
        others: Array = points[some]
        return others

    ready = []
    for k, (line, (start, end)) in enumerate(zip(lines, free, strict=True)):
        tie = line
        if not line.closed and not (start and end):
            tie = tie if end else _led_on(ink, tie, -1, near(k, line.points[-1]))
            tie = tie if start else _led_on(ink, tie, 0, near(k, line.points[0]))
        ready.append(tie)
    return ready


def _led_on(ink: Ink, line: Samples, end: int, others: Array) -> Samples:
    """Lead the first (0) or last (-1) end of a line on to the nearest of `others` (m, 2) over ink."""
    if not len(others):
        return line
    place = line.points[end]
    away = np.hypot(*(others - place).T)
    near = int(away.argmin())
    meets = MEETS * line.width + 0.5
    if not meets < away[near] <= FAR * line.width:
        return line
    beyond = int(3 * line.width)
    own = line.points[beyond:] if end == 0 else line.points[: max(len(line.points) - beyond, 0)]
    if np.hypot(*(own - place).T).min(initial=np.inf) <= meets:
        return line
    if end == 0:
        return _begun(ink, line, others[near])
    return _begun(ink, line.reversed(), others[near]).reversed()


def _begun(ink: Ink, line: Samples, start: Array) -> Samples:
    """Return a line led on from its first end to `start` (2,) if there is ink all the way."""
    place = line.points[0]
    away = float(np.hypot(*(start - place)))
    way = np.linspace(start, place, max(2, round(away)) + 1)[:-1]
    if not on_ink(ink, way).all() or _is_neck(ink, way, line.width):
        return line
    more = len(way)
    return replace(
        line,
        points=np.concatenate([way, line.points]),
        widths=np.concatenate([np.full(more, line.widths[0]), line.widths]),
        clean=np.concatenate([np.zeros(more, bool), line.clean]),
    )


def _is_neck(ink: Ink, way: Array, width: float) -> bool:
    """Say whether the ink across a straight way (m, 2) is narrower somewhere than a line."""
    along = way[-1] - way[0]
    size = float(np.hypot(*along))
    if size == 0:
        return False
    sideways = np.repeat(np.array([[-along[1], along[0]]]) / size, len(way), axis=0)
    rays = np.concatenate([sideways, -sideways])
    across = edge_distance(ink, np.concatenate([way, way]), rays, width).reshape(2, -1).sum(axis=0)
    return bool(np.nanmin(np.append(across, np.inf)) < NECK * width)
