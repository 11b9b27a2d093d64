"""Branches put together as strokes, the way their junctions were repaired."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.vector.links import End, Links
from tracer.vector.network import LOOP, Network
from tracer.vector.samples import Samples, median

Array = NDArray[np.float64]


def follow(network: Network, samples: Sequence[Samples], links: Links) -> list[tuple[Samples, bool, bool]]:
    """Return the strokes that the links make of the branches.

    Each is (samples, its start is free, its end is free): a free end is one that
    lies in no junction.
    """
    done = set(links.dropped)
    strokes = []
    for k in range(len(samples)):
        if k in done:
            continue
        first, loop = _first_end(k, links)
        chain, end = [], first
        while True:
            done.add(end[0])
            chain.append(end)
            onward = links.partner.get((end[0], 1 - end[1]))
            if onward is None or onward == first:
                break
            end = onward
        strokes.append(_chained(chain, samples, links, closed=loop or network.branches[k].a == LOOP))
    width = median(np.array([line.width for line in samples])) if links.more else 0.0
    for points, free_start, free_end in links.more:
        closed = bool((points[0] == points[-1]).all())
        line = Samples(points, np.full(len(points), width), np.zeros(len(points), bool), closed)
        strokes.append((line, free_start, free_end))
    return strokes


def _first_end(k: int, links: Links) -> tuple[End, bool]:
    """Go back from a branch to the end where its line begins; True where it comes round."""
    end = (k, 0)
    while (before := links.partner.get(end)) is not None:
        end = (before[0], 1 - before[1])
        if end == (k, 0):
            return end, True
    return end, False


def _chained(
    chain: list[End], samples: Sequence[Samples], links: Links, *, closed: bool
) -> tuple[Samples, bool, bool]:
    """Put branches, bridges and tails one after the other."""
    pieces: list[Samples] = []
    for position, (k, side) in enumerate(chain):
        begin, finish = (k, side), (k, 1 - side)
        body = samples[k] if side == 0 else samples[k].reversed()
        if links.cuts.get(begin, 0) or links.cuts.get(finish, 0):
            body = body.part(links.cuts.get(begin, 0), len(body.points) - links.cuts.get(finish, 0))
        if position == 0 and not closed and begin in links.tails:
            pieces.append(_bare(links.tails[begin][::-1], body))
        pieces.append(body)
        onward = links.partner.get(finish)
        if finish in links.tails:
            pieces.append(_bare(links.tails[finish], body))
        elif onward is not None and onward in links.tails:
            pieces.append(_bare(links.tails[onward][::-1], body))
    points = np.concatenate([p.points for p in pieces])
    widths, clean = (np.concatenate([getattr(p, name) for p in pieces]) for name in ("widths", "clean"))
    if closed and np.hypot(*(points[0] - points[-1])) > 0:
        points, widths, clean = (np.concatenate([x, x[:1]]) for x in (points, widths, clean))
    start, end = chain[0], (chain[-1][0], 1 - chain[-1][1])
    return Samples(points, widths, clean, closed), start in links.free, end in links.free


def _bare(points: Array, body: Samples) -> Samples:
    """Return points that were not measured, with their line's width."""
    return Samples(points, np.full(len(points), body.width), np.zeros(len(points), bool), closed=False)
