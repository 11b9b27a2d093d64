"""What each of the user's bits would hold at a few depths, at the size asked for."""

import math
from collections.abc import Iterator
from dataclasses import replace

from tracer.job import Job
from tracer.lengths import MM_PER_INCH, Units
from tracer.model.sizes import Choice
from tracer.report.board_findings import LEAST_FLOOR
from tracer.report.looks import COARSE, Look, Looks
from tracer.shop.bits import Bit

DEPTHS: dict[Units, tuple[float, ...]] = {
    "mm": (1.0, 1.5, 2.0, 3.0),
    "in": tuple(MM_PER_INCH * share for share in (1 / 32, 1 / 16, 3 / 32, 1 / 8)),
}
"""mm; depths that are easily set, from the shallowest that shows to the usual one (common practice)."""

_NARROW = 1.0
"""mm; grooves narrower than this are sampled less densely, for speed."""

_WIDEST_SPACING = 0.9
"""Spacing in groove widths beyond which rings would leak."""

_NOISE = 1e-6


def find_choices(looks: Looks) -> tuple[Choice, ...]:
    """Return all choices of bit and depth, one depth stop each; the one that holds most is marked.

    Most is held where, to a hundredth, the greatest length of stroke is cut no wider than it may be;
    of those where the fewest grooves run together; then where the fewest places break; then the deepest.
    """
    found = [_choice(looks, name, bit, depth) for name, bit, depth in _options(looks.job)]
    best = max(found, key=_worth, default=None)
    return tuple(replace(choice, best=choice is best) for choice in found)


def _worth(choice: Choice) -> tuple[float, ...]:
    losses = choice.losses
    failing = losses.crumbling + losses.breaking
    return round(choice.length_held, 2), -losses.merged, -failing, choice.depth, -choice.groove


def _options(job: Job) -> Iterator[tuple[str, Bit, float]]:
    """Yield the user's bits and the job's own, each at the depths that it and the board bear."""
    bits = dict.fromkeys([*job.bits, *([] if job.bit in [bit for _, bit in job.bits] else [("", job.bit)])])
    floor = job.thickness - min(LEAST_FLOOR, job.thickness / 2)
    for name, bit in bits:
        deepest = min(floor, math.inf if bit.max_depth is None else bit.max_depth)
        own = [job.depth] if bit == job.bit else []
        near = [depth for depth in DEPTHS[job.units] if all(abs(depth - one) > _NOISE for one in own)]
        for depth in sorted([*own, *(depth for depth in near if depth <= deepest + _NOISE)]):
            yield name, bit, depth


def _choice(looks: Looks, name: str, bit: Bit, depth: float) -> Choice:
    job = replace(looks.job, bit=bit, depth=depth, stops=1, acts=replace(looks.job.acts, stops={}))
    spacing = min(_WIDEST_SPACING, COARSE * max(1.0, _NARROW / job.groove))
    look = looks.at(1.0, job, spacing=spacing)
    held, share = _held(looks, look)
    return Choice(name, bit, depth, job.groove, held, share, look.losses)


def _held(looks: Looks, look: Look) -> tuple[int, float]:
    """Return how many strokes are cut no wider than they may be, and their share of all length."""
    thin = set(look.thin)
    held = [stroke for stroke in look.cut.strokes if stroke.number not in thin]
    whole = float(looks.figure.lengths.sum())
    return len(held), sum(stroke.length for stroke in held) / whole if whole else float(bool(held))
