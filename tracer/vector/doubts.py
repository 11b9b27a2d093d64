"""Free ends that are none: the pen turned there, or they lie along another line."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.vector.arms import Arms
from tracer.vector.links import End, Links
from tracer.vector.samples import Samples
from tracer.vector.stretches import ON_LINE, STILLS, Path

Array = NDArray[np.float64]

TIP = 0.3
"""Widths from a free end within which the pen that turns in a tip goes on."""

LAST = 12
"""Points of a tail, the last ones, most of which lie on another line if it is no end."""


def free_ends(samples: Sequence[Samples], links: Links) -> Array:
    """Return where (n, 2) lines end freely."""
    ends = []
    for end in sorted(links.free):
        points, cut = samples[end[0]].points, links.cuts.get(end, 0)
        own = points[cut] if end[1] == 0 else points[len(points) - 1 - cut]
        ends.append(links.tails[end][-1] if len(links.tails.get(end, ())) else own)
    return np.array(ends).reshape(-1, 2)


def leads_on(path: Path, ends: Array, width: float) -> bool:
    """Say whether the pen turns on a path right where a line is thought to end, at one of `ends` (n, 2)."""
    still = np.flatnonzero(~path.headings.any(axis=1))
    still = still[(still > 0) & (still < len(path.points) - 1)]
    if path.start == ON_LINE or len(still) < STILLS or not len(ends):
        return False
    away = np.hypot(*(path.points[still, None] - ends[None]).transpose(2, 0, 1))
    return bool(away.min() < TIP * width)


def on_others(arms: Arms, samples: Sequence[Samples], links: Links, near: float) -> list[End]:
    """Return the ends of lines, thought to end beyond a junction, whose last part lies on other lines.

    `near` is within how many ink pixels two lines are one.
    """
    inner = {arms.ends[arm] for arm in np.flatnonzero(~arms.free).tolist()}
    asked = sorted(inner & links.free & links.tails.keys())
    if not asked:
        return []
    keys = [*((k, -1) for k in range(len(samples))), *links.tails]
    lines = [*(line.points for line in samples), *links.tails.values()]
    points = np.concatenate(lines)
    line = np.repeat(np.arange(len(lines)), [len(own) for own in lines])
    found = []
    for end in asked:
        last = links.tails[end][-LAST:]
        own = [keys.index((end[0], -1)), keys.index(end)]
        about = ((points > last.min(axis=0) - near) & (points < last.max(axis=0) + near)).all(axis=1)
        others = points[about & ~np.isin(line, own)]
        away = np.hypot(*(last[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1, initial=np.inf)
        if np.mean(away < near) > 0.5:
            found.append(end)
    return found
