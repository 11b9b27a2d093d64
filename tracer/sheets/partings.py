"""Where another set-up goes on: strokes that are parted, runs that end at grooves of others. Wood mm."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.plan import Leg, Plan, Run

Array = NDArray[np.float64]

_NEAR = 0.3
"""mm; ends of grooves that are so near are at one place."""

_SAME = 1e-5
"""Of places on a stroke's chain: closer ones are one."""


@dataclass(frozen=True, eq=False)
class Parting:
    """A place (2,) where set-up number `other` goes on, and the unit `way` (2,) out of what is cut here."""

    point: Array
    way: Array
    other: int


@dataclass(frozen=True, eq=False)
class _End:
    """One end of a leg, the set-up that cuts it, its place on the stroke; `tip` where a run ends."""

    owner: int
    leg: Leg
    at_end: bool
    place: float
    tip: bool

    @property
    def point(self) -> Array:
        found: Array = self.leg.curves[-1, 3] if self.at_end else self.leg.curves[0, 0]
        return found

    @property
    def way(self) -> Array:
        t = np.array([len(self.leg.curves) if self.at_end else 0.0])
        found: Array = bezier.tangents_at(self.leg.curves, t)[0] * (1.0 if self.at_end else -1.0)
        return found


def partings(plan: Plan) -> dict[int, tuple[Parting, ...]]:
    """Return by the number of each set-up where others go on with what it leaves, each place once."""
    from scipy.spatial import cKDTree

    found: dict[int, list[Parting]] = {one.number: [] for one in plan.set_ups}
    owner = {number: one.number for one in plan.set_ups for number in one.runs}
    laps = {stroke.number: len(stroke.curves) for stroke in plan.cut if stroke.closed}
    ends = [end for run in plan.runs if owner for end in _ends(run, owner[run.number], laps)]
    points = np.array([end.point for end in ends]).reshape(-1, 2)
    for pair in sorted(cKDTree(points).query_pairs(_NEAR)):
        for one, other in ((ends[pair[0]], ends[pair[1]]), (ends[pair[1]], ends[pair[0]])):
            if one.owner == other.owner or not (one.tip or _parted(one, other)):
                continue
            known = found[one.owner]
            if all(np.hypot(*(one.point - old.point)) > _NEAR for old in known):
                known.append(Parting(one.point, one.way, other.owner))
    return {number: tuple(some) for number, some in found.items()}


def _ends(run: Run, owner: int, laps: dict[int, int]) -> list[_End]:
    """Return the ends of what a run cuts."""
    found = []
    for leg in run.legs:
        lap = laps.get(leg.stroke)
        for at_end, place, tip in (
            (False, leg.start, leg is run.legs[0]),
            (True, leg.end, leg is run.legs[-1]),
        ):
            if not leg.retraced:
                found.append(_End(owner, leg, at_end, place % lap if lap else place, tip))
    return found


def _parted(one: _End, other: _End) -> bool:
    """Say whether two ends are those of one stroke at one place of it."""
    return one.leg.stroke == other.leg.stroke and abs(one.place - other.place) < _SAME
