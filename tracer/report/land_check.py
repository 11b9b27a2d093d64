"""Whether lands hold in a job as it might be, and which strokes to leave out that none is left."""

from collections.abc import Mapping, Sequence

import numpy as np

from tracer.report.lands import Near
from tracer.report.trial import Mask, Trial
from tracer.report.waste import Waste

LEAST_LEFT = 0.05
"""mm of wood from which on two grooves are said to be apart."""

SLACK = 0.01
"""mm by which a distance may be measured too large, at the figure's size as it is."""

_ALIKE = 0.5
"""Groove widths from the nearest place within which the wood may run as at any other place."""


class LandCheck:
    """Asks of several lands at once whether each would hold, or only whether any wood were `left` at all.

    A land holds where all of its places do: distance of the middles, grown with the figure, less
    the groove, is what the rule asks for at the least. About an end or a corner the way
    the wood runs is a matter of a hair: there it is taken to run as is worst. Beside edges, where grooves
    move as they are made narrower, the distance is reckoned from the edge: `waste` knows where that is.
    """

    def __init__(self, lands: Sequence[Near], groove: float, waste: Waste, *, left: bool = False):
        shifts = [sum(waste.shift(n, near.land.where) for n in near.land.strokes) for near in lands]
        places = np.concatenate([near.places for near in lands])
        counts = np.array([len(near.places) for near in lands])
        self._first = (np.cumsum(counts) - counts).astype(np.intp)
        self._any = left
        self._shift = np.repeat(np.array(shifts, float), counts)
        self._distance = places[:, 0] - SLACK + self._shift * groove / 2
        nearest = np.repeat(np.minimum.reduceat(places[:, 0], self._first), counts)
        alike = places[:, 0] < nearest + _ALIKE * groove
        worst = np.repeat(np.maximum.reduceat(np.where(alike, places[:, 1], 0.0), self._first), counts)
        short = np.repeat([near.land.length <= groove for near in lands], counts)
        self._across = np.where(short, 1.0, np.where(alike, worst, places[:, 1]))

    def __call__(self, trial: Trial) -> Mask:
        """Return which lands (n,) hold."""
        left = self._distance * trial.larger - trial.groove * (1 + self._shift / 2)
        more = left - (LEAST_LEFT if self._any else trial.least_land(self._across))
        holds: Mask = np.minimum.reduceat(more, self._first) >= 0.0
        return holds


def fewest(pairs: Sequence[tuple[int, int]], length: Mapping[int, float], *, most: int) -> list[int]:
    """Return strokes so that each pair loses one: not the fewest there are, but few, and short ones.

    None are returned where more than `most` would have to go. The stroke that takes part in most
    pairs goes first, of two alike the shorter (greedy vertex cover). A stroke's pair with
    itself needs that stroke.
    """
    left = {(min(pair), max(pair)) for pair in pairs}
    gone: list[int] = []
    while left and len(gone) <= most:
        counts: dict[int, int] = {}
        for pair in left:
            for number in set(pair):
                counts[number] = counts.get(number, 0) + 1
        best = max(counts, key=lambda number: (counts[number], -length[number], -number))
        gone.append(best)
        left = {pair for pair in left if best not in pair}
    return [] if left or len(gone) > most else sorted(gone)
