"""Whether standing wood holds in a job as it might be."""

import math
from collections.abc import Sequence

import numpy as np

from tracer.report.cut import Cut
from tracer.report.islands import BreakOut
from tracer.report.trial import Mask, Trial
from tracer.report.waste import Waste

SLACK = 0.05
"""mm by which a ring may be measured too wide: wood reaches in between the discs of a groove."""

LONG = 3.0
"""Length in widths of the ring's middle from which on the wood in it stays long (our own choice)."""


class StandingCheck:
    """Asks of pieces of standing wood whether each would hold.

    A narrower groove, or a larger figure, leaves more of the ring: the widest circle
    grows by what the groove loses. Only wood that is long whatever happens keeps its
    angle to the grain; the rest is taken to run across. Wood ringed by edges stays as wide as it is
    drawn; in the `waste` inside of one it loses both grooves.
    """

    def __init__(self, group: Sequence[BreakOut], cut: Cut, waste: Waste):
        least = 2 * float(cut.radius.min())
        rims = [[cut.groove[number].width for number in one.island.enclosed_by] for one in group]
        groove = np.array([min(rim, default=least) for rim in rims])
        shifts = [{waste.shift(n, one.island.where) for n in one.island.enclosed_by} for one in group]
        self._shift = np.array([max(own, default=0) for own in shifts], float)
        self._ring = np.array([one.widest for one in group]) + groove * (1 + self._shift)
        self._limit = np.array([one.limit for one in group])
        length = np.array([math.hypot(*one.island.size) for one in group]) + groove
        self._long = length > LONG * self._ring

    def __call__(self, trial: Trial) -> Mask:
        """Return which pieces (n,) hold."""
        least = np.where(self._long, self._limit, trial.least_land(np.ones(1))[0])
        left = (self._ring - SLACK) * trial.larger - trial.groove * (1 + self._shift)
        holds: Mask = left >= least
        return holds
