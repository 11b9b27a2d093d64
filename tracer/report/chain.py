"""Strokes laid end to end, so that all of them are cut and measured in one go."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Chain:
    """Strokes laid end to end, with gaps between them; the strokes' frame.

    Attributes
    ----------
    curves : (n, 4, 2) of all strokes.
    first, count : (k,) each stroke's first cubic, and how many it has.
    index : a stroke's index by its number.
    """

    curves: Array
    first: Ints
    count: Ints
    index: dict[int, int]

    @classmethod
    def of(cls, strokes: Sequence[Stroke]) -> "Chain":
        """Lay `strokes`, at least one, end to end."""
        count = np.array([len(stroke.curves) for stroke in strokes], dtype=np.intp)
        index = {stroke.number: k for k, stroke in enumerate(strokes)}
        return cls(np.concatenate([s.curves for s in strokes]), np.cumsum(count) - count, count, index)

    @property
    def tips(self) -> Array:
        """Where each stroke starts and ends (k, 2, 2)."""
        last = self.first + self.count - 1
        return np.stack([self.curves[self.first, 0], self.curves[last, 3]], axis=1)

    @cached_property
    def lengths(self) -> Array:
        """Arc length of each cubic (n,)."""
        return bezier.lengths(self.curves)
