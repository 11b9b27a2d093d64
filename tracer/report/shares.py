"""What of each stroke is cut in which set-up: whole strokes, or pieces that go under numbers of their own.

Runs are found for the pieces of one set-up as if there were no others, and then told as
stretches of the strokes that the pieces are of. All wood mm.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.model.drawing import Joint, Stroke
from tracer.model.plan import Leg, Run
from tracer.report.links import Links, knots
from tracer.report.network import Network

Ints = NDArray[np.intp]

_SAME = 1e-6
"""Of places on a stroke's chain: closer ones are one."""


@dataclass(frozen=True)
class _Stretch:
    """From `start` to `end` on a stroke's chain, cut in set-up `share`; `end` may pass a closed one's."""

    share: int
    start: float
    end: float


@dataclass(frozen=True, eq=False)
class Share:
    """What is cut in one set-up.

    Attributes
    ----------
    strokes : whole ones under their own numbers, pieces under new ones.
    joints : where these meet.
    pieces : of each piece's number, the stroke that it is of, and the place on it of each cubic's ends.
    """

    strokes: tuple[Stroke, ...]
    joints: tuple[Joint, ...]
    pieces: Mapping[int, tuple[Stroke, NDArray[np.float64]]] = field(default_factory=dict)

    def stroke_of(self, number: int) -> int:
        """Return the number of the stroke that a piece is of; a whole stroke's own."""
        return self.pieces[number][0].number if number in self.pieces else number

    def told(self, run: Run) -> Run:
        """Return a run along pieces as one along the strokes that they are of."""
        return replace(run, legs=tuple(self._told(leg) for leg in run.legs))

    def _told(self, leg: Leg) -> Leg:
        if leg.stroke not in self.pieces:
            return leg
        stroke, places = self.pieces[leg.stroke]
        start, end = np.interp([leg.start, leg.end], np.arange(len(places)), places).tolist()
        turn = len(stroke.curves) if min(start, end) >= len(stroke.curves) else 0
        return replace(leg, stroke=stroke.number, start=start - turn, end=end - turn)


def shares_of(network: Network, links: Links, share: Ints, joints: Iterable[Joint]) -> tuple[Share, ...]:
    """Return what is cut in each set-up, by the set-up (from 0) of each link (m,).

    Links, nodes and joints are of the same strokes.
    """
    strokes = {edge.stroke.number: edge.stroke for edge in network.edges}
    stretches = _stretches(network, links, share)
    following = 1 + max(strokes, default=0)
    count = int(share.max(initial=-1)) + 1
    held: list[list[Stroke]] = [[] for _ in range(count)]
    pieces: list[dict[int, tuple[Stroke, NDArray[np.float64]]]] = [{} for _ in range(count)]
    of: dict[int, list[tuple[int, _Stretch]]] = {}
    for number, stroke in strokes.items():
        found = stretches[number]
        if len(found) == 1:
            held[found[0].share].append(stroke)
            of[number] = [(number, found[0])]
            continue
        of[number] = list(enumerate(found, start=following))
        following += len(found)
        for piece, one in of[number]:
            held[one.share].append(_piece(stroke, piece, one))
            pieces[one.share][piece] = stroke, knots(one.start, one.end)
    met = _met(joints, strokes, of, count)
    return tuple(
        Share(tuple(own), tuple(where), told) for own, where, told in zip(held, met, pieces, strict=True)
    )


def _stretches(network: Network, links: Links, share: Ints) -> dict[int, list[_Stretch]]:
    """Return the stretches of each stroke, by its number, as long as they can be."""
    first = np.flatnonzero(np.append(True, (np.diff(links.edge) != 0) | (np.diff(share) != 0)))
    last = np.append(first[1:], len(share)) - 1
    found: dict[int, list[_Stretch]] = {}
    rows = zip(
        *(a.tolist() for a in (links.edge[first], share[first], links.start[first], links.end[last])),
        strict=True,
    )
    for edge, own, start, end in rows:
        found.setdefault(network.edges[edge].stroke.number, []).append(_Stretch(own, start, end))
    closed = {edge.stroke.number: edge.stroke.closed for edge in network.edges}
    counts = {edge.stroke.number: len(edge.stroke.curves) for edge in network.edges}
    return {n: _longest(some, counts[n] if closed[n] else 0) for n, some in found.items()}


def _longest(stretches: Sequence[_Stretch], lap: int) -> list[_Stretch]:
    """Join stretches of one set-up that follow one another; round a closed stroke, of `lap` cubics, too."""
    ordered = sorted(stretches, key=lambda one: one.start)
    joined = ordered[:1]
    for one, following in pairwise(ordered):
        if one.share == following.share:
            joined[-1] = replace(joined[-1], end=following.end)
        else:
            joined.append(following)
    if lap and len(joined) > 1 and joined[0].share == joined[-1].share:
        joined = [*joined[1:-1], replace(joined[-1], end=joined[0].end + lap)]
    return [_within(one, lap) for one in joined]


def _within(one: _Stretch, lap: int) -> _Stretch:
    return replace(one, start=one.start - lap, end=one.end - lap) if lap and one.start >= lap else one


def _piece(stroke: Stroke, number: int, one: _Stretch) -> Stroke:
    count = float(len(stroke.curves))
    curves = bezier.between(stroke.curves, one.start, min(one.end, count))
    if one.end > count:
        curves = np.concatenate([curves, bezier.between(stroke.curves, 0.0, one.end - count)])
    return replace(stroke, number=number, curves=curves, closed=False, widths=None)


def _met(
    joints: Iterable[Joint],
    strokes: Mapping[int, Stroke],
    of: Mapping[int, Sequence[tuple[int, _Stretch]]],
    count: int,
) -> list[list[Joint]]:
    """Return the joints among what is cut in each set-up; a piece that ends at one is of it."""
    found: list[list[Joint]] = [[] for _ in range(count)]
    for joint in joints:
        members: dict[int, list[tuple[int, float]]] = {}
        for number, t in joint.members:
            for piece, one in of.get(number, ()):
                if piece == number:
                    members.setdefault(one.share, []).append((number, t))
                    continue
                lap = len(strokes[number].curves) if strokes[number].closed else 0
                for place in {t, t + lap, t - lap}:
                    if one.start - _SAME <= place <= one.end + _SAME:
                        places = knots(one.start, one.end)
                        on_piece = float(np.interp(place, places, np.arange(len(places))))
                        members.setdefault(one.share, []).append((piece, on_piece))
        for share, some in members.items():
            if len(some) > 1:
                found[share].append(Joint(joint.point, tuple(some)))
    return found
