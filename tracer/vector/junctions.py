"""Junctions repaired: which arms are one line, and where the others end."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Ink
from tracer.vector.arms import Arms, arms_of
from tracer.vector.ends import find_ends
from tracer.vector.explain import Explanation
from tracer.vector.links import End, Links
from tracer.vector.network import Network
from tracer.vector.pairing import neighbours, paired
from tracer.vector.samples import SPACING, Samples
from tracer.vector.sight import THINNEST, look_again, pen_of
from tracer.vector.stems import Line, Scene, blunt_tips, ends_on_lines, meetings, passing, tips, way_to
from tracer.vector.track import STEPS, track

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
        pen = pen_of(samples)
        if pen > THINNEST * ink.zoom:
            look_again(ink, network, samples, links, pen)
    Explanation(ink, network, samples, links).check()
    return links


def _repair(ink: Ink, network: Network, arms: Arms, links: Links) -> None:
    """Pair arms, then end those that are left."""
    tracks = track(ink, arms.start)
    ends = find_ends(ink, arms, tracks)
    i, j = neighbours(arms)
    scene = Scene(ink, arms, tracks, ends, list(zip(i.tolist(), j.tolist(), strict=True)))
    links.cuts.update({end: int(cut) for end, cut in zip(arms.ends, arms.cuts, strict=True)})
    left = set(np.flatnonzero(~arms.free).tolist())
    lines: list[Line] = []

    def join(one: int, other: int, way: Array) -> None:
        a, b = arms.ends[one], arms.ends[other]
        links.partner[a], links.partner[b] = b, a
        links.tails[a] = way
        left.difference_update({one, other})
        lines.append(passing(arms, (one, other), way))

    for pair in paired(arms, tracks, ends, i, j):
        join(pair.one, pair.other, pair.bridge)
    for find in (tips, blunt_tips):
        for one, other, way in find(scene, sorted(left)):
            join(one, other, way)
    tails = _end_beyond(scene, lines, sorted(left))
    links.free.update(arms.ends[arm] for arm in tails)
    tails |= ends_on_lines(scene, lines, sorted(left - set(tails)))
    tails |= meetings(scene, sorted(left - set(tails)))
    tails |= {arm: way_to(tracks.of(arm), _node(network, arms.ends[arm])) for arm in left - set(tails)}
    links.tails.update({arms.ends[arm]: tail for arm, tail in tails.items()})
    for arm in np.flatnonzero(arms.free).tolist():
        _end_freely(scene, arm, links)


def _end_beyond(scene: Scene, lines: list[Line], left: Sequence[int]) -> dict[int, Array]:
    """Return the tails of lines that pass their junction and end beyond it; they join the passing `lines`.

    Those whose end is best in sight come first: others may end on them.
    """
    tails = {}
    through = [arm for arm in left if scene.ends.through[arm]]
    for arm in sorted(through, key=lambda arm: -scene.ends.sure[arm]):
        width, length = scene.width(arm), scene.ends.length[arm]
        onto = ends_on_lines(scene, lines, [arm]).get(arm)
        if onto is None or len(onto) * width / STEPS < length - OVERSHOOT * width:
            tails[arm] = scene.tail(arm)
            lines.append(passing(scene.arms, (arm,), tails[arm]))
    return tails


def _end_freely(scene: Scene, arm: int, links: Links) -> None:
    """End a free arm where the pen ended; one whose end is not in sight keeps its branch's."""
    end, length = scene.arms.ends[arm], float(scene.ends.length[arm])
    links.free.add(end)
    if np.isnan(length):
        links.cuts[end] = 0
    elif length < 0:
        other = end[0], 1 - end[1]
        kept = int(scene.arms.kept[arm] + scene.arms.cuts[scene.arms.ends.index(other)]) - links.cuts[other]
        links.cuts[end] += max(0, min(round(-length / SPACING), kept - 2))
    else:
        links.tails[end] = scene.tail(arm)


def _node(network: Network, end: End) -> Array:
    """Return the place of the node at a branch's end."""
    branch = network.branches[end[0]]
    return network.nodes[branch.a if end[1] == 0 else branch.b]
