"""The strokes of a figure as arrays, and which of them the bit will not hold at a size."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.report.decided import Decided
from tracer.report.grooves import FAR_UNDER_TYPICAL, typical_width

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

_NOISE = 1e-9


@dataclass(frozen=True, eq=False)
class Figure:
    """All strokes in the order of their numbers, at the size given; mm.

    Attributes
    ----------
    numbers : (k,).
    widths : (k,) drawn width, nan where any groove will do.
    lengths : (k,).
    dots : (k,) which of them are dots.
    out, keep : (k,) which of them the user leaves out, and keeps however wide.
    typical : width of the typical line, nan where no line has any.
    """

    numbers: Ints
    widths: Array
    lengths: Array
    dots: Bools
    out: Bools
    keep: Bools
    typical: float

    def too_thin(self, grooves: Array, job: Job, times: float = 1.0) -> tuple[Bools, bool]:
        """Return which strokes (k,) come out too wide `times` as large, and whether the typical line does."""
        limit = job.max_widening * times
        thin = (grooves > limit * self.widths + _NOISE) & ~self.out & ~self.keep
        return thin, bool(grooves.min(initial=np.inf) > limit * self.typical + _NOISE)

    def wide_enough(self, groove: float, job: Job) -> Array:
        """Return the size (k,), as a multiple of that given, from which each bears this groove; 0 for any."""
        with np.errstate(divide="ignore"):
            least = groove / (job.max_widening * self.widths)
        return np.where(np.isnan(least) | self.out | self.keep, 0.0, least)

    def cut(self, thin: Bools, job: Job, *, all_thin: bool) -> Bools:
        """Return which strokes (k,) are cut: where all lines are too thin, only the thinnest are dropped."""
        if job.thin == "keep":
            return ~self.out
        dropped = thin & (self.widths < FAR_UNDER_TYPICAL * self.typical) if all_thin else thin
        kept: Bools = ~(dropped | self.out)
        return kept


def figure_of(decided: Decided, job: Job) -> Figure:
    """Return the strokes as arrays."""
    strokes = decided.strokes
    numbers = np.array([stroke.number for stroke in strokes], dtype=np.intp)
    widths = [np.nan if s.kind == "edge" or s.width is None else s.width for s in strokes]
    typical = typical_width(strokes)
    return Figure(
        numbers=numbers,
        widths=np.array(widths, dtype=float),
        lengths=np.array([stroke.length for stroke in strokes]),
        dots=np.array([stroke.kind == "dot" for stroke in strokes], dtype=bool),
        out=np.isin(numbers, list(decided.left_out)),
        keep=np.isin(numbers, job.acts.keep),
        typical=np.nan if typical is None else typical,
    )
