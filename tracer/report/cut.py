"""The strokes that are cut, with their grooves as arrays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.model.drawing import Stroke
from tracer.model.plan import Groove

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Cut:
    """Strokes that are cut, wood mm, and the groove of each in the same order."""

    strokes: tuple[Stroke, ...]
    grooves: tuple[Groove, ...]

    @cached_property
    def numbers(self) -> list[int]:
        """Stroke numbers by index."""
        return [stroke.number for stroke in self.strokes]

    @cached_property
    def radius(self) -> Array:
        """Half widths of the grooves (k,), mm."""
        return np.array([groove.width / 2 for groove in self.grooves])

    @cached_property
    def depth(self) -> Array:
        """Depths of the grooves (k,), mm."""
        return np.array([groove.depth for groove in self.grooves])

    @cached_property
    def groove(self) -> Mapping[int, Groove]:
        """The groove of each stroke number."""
        return {groove.stroke: groove for groove in self.grooves}

    def only(self, numbers: Sequence[int]) -> "Cut":
        """Return the strokes with these numbers, in their order here."""
        wanted = set(numbers)
        keep = [k for k, number in enumerate(self.numbers) if number in wanted]
        return Cut(tuple(self.strokes[k] for k in keep), tuple(self.grooves[k] for k in keep))
