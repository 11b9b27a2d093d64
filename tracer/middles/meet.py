"""How stems that meet are led together, as a hand would carve them.

Two stems that go on in one another's direction are one stroke. A corner is sharp where the groove stays
inside the letter there, else it is rounded as the letter is. A stem that comes to another ends on it.
"""

from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tracer.middles.outline import Outline
from tracer.middles.zones import Arm, Stem, Zone

Array = NDArray[np.float64]

THROUGH = np.radians(45.0)
"""Stems that turn by less than this from one to the next may be one stroke: bows turn on their way."""

UNEVEN = np.radians(16.0)
"""How unevenly such stems turn at their two ends at the most: on an arc both turn alike."""

ALIKE, BESIDE = np.radians(12.0), 0.75
"""Stems in so nearly one direction are one stroke though they lie beside one another by some half widths."""

SHORT = 0.5
"""Half widths between two ends that are too short to have a direction."""

RIVAL = 2.0
"""Where one of two stems would go on in a third nearly as well, by this factor of the strain, none does."""

BOWED = np.radians(35.0)
"""A turn of less than this where two stems meet alone is a bow, no corner."""

INSIDE = 0.45
"""Part of half a stem's width that lies between a sharp corner and the letter's edge at the least."""

HOOKED = 0.6
"""Part of half the width that the letter is deep where a stroke's end turns off; less at a slanting end."""

REACHES, AHEAD = 0.7, 0.75
"""Half widths that a stub reaches out of a meeting, and lies beside the stem that goes on into it."""

ACUTE = np.radians(130.0)
"""A turn of more than this is an acute corner, and a stub there its point."""

CLEAR = 3.0
"""Pixels from a stem's end in which the raw skeleton is not followed."""

WAIST = 5.0
"""Half widths that the stretch shared by two crossing strokes is long at the most."""

SURE = 0.5
"""Lines that cross at so little (of 1, a line square to another) are held to their meeting's middle."""

FAR = 8.0
"""Half widths that stems are led on at the most."""


@dataclass(eq=False)
class Meetings:
    """What becomes of the ends of stems.

    Attributes
    ----------
    partner : the end that an end goes on to.
    way : of the first of such two ends, the points (m, 2) between them.
    ends : the points (m, 2) on which an end goes on to where it stops.
    loose : ends that run on to whatever stroke they come to, and the arms of the strokes they may come to.
    """

    partner: dict[Arm, Arm] = field(default_factory=dict)
    way: dict[Arm, Array] = field(default_factory=dict)
    ends: dict[Arm, Array] = field(default_factory=dict)
    loose: dict[Arm, list[Arm]] = field(default_factory=dict)

    def join(self, one: Arm, other: Arm, way: Array) -> None:
        """Let one end go on to another."""
        self.partner[one], self.partner[other] = other, one
        self.way[one], self.way[other] = way, way[::-1]


def meetings(stems: list[Stem], zones: list[Zone], outline: Outline) -> Meetings:
    """Return how all ends of stems meet."""
    found = Meetings()
    for zone in _crossings(stems, zones):
        on = _led_to_tips(stems, zone, outline, found)
        if on:
            found.loose |= dict.fromkeys([arm for arm in zone.arms if arm not in on], on)
        elif len(zone.arms) == 1:
            found.ends[zone.arms[0]] = _stop(stems, zone.arms[0], outline)
        elif len(zone.arms) == 2:
            _turned(stems, zone, outline, found)
        else:
            _crossed(stems, zone, outline, found)
    return found


def _crossings(stems: list[Stem], zones: list[Zone]) -> list[Zone]:
    """Return the zones, two of them made one where strokes cross so flatly that they share a stretch.

    That stretch, the waist of an 8, is taken out of its stem.
    """
    zones = list(zones)
    for k, stem in enumerate(stems):
        own = [zone for end in (0, 1) for zone in zones if (k, end) in zone.arms]
        if len(own) != 2 or own[0] is own[1] or any(len(zone.arms) != 3 for zone in own):
            continue
        if np.hypot(*(stem.points[1] - stem.points[0])) > WAIST * stem.half:
            continue
        (a, b), (c, d) = ([arm for arm in zone.arms if arm[0] != k] for zone in own)
        for one, other in (((a, c), (b, d)), ((a, d), (b, c))):
            through = _strain(stems, *one) is not None and _strain(stems, *other) is not None
            if through and _cross(*([stems[j].points[end] for j, end in pair] for pair in (one, other))):
                stem.pieces = []
                middle = (own[0].middle + own[1].middle) / 2
                zones = [zone for zone in zones if zone not in own]
                zones.append(Zone([*one, *other], middle, max(own[0].half, own[1].half)))
                break
    return zones


def _cross(one: list[Array], other: list[Array]) -> bool:
    """Say whether the straight ways between two pairs of points cross."""
    sides = [
        [_angle(b - a, point - a) > 0 for point in pair] for (a, b), pair in ((one, other), (other, one))
    ]
    return all(side[0] != side[1] for side in sides)


def _stop(stems: list[Stem], arm: Arm, outline: Outline) -> Array:
    """Return where a stroke ends: half its width before the letter's edge."""
    stem, end = stems[arm[0]], arm[1]
    point, way, raw = stem.points[end], stem.ways[end], stem.raw[end]
    far = float(outline.across(point[None], way[None])[0][0])
    length = float(np.hypot(*np.diff(np.concatenate([point[None], raw]), axis=0).T).sum())
    stop = point + way * max(far - stem.half, -0.5 * stem.half)
    if not np.isfinite(far) or far - stem.half > length + 2 * stem.half:
        return raw if len(raw) else point[None]
    off = len(raw) and np.hypot(*(raw[-1] - stop)) > 0.9 * stem.half
    if off and outline.depth(raw[-1:])[0] > HOOKED * stem.half:
        return raw
    return np.asarray(stop[None])


def stop_at(stems: list[Stem], arm: Arm, tip: Array, outline: Outline) -> Array:
    """Return where a stem stops that goes on into a stub."""
    point, way = _end(stems, arm)
    stop = point + way * (float(outline.across(point[None], way[None])[0][0]) - stems[arm[0]].half)
    near = np.hypot(*(stop - tip)) < 1.5 * stems[arm[0]].half
    return np.asarray((stop if near else tip)[None])


def _led_to_tips(stems: list[Stem], zone: Zone, outline: Outline, found: Meetings) -> list[Arm]:
    """Lead stems on through a meeting to the stubs that lie straight ahead of them; return which."""
    on: list[Arm] = []
    if len(zone.arms) == 2 and _turn(*(_end(stems, arm)[1] for arm in zone.arms)) > ACUTE:
        return on
    for tip in zone.tips:
        best: tuple[float, Arm] | None = None
        for arm in zone.arms:
            p, u = _end(stems, arm)
            half, gap = stems[arm[0]].half, tip - p
            beside, ahead = abs(gap[0] * u[1] - gap[1] * u[0]), gap @ u
            reach = np.hypot(*(tip - zone.middle)) + outline.depth(tip[None])[0] - zone.half
            if arm not in on and ahead > 0 and reach > REACHES * half and beside <= AHEAD * half:
                best = min(best or (np.inf, arm), (beside / half, arm))
        if best is not None:
            on.append(best[1])
            found.ends[best[1]] = stop_at(stems, best[1], tip, outline)
    return on


def _turned(stems: list[Stem], zone: Zone, outline: Outline, found: Meetings) -> None:
    """Join two stems: on in a bow, round a sharp corner, or the way the skeleton goes."""
    one, other = zone.arms
    p, u, q, v = (*_end(stems, one), *_end(stems, other))
    turn = _turn(u, v)
    half = min(stems[one[0]].half, stems[other[0]].half)
    raw = _raw(stems, one, other)
    if turn < BOWED:
        found.join(one, other, np.array([p, q]) if len(raw) < 3 * half else raw)
        return
    corner = _crossing(p, u, q, v)
    if (
        corner is not None
        and outline.depth(corner[None])[0] >= INSIDE * half
        and _within(corner, p, q, half, outline)
    ):
        found.join(one, other, np.array([p, corner, q]))
    else:
        found.join(one, other, raw)


def _raw(stems: list[Stem], one: Arm, other: Arm) -> Array:
    """Return the skeleton's way from one end to another."""
    a, b = stems[one[0]].raw[one[1]], stems[other[0]].raw[other[1]]
    ends = stems[one[0]].points[one[1]][None], stems[other[0]].points[other[1]][None]
    way = np.concatenate([a, b[::-1]])
    clear = np.minimum(*(np.hypot(*(way - end).T) for end in ends)) > CLEAR
    return np.concatenate([ends[0], way[clear], ends[1]])


def _within(corner: Array, p: Array, q: Array, half: float, outline: Outline) -> bool:
    """Say whether a corner and the ways to it lie inside the letter, near by."""
    if max(np.hypot(*(corner - p)), np.hypot(*(corner - q))) > FAR * half:
        return False
    for end in (p, q):
        way = corner - end
        far = float(np.hypot(*way))
        if far > 0 and outline.across(end[None], (way / far)[None])[0][0] < far:
            return False
    return True


def _crossed(stems: list[Stem], zone: Zone, outline: Outline, found: Meetings) -> None:
    """Pair the stems that go on in one another's direction; the others end on these, or all at one point."""
    arms = list(zone.arms)
    pairs = sorted(
        (cost, a, b)
        for a, b in combinations(arms, 2)
        if (cost := _strain(stems, a, b)) is not None and a[0] != b[0]
    )
    through: list[Arm] = []
    for strain, a, b in pairs:
        rivals = [cost for cost, *pair in pairs if cost > strain and len({a, b} & set(pair)) == 1]
        if a not in through and b not in through and not (rivals and rivals[0] < RIVAL * strain):
            found.join(a, b, np.array([stems[a[0]].points[a[1]], stems[b[0]].points[b[1]]]))
            through += [a, b]
    rest = [arm for arm in arms if arm not in through]
    if through:
        found.loose |= dict.fromkeys(rest, through)
        return
    point = _common(stems, rest, zone, outline)
    found.ends |= dict.fromkeys(rest, point[None])


def _strain(stems: list[Stem], a: Arm, b: Arm) -> float | None:
    """Return how far two ends are from lying on one line or arc; None where they go on differently."""
    p, u, q, v = (*_end(stems, a), *_end(stems, b))
    turn, way = _turn(u, v), q - p
    if turn > THROUGH:
        return None
    if np.hypot(*way) < SHORT * min(stems[a[0]].half, stems[b[0]].half):
        return turn
    uneven = abs(_angle(u, way) - _angle(way, -v))
    if uneven <= UNEVEN:
        return uneven + 0.3 * turn
    beside = abs(way[0] * (u - v)[1] - way[1] * (u - v)[0]) / float(np.hypot(*(u - v)))
    half = min(stems[a[0]].half, stems[b[0]].half)
    return turn + uneven if turn < ALIKE and beside < BESIDE * half else None


def _angle(one: Array, other: Array) -> float:
    """Return the signed angle from one direction to another."""
    return float(np.arctan2(one[0] * other[1] - one[1] * other[0], one @ other))


def _common(stems: list[Stem], arms: list[Arm], zone: Zone, outline: Outline) -> Array:
    """Return the point nearest to the lines of all ends; the zone's middle where it lies off."""
    normal, right = np.eye(2) * 1e-3, zone.middle * 1e-3
    for arm in arms:
        p, u = _end(stems, arm)
        across = np.array([-u[1], u[0]])
        normal = normal + np.outer(across, across)
        right = right + across * (across @ p)
    size, axes = np.linalg.eigh(normal)
    weak = np.maximum(SURE - size, 0) @ (axes.T[:, :, None] * axes.T[:, None, :]).reshape(2, 4)
    hold = weak.reshape(2, 2)  # where the lines run alike they do not tell where along themselves
    point = np.asarray(np.linalg.solve(normal + hold, right + hold @ zone.middle), np.float64)
    away = float(np.hypot(*(point - zone.middle)))
    if away > 2.0 * zone.half or outline.depth(point[None])[0] < 0.5 * zone.half:
        return zone.middle
    return point


def _end(stems: list[Stem], arm: Arm) -> tuple[Array, Array]:
    """Return an end's point and way out."""
    return stems[arm[0]].points[arm[1]], stems[arm[0]].ways[arm[1]]


def _turn(u: Array, v: Array) -> float:
    """Return by how much one turns who leaves a stem by u and enters the next against v."""
    return float(np.arccos(np.clip(-(u @ v), -1, 1)))


def _crossing(p: Array, u: Array, q: Array, v: Array) -> Array | None:
    """Return where two lines cross ahead of both ends."""
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 1e-6:
        return None
    gap = q - p
    s, t = (gap[0] * v[1] - gap[1] * v[0]) / cross, (gap[0] * u[1] - gap[1] * u[0]) / cross
    return np.asarray(p + s * u) if s > 0 and t > 0 else None
