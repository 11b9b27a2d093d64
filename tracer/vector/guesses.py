"""Points that were not measured are laid where the measured ones about them say.

Within a junction a line is followed by what edges are in sight, or by none: what is guessed there errs
more than what is measured, and neighbours err alike. So it has less say in where segments begin and end.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.vector.breaks import Pieces, Sections
from tracer.vector.cubics import along, newton, terms
from tracer.vector.spans import RunningSums

Array = NDArray[np.float64]

WEIGHT = 0.3
"""What a guessed point counts for, against a measured one."""

ALLOWED = 3.0
"""Times the tolerance that guessed points may be moved."""

_STEPS = 3
"""Newton's steps to the feet of guessed points."""


def weights_of(sections: Sections) -> Array:
    """Return what each point (m,) counts for."""
    return np.where(sections.guessed, WEIGHT, 1.0)


def laid(
    sections: Sections, found: Sequence[tuple[Pieces, Array]], sums: RunningSums, tolerance: float
) -> Array:
    """Return the points (m, 2), guessed ones on the segments `found` where all of a run lie near.

    A run is what lies in one segment, one point behind the other; `found` are each section's segments and
    their numbers (n, 8), see `cubics`.
    """
    points, index = sections.points.copy(), np.flatnonzero(sections.guessed)
    if not len(index):
        return points
    pieces = Pieces.together([own for own, _ in found])
    which = np.searchsorted(pieces.first, index, side="right") - 1
    known = terms(np.concatenate([numbers for _, numbers in found]))[:, which]
    begin, end = sums.along[pieces.first[which]], sums.along[pieces.last[which]]
    u = (sums.along[index] - begin) / np.maximum(end - begin, 1e-9)
    for _ in range(_STEPS):
        u = np.clip(newton(known, u, points[index].T), 0, 1)
    feet = np.column_stack(along(known, u)[0])
    off = np.hypot(*(feet - points[index]).T)
    run = np.flatnonzero((np.diff(index, prepend=-2) > 1) | (np.diff(which, prepend=-1) > 0))
    near = np.maximum.reduceat(off, run) <= ALLOWED * tolerance
    moved = np.repeat(near, np.diff(run, append=len(index)))
    points[index[moved]] = feet[moved]
    return points
