"""Junctions repaired: which arms are one line, and where the others end."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms, arms_of
from tracer.vector.ends import Ends, find_ends, tail_of
from tracer.vector.explain import Explanation
from tracer.vector.links import End, Links
from tracer.vector.network import Network
from tracer.vector.pairing import neighbours, paired
from tracer.vector.samples import SPACING, Samples
from tracer.vector.stems import ends_on_lines, meetings, blunt_tips, passing, tips, way_to
from tracer.vector.track import STEPS, Tracks, track

Array = NDArray[np.float64]

OVERSHOOT = 1.1
"""Line widths by which a line must pass another to end beyond it rather than on it."""


def link(ink: Ink, network: Network, samples: Sequence[Samples]) -> Links:
    """Decide at every junction which arms go on into one another and where the others end.

    Every arm is cut back to where it is clean and followed into the junction by the
    edges in sight. Two that run into one another are one line; the others end on
    such a line or in the point where they meet. Branches that are clean nowhere (the
    false bridge in a crossing, the false stem in a sharp tip, ragged edges) are kept
    only where they cover ink that nothing else does; repairs that leave the ink, or leave
    ink uncovered, are undone.
    """
    links = Links()
    arms = arms_of(network, samples)
    if arms.ends:
        _repair(ink, network, arms, links)
    Explanation(ink, network, samples, links).check()
    return links


def _repair(ink: Ink, network: Network, arms: Arms, links: Links) -> None:
    """Pair arms, then end those that are left."""
    tracks = track(ink, arms.start)
    ends = find_ends(ink, arms, tracks)
    i, j = neighbours(arms)
    near = list(zip(i.tolist(), j.tolist(), strict=True))
    links.cuts.update({end: int(cut) for end, cut in zip(arms.ends, arms.cuts, strict=True)})
    lines, tails = [], dict[int, Array]()
    left = set(np.flatnonzero(~arms.free).tolist())

    def join(one: int, other: int, way: Array) -> None:
        a, b = arms.ends[one], arms.ends[other]
        links.partner[a], links.partner[b] = b, a
        links.tails[a] = way
        left.difference_update({one, other})
        lines.append(passing(arms, (one, other), way))

    for pair in paired(arms, tracks, ends.through, i, j):
        join(pair.one, pair.other, pair.bridge)
    for one, other, way in tips(arms, tracks, ends.length, sorted(left), near):
        join(one, other, way)
    for one, other, way in blunt_tips(ink, arms, tracks, ends, sorted(left), near):
        join(one, other, way)
    for arm in sorted(left & set(np.flatnonzero(ends.through).tolist()), key=lambda arm: -ends.sure[arm]):
        width, length = arms.start.widths[arm], ends.length[arm]
        onto = ends_on_lines(arms, tracks, lines, [arm], near).get(arm)
        if onto is None or len(onto) * width / STEPS < length - OVERSHOOT * width:
            tails[arm] = tail_of(tracks.of(arm), length, width / STEPS)
            lines.append(passing(arms, (arm,), tails[arm]))
    tails |= ends_on_lines(arms, tracks, lines, sorted(left - set(tails)), near)
    tails |= meetings(arms, tracks, sorted(left - set(tails)), near)
    tails |= {arm: way_to(tracks.of(arm), _node(network, arms.ends[arm])) for arm in left - set(tails)}
    links.tails.update({arms.ends[arm]: tail for arm, tail in tails.items()})
    for arm in np.flatnonzero(arms.free).tolist():
        _end_freely(arms, tracks, ends, arm, links)


def _end_freely(arms: Arms, tracks: Tracks, ends: Ends, arm: int, links: Links) -> None:
    """End a free arm where the pen ended; one whose end is not in sight keeps its branch's."""
    end, length = arms.ends[arm], float(ends.length[arm])
    links.free.add(end)
    if np.isnan(length):
        links.cuts[end] = 0
    elif length < 0:
        kept = int(arms.kept[arm])
        links.cuts[end] += max(0, min(round(-length / SPACING), kept - 2))
    else:
        links.tails[end] = tail_of(tracks.of(arm), length, arms.start.widths[arm] / STEPS)


def _node(network: Network, end: End) -> Array:
    """Return the place of the node at a branch's end."""
    branch = network.branches[end[0]]
    return network.nodes[branch.a if end[1] == 0 else branch.b]
