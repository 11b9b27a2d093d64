"""Whether strokes hang together as their ink does, and whether any is drawn twice."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Drawing, Stroke

Mask = NDArray[np.uint8]

NEAR = 0.3
"""Line widths to either side of a line within which another one is the same groove."""

AROUND = 2
"""Pixels from an edge within which its ink lies."""


@dataclass(frozen=True)
class Whole:
    """What is wrong with a drawing as a whole.

    Attributes
    ----------
    broken : groups of strokes that hang together nowhere, more than the parts of ink they lie on.
    twice : share of the length of lines that runs beside a line, so near that it is the same groove.
    """

    broken: int
    twice: float


def whole(ink: Mask, drawing: Drawing) -> Whole:
    """Return how a drawing hangs together on its ink (H, W), 0 or 1."""
    parts = cv2.connectedComponents(ink, connectivity=8)[1]
    group = _groups(drawing)
    on = {(_part(parts, stroke), group[stroke.number]) for stroke in drawing.strokes}
    lying = {(part, own) for part, own in on if part}
    return Whole(len(lying) - len({part for part, _ in lying}), _twice(drawing))


def _groups(drawing: Drawing) -> dict[int, int]:
    """Return the least number of the strokes that each stroke hangs together with."""
    group = {stroke.number: stroke.number for stroke in drawing.strokes}
    meetings = [[number for number, _ in joint.members] for joint in drawing.joints]
    for together in [*meetings, *([r.outer, *r.inner] for r in drawing.regions)]:
        old = {group[number] for number in together}
        group = {number: min(old) if own in old else own for number, own in group.items()}
    return group


def _part(parts: NDArray[np.int32], stroke: Stroke) -> int:
    """Return the part of the ink on which most of a stroke lies, 0 where it lies on none."""
    height, width = parts.shape
    reach = AROUND if stroke.kind == "edge" else 0
    found: list[int] = []
    for x, y in np.floor(stroke.points(0.1)).astype(int).tolist():
        row, column = min(max(y, 0), height - 1), min(max(x, 0), width - 1)
        about = parts[max(row - reach, 0) : row + reach + 1, max(column - reach, 0) : column + reach + 1]
        found += about.ravel().tolist()
    inside = np.array([part for part in found if part], int)
    return int(np.bincount(inside).argmax()) if len(inside) else 0


def _twice(drawing: Drawing) -> float:
    """Return the share of the length of lines that is the groove of another."""
    import shapely

    lines = [shapely.LineString(s.points(0.05)) for s in drawing.strokes if s.kind == "line"]
    near = NEAR * drawing.line_width
    length = sum(line.length for line in lines)
    once = shapely.union_all([line.buffer(near, cap_style="flat") for line in lines]).area / (2 * near)
    return max(0.0, 1 - once / length) if length else 0.0
