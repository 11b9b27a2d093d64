"""Points along all grooves, evenly spaced, with what is needed to measure between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import places
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]

TOLERANCE = 0.02
"""mm on the wood; how far the polylines that grooves are measured on may lie from their strokes."""


@dataclass(frozen=True, eq=False)
class Samples:
    """Points along strokes; wood frame, mm.

    Attributes
    ----------
    points : (m, 2).
    t : (m,) places on their chains.
    along : (m,) distance from the stroke's start.
    stroke : (m,) index of the stroke in the sequence sampled.
    tangents : (m, 2) unit, zero for a dot.
    totals : (k,) length of each stroke.
    polylines : k arrays (n, 2) within TOLERANCE of the strokes.
    """

    points: Array
    t: Array
    along: Array
    stroke: NDArray[np.intp]
    tangents: Array
    totals: Array
    polylines: tuple[Array, ...]

    @cached_property
    def step(self) -> Array:
        """Spacing of each stroke's samples (k,), 0 for dots."""
        count = np.bincount(self.stroke, minlength=len(self.totals))
        return self.totals / np.maximum(count - 1, 1)


def sample(strokes: Sequence[Stroke], step: float) -> Samples:
    """Sample `strokes` at about `step` mm, ends included; a dot gives one point."""
    if not strokes:
        nothing, flat = np.zeros((0, 2)), np.zeros(0)
        return Samples(nothing, flat, flat, flat.astype(np.intp), nothing, flat, ())
    columns: list[tuple[Array, ...]] = []
    totals, lines = [], []
    for index, stroke in enumerate(strokes):
        t = places(stroke.curves, TOLERANCE)
        line = bezier.points_at(stroke.curves, t)
        steps = np.diff(line, axis=0)
        size = np.hypot(steps[:, 0], steps[:, 1])
        along = np.concatenate([[0.0], np.cumsum(size)])
        total = float(along[-1])
        wanted = np.linspace(0.0, total, max(1, round(total / step)) + 1) if total > 0 else np.zeros(1)
        segment = np.clip(np.searchsorted(along, wanted, side="right") - 1, 0, len(size) - 1)
        unit = (steps / np.where(size > 0, size, 1.0)[:, None])[segment]
        points = line[segment] + unit * (wanted - along[segment])[:, None]
        owner = np.full(len(wanted), index, dtype=float)
        columns.append((points, np.interp(wanted, along, t), wanted, owner, unit))
        totals.append(total)
        lines.append(line)
    points, t, along, owner, tangents = (np.concatenate(column) for column in zip(*columns, strict=True))
    return Samples(points, t, along, owner.astype(np.intp), tangents, np.array(totals), tuple(lines))
