"""The same strokes in a job as it might be: what is asked again before a remedy is offered."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.errors import BitError
from tracer.job import Job
from tracer.model.layout import Layout
from tracer.report.lettered import Letters
from tracer.report.walls import rule_of
from tracer.report.waste import Waste
from tracer.shop.bits import Bit

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

_STEPS = np.linspace(0.0, 1.0, 21)
"""Squared sines of the angle to the grain at which the least land is worked out.

The rule is the greater of two straight lines in them: between two steps it is never put too low.
"""

_ANGLES = np.arcsin(np.sqrt(_STEPS)).tolist()


@dataclass(frozen=True, eq=False)
class Trial:
    """A job with another depth or bit, its figure `larger` times as large.

    `groove` is the width, mm; `rule` the least land, mm, by rising angle to the grain. With several depth
    stops every groove is taken to be as wide as the deepest: a remedy that holds then holds
    whichever stops are found.
    """

    job: Job
    groove: float
    rule: Array
    larger: float = 1.0

    def least_land(self, across: Array) -> Array:
        """Return the least land (n,) in mm where the wood's length lies so far `across` (n,) the grain.

        `across` is the squared sine of the angle between the two, 0 to 1.
        """
        least: Array = np.interp(across, _STEPS, self.rule)
        return least


Check = Callable[[Trial], Mask]
"""Asks a question again: which of the things asked about hold (n,)."""


class Trials:
    """All that is tried for one plan; each depth and bit is made up once.

    `letters` says which letters the strokes belong to, those made from others, too; `waste` where the
    wood goes beside edges.
    """

    def __init__(self, layout: Layout, job: Job, letters: Letters | None = None, waste: Waste | None = None):
        self.layout, self.job = layout, job
        self.letters, self.waste = letters or Letters(layout), waste or Waste()
        self.now = _trial(job)
        self._made: dict[tuple[float, Bit], Trial | None] = {(job.depth, job.bit): self.now}

    def at(self, *, depth: float | None = None, bit: Bit | None = None) -> Trial | None:
        """Return the job with another depth (mm) or bit, None where the bit does not cut so deep."""
        key = (self.job.depth if depth is None else depth, bit or self.job.bit)
        if key not in self._made:
            self._made[key] = self._make(*key)
        return self._made[key]

    def sized(self, times: float) -> Trial:
        """Return the job with its figure so many times as large."""
        return Trial(self.job, self.now.groove, self.now.rule, times)

    def _make(self, depth: float, bit: Bit) -> Trial | None:
        try:
            return _trial(replace(self.job, depth=depth, bit=bit))
        except BitError:
            return None


def _trial(job: Job) -> Trial:
    least = rule_of(job)
    return Trial(job, job.groove, np.array([least(job.depth, angle) for angle in _ANGLES]))
