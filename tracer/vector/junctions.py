"""Junctions repaired: which arms are one line, and where the others end."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms, arms_of
from tracer.vector.ends import Ends, find_ends, tail_of
from tracer.vector.links import End, Links
from tracer.vector.network import Network
from tracer.vector.pairing import neighbours, paired
from tracer.vector.samples import SPACING, Samples
from tracer.vector.stems import ends_on_lines, meetings, passing, tips, way_to
from tracer.vector.track import STEPS, Tracks, track

Array = NDArray[np.float64]

LEAD = 1.5
"""Line widths over which a doubtful branch is led on to the line that it leaves."""

OVERSHOOT = 0.7
"""Line widths by which a line must pass another to end beyond it rather than on it."""

UNEXPLAINED = 0.12
"""Squared line widths of ink that no line covers, from which on a doubtful branch is a line."""


def link(ink: Ink, network: Network, samples: Sequence[Samples]) -> Links:
    """Decide at every junction which arms go on into one another and where the others end.

    Every arm is cut back to where it is clean and followed into the junction by the
    edges in sight. Two that run into one another are one line; the others end on
    such a line or in the point where they meet. Branches that are clean nowhere (the
    false bridge in a crossing, the false stem in a sharp tip, ragged edges) are kept
    only where they cover ink that nothing else does.
    """
    links = Links()
    arms = arms_of(network, samples)
    if arms.ends:
        _repair(ink, network, arms, links)
    _keep_what_covers(ink, network, samples, links)
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
    onto = ends_on_lines(arms, tracks, lines, sorted(left), near)
    for arm in sorted(left & set(np.flatnonzero(ends.through).tolist())):
        if arm in onto and len(onto[arm]) / STEPS * arms.start.widths[arm] > ends.length[arm] - OVERSHOOT * arms.start.widths[arm]:
            continue
        tails[arm] = tail_of(tracks.of(arm), ends.length[arm], arms.start.widths[arm] / STEPS)
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


def _keep_what_covers(ink: Ink, network: Network, samples: Sequence[Samples], links: Links) -> None:
    """Drop the branches that are clean nowhere, unless they cover ink that no line does.

    Those that stay are led on to the nearest line where they leave a junction.
    """
    degree = {node: len(ends) for node, ends in network.arms().items()}
    doubtful, courses, covered = [], list[Array](), np.zeros(ink.line.shape, np.uint8)
    for k, branch in enumerate(network.branches):
        ends = [(k, side) for side, node in enumerate((branch.a, branch.b)) if degree.get(node, 0) > 2]
        if ends and (k, 0) not in links.cuts:
            doubtful.append(k)
            continue
        courses.append(_course(samples[k], k, links))
        _cover(covered, courses[-1], samples[k].width)
    bare = (ink.line & (covered == 0)).astype(np.uint8)
    for k in sorted(doubtful, key=lambda k: -len(samples[k].points)):
        own = np.zeros_like(covered)
        _cover(own, samples[k].points, samples[k].width)
        gain = int(cv2.countNonZero(own & bare))
        if gain < UNEXPLAINED * samples[k].width ** 2:
            links.dropped.add(k)
        else:
            bare[own > 0] = 0
            _lead_on(network, samples[k], k, degree, courses, links)
            courses.append(_course(samples[k], k, links))


def _lead_on(
    network: Network, samples: Samples, k: int, degree: dict[int, int], courses: Sequence[Array], links: Links
) -> None:
    """Lead the ends of a branch that lie at junctions on to the nearest line."""
    branch = network.branches[k]
    for side, node in enumerate((branch.a, branch.b)):
        if degree[node] <= 2:
            links.free.add((k, side))
        elif courses:
            end, others = samples.points[-side], np.concatenate(courses)
            away = np.hypot(*(others - end).T)
            if away.min() < LEAD * samples.width:
                links.tails[k, side] = others[away.argmin()][None]


def _course(samples: Samples, k: int, links: Links) -> Array:
    """Return a branch with its tails."""
    start, end = (k, 0), (k, 1)
    points = samples.points[links.cuts.get(start, 0) : len(samples.points) - links.cuts.get(end, 0)]
    nothing = np.zeros((0, 2))
    return np.concatenate([links.tails.get(start, nothing)[::-1], points, links.tails.get(end, nothing)])


def _cover(mask: NDArray[np.uint8], points: Array, width: float) -> None:
    """Draw a line into a mask, a pixel wider than it is."""
    way = np.round(points * 16 - 8).astype(np.int32)
    cv2.polylines(mask, [way], isClosed=False, color=1, thickness=max(1, round(width + 1)), shift=4)
