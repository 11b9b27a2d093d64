"""The ratio from a test cut: a known length traced on the template, and the groove it made, measured."""

import math
from dataclasses import dataclass

from tracer.shop.linkage import ratio_from_trace

TRACED_OFF, CUT_OFF = 0.5, 0.25
"""How near the two lengths are read, mm: a printed line of some 200 mm and a groove of some 100 mm.

Common practice, no source.
"""


@dataclass(frozen=True)
class Traced:
    """One length or two at right angles, mm: across and perhaps down.

    `cut` is measured from groove middle to groove middle, so that the groove's width drops out;
    `traced_off` and `cut_off` say how near each was read.
    """

    traced: tuple[float, ...]
    cut: tuple[float, ...]
    traced_off: float = TRACED_OFF
    cut_off: float = CUT_OFF

    @property
    def ratios(self) -> tuple[float, ...]:
        """Ratio of each axis; raises LengthError where there can be none."""
        return tuple(map(ratio_from_trace, self.traced, self.cut))

    @property
    def ratio(self) -> float:
        """The mean of the axes."""
        return sum(self.ratios) / len(self.ratios)

    @property
    def doubt(self) -> float:
        """Part of the ratio that reading leaves in doubt, either way.

        An axis has sqrt((cut_off / cut)^2 + (traced_off / traced)^2) [D]: 0.35 % for 200 mm traced at
        half size.
        The mean of two axes has the root of the sum of both squares, halved.
        """
        return math.hypot(*self._doubts) / len(self._doubts)

    @property
    def apart(self) -> float:
        """How far the axes differ, as a part of the ratio; 0 with one axis."""
        return (max(self.ratios) - min(self.ratios)) / self.ratio

    @property
    def unequal(self) -> bool:
        """The axes differ by more than reading explains: the linkage is out of square, or sprung."""
        return self.apart > math.hypot(*self._doubts)

    @property
    def _doubts(self) -> list[float]:
        return [
            math.hypot(self.cut_off / cut, self.traced_off / traced)
            for traced, cut in zip(self.traced, self.cut, strict=True)
        ]
