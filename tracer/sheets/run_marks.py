"""The marks of runs on and beside the track: dashes, arrows, starts, lifts and numbers. Template mm."""

from collections.abc import Sequence
from functools import lru_cache
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from tracer.sheets import marks
from tracer.sheets.labels import Spot, place
from tracer.sheets.pdf import Pdf
from tracer.sheets.track import RING, Box, Track, Way

Array = NDArray[np.float64]

_REACH = 3.0
"""mm by which a mark may reach over its own place."""

_FREE = 0.3
"""mm left free round marks."""


def draw_ways(pdf: Pdf, track: Track, view: Box) -> None:
    """Draw dashes where runs go back, their arrows and their ends."""
    boxes, dashes = track.dashes
    for points, hop in compress(dashes, _shown(boxes, view)):
        (marks.draw_hop if hop else marks.draw_again)(pdf, points)
    marks.draw_arrows(pdf, track.arrows[_shown(_boxes(track.arrows[:, :2]), view)])
    for way in compress(track.ways, _shown(_boxes([way.end for way in track.ways]), view)):
        marks.draw_lift(pdf, way.end)
    for way in compress(track.ways, _shown(_boxes([way.start for way in track.ways]), view)):
        marks.draw_start(pdf, way.start, way.stop, radius=way.dot, hollow=way.open)


def _boxes(places: Array | Sequence[Array]) -> Array:
    """Return the boxes (n, 4) that places (2,) alone fill."""
    return np.tile(np.array(places).reshape(-1, 2), 2)


def _shown(boxes: Array, view: Box) -> NDArray[np.bool_]:
    """Say which of `boxes` (n, 4) touch a view, marks at their edges included."""
    low, high = np.array(view[:2]) - _REACH, np.array(view[2:]) + _REACH
    return np.asarray(((boxes[:, :2] <= high) & (boxes[:, 2:] >= low)).all(axis=1))


def run_numbers(pdf: Pdf, track: Track, room: Box, closed: Array | None = None) -> tuple[Spot | None, ...]:
    """Return the places for a track's runs' numbers in a room, clear of the boxes `closed` (n, 4) in it."""
    ways = track.ways
    starts = np.array([way.start for way in ways]).reshape(-1, 2)
    sizes = [marks.number_size(pdf, way.number) for way in ways]
    taken = marks_taken(track) if closed is None else np.vstack([marks_taken(track), closed])
    return place(starts, sizes, lines=track.busy, clear=RING + 0.4, room=room, taken=taken)


@lru_cache(maxsize=2)
def marks_taken(track: Track) -> Array:
    """Return the boxes (n, 4) of starts, lifts and arrows, a little larger than they are drawn."""
    ends = [(way.start, way.dot * (1.25 if way.open else 1.0) + _FREE) for way in track.ways]
    ends += [(way.end, RING + _FREE) for way in track.ways]
    boxes = [np.concatenate([place - reach, place + reach])[None] for place, reach in ends]
    return np.concatenate([*boxes, marks.arrow_boxes(track.arrows) + _FREE * np.array([-1, -1, 1, 1])])


def draw_numbers(pdf: Pdf, ways: tuple[Way, ...], spots: tuple[Spot | None, ...], view: Box) -> None:
    """Write each run's number, tied to its dot where it stands far off."""
    found = [(way, spot) for way, spot in zip(ways, spots, strict=True) if spot is not None]
    for way, spot in found:
        if spot.leader and meet(_around(way.start, spot), view):
            marks.draw_leader(pdf, way.start, (spot.x, spot.y))
    for way, spot in found:
        if within(spot.box, view):
            marks.draw_number(pdf, way.number, spot.box)


def _around(start: Array, spot: Spot) -> Box:
    """Return the box round a leader."""
    (x0, y0), (x1, y1) = np.sort([start, (spot.x, spot.y)], axis=0).tolist()
    return x0, y0, x1, y1


def within(box: Box, view: Box) -> bool:
    """Say whether a view shows a box whole: half a number would be another."""
    return view[0] <= box[0] and view[1] <= box[1] and box[2] <= view[2] and box[3] <= view[3]


def meet(one: Box, other: Box) -> bool:
    """Say whether two boxes touch, marks at their edges included."""
    apart_x = one[2] < other[0] - _REACH or one[0] > other[2] + _REACH
    return not (apart_x or one[3] < other[1] - _REACH or one[1] > other[3] + _REACH)
