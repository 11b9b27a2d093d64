"""The free ends of strokes led to where they stop, or onto the strokes they come to."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier, polyline
from tracer.geometry.fit import fit_cubics
from tracer.geometry.flatten import flatten
from tracer.middles.meet import CLEAR, FAR, Meetings
from tracer.middles.pieces import cubics_of
from tracer.middles.stems import SPACING, smoothed, tangents
from tracer.middles.strokes import Strung
from tracer.middles.zones import Arm, Stem

Array = NDArray[np.float64]

OWN = 4.0
"""Half widths along its own stroke on which an end does not land."""

CUT = 0.35
"""Part of a stroke that is cut off at an end at the most."""

ON_LINE = 0.05
"""Pixels that a point lies beside a straight end's line if that is led on as it is."""

_ROUGH = 0.5
"""Pixels from the raw skeleton to the curve that follows it to an end."""


def led_on(
    strokes: Sequence[Strung], stems: list[Stem], found: Meetings, cap: float
) -> list[tuple[Array, bool]]:
    """Return the strokes as chains (n, 4, 2), closed or not, that end where they should."""
    chains = [cubics_of(stroke.pieces, cap) for stroke in strokes]
    owner = {arm[0]: k for k, stroke in enumerate(strokes) for arm in stroke.arms}
    ends: dict[Arm, tuple[int, int]] = {}
    for k, stroke in enumerate(strokes):
        if stroke.arms and not stroke.closed:
            ends |= {arm: (k, end) for end, arm in zip((0, 1), stroke.ends, strict=True)}
    for arm, (k, end) in ends.items():
        if arm in found.ends:
            chains[k] = _ended(chains[k], end, found.ends[arm])
    waiting = {arm: place for arm, place in ends.items() if arm in found.loose}
    goals = {arm: [owner[other[0]] for other in found.loose[arm]] for arm in waiting}
    while waiting:
        landed = {
            arm: _landing(stems[arm[0]], arm[1], _targets(chains, goals[arm], *ends[arm], stems[arm[0]].half))
            for arm in waiting
        }
        arm = min(landed, key=lambda arm: float(np.hypot(*(landed[arm] - stems[arm[0]].points[arm[1]]))))
        k, end = waiting.pop(arm)
        chains[k] = _extended(chains[k], end, landed[arm])
        for other in waiting:
            if found.loose[other] is found.loose[arm]:
                goals[other] = [*goals[other], k]  # what has landed may be landed on
    return [(chain, stroke.closed) for chain, stroke in zip(chains, strokes, strict=True)]


def _targets(chains: Sequence[Array], goals: Sequence[int], own: int, end: int, half: float) -> list[Array]:
    """Return the chains that an end of one of them may land on, its own without what lies next to the end."""
    return [_without(chains[k], end, OWN * half) if k == own else chains[k] for k in goals]


def _without(chain: Array, end: int, length: float) -> Array:
    """Return a chain without so much of its end; half of it at the most."""
    t = np.linspace(0, len(chain), 8 * len(chain) + 1)
    along = bezier.lengths_to(chain, t)
    cut = min(length, along[-1] / 2)
    if end:
        return bezier.between(chain, 0.0, float(np.interp(along[-1] - cut, along, t)))
    return bezier.between(chain, float(np.interp(cut, along, t)), float(len(chain)))


def _landing(stem: Stem, end: int, chains: list[Array]) -> Array:
    """Return where a stem led on straight runs onto chains, else the nearest place on them."""
    point, way, half = stem.points[end], stem.ways[end], stem.half
    lines = [flatten(chain, 0.005) for chain in chains]
    a, b = (np.concatenate([line[part] for line in lines]) for part in (slice(None, -1), slice(1, None)))
    edge, gap = b - a, a - point
    cross = way[0] * edge[:, 1] - way[1] * edge[:, 0]
    safe = np.where(np.abs(cross) > 1e-12, cross, np.nan)
    far = (gap[:, 0] * edge[:, 1] - gap[:, 1] * edge[:, 0]) / safe
    part = (gap[:, 0] * way[1] - gap[:, 1] * way[0]) / safe
    hits = far[(part >= 0) & (part <= 1) & (far > -half) & (far < FAR * half)]
    if len(hits):
        return np.asarray(point + hits[np.abs(hits).argmin()] * way)
    part = np.clip(-(gap * edge).sum(axis=1) / np.maximum((edge * edge).sum(axis=1), 1e-30), 0, 1)
    feet = a + part[:, None] * edge
    return np.asarray(feet[np.hypot(*(feet - point).T).argmin()])


def _ended(chain: Array, end: int, way: Array) -> Array:
    """Return a chain led on along points (m, 2): straight to one, smoothly along several."""
    if len(way) == 1:
        return _extended(chain, end, way[0])
    chain = chain if end else bezier.reverse(chain)
    points = np.concatenate([chain[-1:, 3], way[np.hypot(*(way - chain[-1, 3]).T) > CLEAR]])
    if len(points) > 2:
        points = polyline.resample(smoothed(points, 2.0), SPACING)
        directions = tangents(points, 2)
        directions[0] = bezier.tangents_at(chain, np.array([float(len(chain))]))[0]
        chain = np.concatenate([chain, fit_cubics(points, directions, _ROUGH)])
    return chain if end else bezier.reverse(chain)


def _extended(chain: Array, end: int, point: Array) -> Array:
    """Return a chain led on straight to a point, or cut back to it."""
    chain = chain if end else bezier.reverse(chain)
    tip, gap = chain[-1], point - chain[-1, 3]
    way = tip[3] - tip[2]
    straight = np.allclose(bezier.from_polyline(tip[[0, 3]])[0], tip, atol=1e-6)
    beside = abs(way[0] * gap[1] - way[1] * gap[0]) / max(float(np.hypot(*way)), 1e-12)
    if straight and beside < ON_LINE:
        chain = np.concatenate([chain[:-1], bezier.from_polyline(np.array([tip[0], point]))])
        return chain if end else bezier.reverse(chain)
    place = _place(chain, point) if way @ gap < 0 else float(len(chain))
    if bezier.length(chain) - bezier.lengths_to(chain, np.array([place]))[0] < CUT * bezier.length(chain):
        chain = bezier.between(chain, 0.0, place)
    if np.hypot(*(point - chain[-1, 3])) > 1e-9:
        chain = np.concatenate([chain, bezier.from_polyline(np.array([chain[-1, 3], point]))])
    return chain if end else bezier.reverse(chain)


def _place(chain: Array, point: Array) -> float:
    """Return the place on a chain nearest to a point."""
    t = np.linspace(0, len(chain), 200 * len(chain) + 1)
    return float(t[np.hypot(*(bezier.points_at(chain, t) - point).T).argmin()])
