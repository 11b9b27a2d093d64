"""The strokes of a figure as arrays, and which of them the bit will not hold."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.report.decided import Decided

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

FAR_UNDER_TYPICAL = 0.6
"""Where the drawing's own typical line is too thin, strokes under this share of it are still dropped."""

_NOISE = 1e-9


@dataclass(frozen=True, eq=False)
class Figure:
    """All strokes in the order of their numbers; mm on the wood.

    A stroke is too thin where its groove is wider than `job.max_widening` times its drawn width.
    What is asked `times` as large is asked of the figure enlarged.

    Attributes
    ----------
    numbers : (k,).
    widths : (k,) drawn width; nan for edges and strokes without one, of which any groove will do.
    lengths : (k,).
    out, keep : (k,) which of them the user leaves out, and keeps however wide.
    typical : length-weighted median of the lines' widths, nan where no line has one.
    """

    numbers: Ints
    widths: Array
    lengths: Array
    out: Bools
    keep: Bools
    typical: float

    def too_thin(self, grooves: Array, job: Job, times: float = 1.0) -> Bools:
        """Return which strokes (k,) are too thin for their grooves (k,), whatever the user decided."""
        thin: Bools = grooves > job.max_widening * times * self.widths + _NOISE
        return thin

    def all_too_thin(self, groove: float, job: Job, times: float = 1.0) -> bool:
        """Say whether even the typical line is too thin for this groove, the narrowest there is."""
        return bool(groove > job.max_widening * times * self.typical + _NOISE)

    def dropped(self, too_thin: Bools, job: Job, *, all_too_thin: bool) -> Bools:
        """Return which strokes (k,) the bit cannot hold; those that the user leaves out are not among them.

        Where the typical line is too thin the fault is the job's and not the stroke's: then
        only strokes far thinner than typical are dropped.
        """
        if job.thin == "keep":
            return np.zeros(len(self.numbers), dtype=bool)
        far = self.widths < FAR_UNDER_TYPICAL * self.typical
        gone: Bools = too_thin & ~self.out & ~self.keep & (far if all_too_thin else True)
        return gone

    def wide_enough(self, groove: float, job: Job) -> Array:
        """Return the size (k,), as a multiple of this one, from which each bears a groove; 0 for any size."""
        with np.errstate(divide="ignore"):
            least = groove / (job.max_widening * self.widths)
        return np.where(np.isnan(least) | self.out | self.keep, 0.0, least)


def figure_of(decided: Decided, job: Job) -> Figure:
    """Return the strokes as arrays."""
    strokes = decided.strokes
    numbers = np.array([stroke.number for stroke in strokes], dtype=np.intp)
    drawn = [np.nan if s.kind == "edge" or s.width is None else s.width for s in strokes]
    widths, lengths = np.array(drawn, dtype=float), _lengths(strokes)
    lines = np.array([stroke.kind == "line" for stroke in strokes], dtype=bool) & ~np.isnan(widths)
    return Figure(
        numbers=numbers,
        widths=widths,
        lengths=lengths,
        out=np.isin(numbers, list(decided.left_out)),
        keep=np.isin(numbers, job.acts.keep),
        typical=_weighted_median(widths[lines], lengths[lines]),
    )


def _lengths(strokes: Sequence[Stroke]) -> Array:
    """Return the lengths (k,) of strokes, worked out together."""
    if not strokes:
        return np.zeros(0)
    counts = np.array([len(stroke.curves) for stroke in strokes])
    of_cubics = bezier.lengths(np.concatenate([stroke.curves for stroke in strokes]))
    lengths: Array = np.add.reduceat(of_cubics, np.cumsum(counts) - counts)
    return lengths


def _weighted_median(values: Array, weights: Array) -> float:
    if not len(values):
        return float("nan")
    order = np.argsort(values)
    half = np.cumsum(weights[order]) >= weights.sum() / 2
    return float(values[order][np.argmax(half)])
