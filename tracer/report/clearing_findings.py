"""What is said of clearing: how much, in how many rings, what stays uncut and where, and which bit suits."""

from collections.abc import Iterator, Sequence
from typing import Any

from tracer.errors import BitError
from tracer.lengths import MM_PER_INCH, Units, both
from tracer.model.finding import Finding
from tracer.report.cleared import Cleared, opened, ridge_height
from tracer.report.lettered import Words, together
from tracer.report.levels import MOST
from tracer.report.places import place_words
from tracer.report.trial import Trials
from tracer.report.words import in_all, said
from tracer.shop.bits import Bit, Straight

SHOWN = 0.05
"""mm^2 of uncut wood in one place below which nobody sees it (our own choice)."""

STRAIGHTS = tuple(Straight(MM_PER_INCH * share) for share in (1 / 16, 1 / 8, 1 / 4, 1 / 2))
"""Straight bits that are commonly sold (common practice, no source)."""

LITTLE = 0.03
"""Share of the ground that a bit may leave uncut to be worth buying for it (our own choice)."""

SQUARE_INCH = MM_PER_INCH**2


def about_clearing(trials: Trials, cleared: Sequence[Cleared]) -> Iterator[Finding]:
    """Say of each piece's letters, and of each ground, what clearing it takes and what stays uncut."""
    groups: dict[tuple[bool, Words | None, int], list[Cleared]] = {}
    for k, one in enumerate(cleared):
        if one.ground.reached.is_empty:
            continue  # that nothing can be cut there is said of the edges
        words = trials.letters.words_at(one.ground.edges)
        alone = -1 if words is not None and not one.ground.raised else k
        groups.setdefault((one.ground.raised, words, alone), []).append(one)
    for group in groups.values():
        yield _told(trials, group)
        yield from _ridges(trials, group)


def _told(trials: Trials, group: Sequence[Cleared]) -> Finding:
    units = trials.job.units
    left = _uncut(group)
    area, uncut = sum(one.ground.wanted.area for one in group), sum(part.area for part, _ in left)
    rings = tuple(ring for one in group for ring in one.rings)
    largest = max(left, key=lambda one: one[0].area, default=None)
    stays = ""
    if largest is not None:
        part, owner = largest
        names = [] if owner.ground.raised else trials.letters.of(owner.ground.edges)
        place = (float(part.representative_point().x), float(part.representative_point().y))
        stays = (
            f" {_areas(uncut, units)}, {_share(uncut / area)}, stays uncut in {len(left)} corners and narrow "
            f"places, the largest {place_words(trials.layout, place)}"
            f"{' in ' + together(names) if names else ''}: the bit does not get in. Take a knife or a chisel."
        )
    where = None if largest is None else place
    return Finding(
        check="clearing",
        severity="note",
        message=f"{_whereabouts(group, units)}: {_areas(area, units)}, {_ways(group, units)}.{stays}",
        strokes=tuple(ring.number for ring in rings),
        where=where,
        measured=None,
        remedy=_bits(trials, group),
        cost=sum(ring.length for ring in rings),
    )


def _whereabouts(group: Sequence[Cleared], units: Units) -> str:
    ground = group[0].ground
    if not ground.raised:
        return "The letters are cleared to their edges"
    if ground.surround is None:
        return "The ground round the letters is cleared as far as the border"
    return (
        f"The ground is cleared {both(ground.surround, units)} round the letters, as far as the board goes "
        "(put a border round them to have it end there)"
    )


def _ways(group: Sequence[Cleared], units: Units) -> str:
    """Say how many rings there are, how long, and how far apart."""
    rings = [ring for one in group for ring in one.rings]
    if not rings:
        return "which the tracks along the edges take with them"
    steps = [step for one in group for step in one.steps]
    low, high = min(steps), max(steps)
    apart = both(high, units) if high - low < 0.01 else f"{both(low, units)} to {both(high, units)}"
    many = "one ring" if len(rings) == 1 else f"{len(rings)} rings"
    full = " and still not all of it: the bit is too narrow for so much" if _short(group) else ""
    length = in_all(sum(ring.length for ring in rings), units)
    between = "so that no wood stands between" if not full else "each as near to the next as it must be"
    beside = f"in {many} beside the tracks along the edges, {length} in all"
    return f"{beside}, {apart} from track to track, {between}{full}"


def _short(group: Sequence[Cleared]) -> bool:
    return any(len(set(one.steps)) and len(one.rings) >= MOST for one in group)


def _uncut(group: Sequence[Cleared]) -> list[tuple[Any, Cleared]]:
    """Return the places that stay uncut and that can be seen, with the ground of each."""
    import shapely

    return [
        (part, one)
        for one in group
        for part in shapely.get_parts(one.ground.wanted.difference(one.ground.reached))
        if part.area > SHOWN
    ]


def _bits(trials: Trials, group: Sequence[Cleared]) -> str:
    """Say what each of the bits at hand would leave, and which one is worth buying where none is flat."""
    job = trials.job
    told = [f"“{name}” {_leaves(bit, group)}" for name, bit in job.bits]
    flat = [bit for _, bit in [*job.bits, ("", job.bit)] if not bit.width_follows_depth]
    ways = [f"Of your bits {'; '.join(told)}."] if told else []
    if not flat:
        buy = [bit for bit in STRAIGHTS if _left_by(bit, group) <= LITTLE]
        if buy:
            widest = max(buy, key=lambda bit: bit.diameter)
            ways.append(f"A straight bit {both(widest.diameter, job.units)} across {_leaves(widest, group)}.")
    return " ".join(ways)


def _leaves(bit: Bit, group: Sequence[Cleared]) -> str:
    try:
        share = _left_by(bit, group)
    except BitError:
        return "does not go so deep"
    ground = ", and ridges on the ground" if bit.width_follows_depth else ""
    return f"leaves {_share(share)} uncut{ground}"


def _left_by(bit: Bit, group: Sequence[Cleared]) -> float:
    """Return which share of the ground a bit does not reach."""
    half = bit.width_at(group[0].stop.depth) / 2
    wanted = [one.ground.wanted for one in group]
    reached = sum(float(opened(area, half).intersection(area).area) for area in wanted)
    whole = sum(float(area.area) for area in wanted)
    return max(0.0, 1 - reached / whole) if whole else 0.0


def _ridges(trials: Trials, group: Sequence[Cleared]) -> Iterator[Finding]:
    """Say how high ridges stand that a bit without a flat leaves."""
    job, stop = trials.job, group[0].stop
    steps = [step for one in group for step in one.steps]
    if not job.bit.width_follows_depth or not steps:
        return
    high = ridge_height(job.bit, stop.depth, min(max(steps), 0.9 * group[0].swept))
    yield Finding(
        check="ground in ridges",
        severity="risk",
        message=(
            f"The {job.bit.name} has no flat to clear with: between its tracks ridges up to "
            f"{said(high, job.units)} high stay on the ground, which is {both(stop.depth, job.units)} deep."
        ),
        strokes=tuple(ring.number for one in group for ring in one.rings),
        measured=high,
        limit=0.0,
        remedy="Clear with a straight bit, or scrape the ground flat.",
        cost=0.0,
    )


def _areas(square_mm: float, units: Units) -> str:
    metric = f"{square_mm / 100:.3g} square cm" if square_mm >= 100 else f"{square_mm:.2g} square mm"
    imperial = f"{square_mm / SQUARE_INCH:.2g} square in"
    return f"{imperial} ({metric})" if units == "in" else f"{metric} ({imperial})"


def _share(share: float) -> str:
    return (
        f"{share:.0%}"
        if share >= 0.095 or share == 0
        else f"{share:.1%}"
        if share >= 0.0005
        else "next to nothing"
    )
