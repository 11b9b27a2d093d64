"""Edges that are moved together to one side of a solid, and what became of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tracer.acts import Side
from tracer.model.drawing import Stroke


@dataclass(frozen=True, eq=False)
class Edges:
    """The edges that bound one area and are moved together, `half` a groove to one side; wood mm.

    The track lies `within` the area or round it; `side` is meant for the `solid`, and differs from
    that where the area is a hole in it. `holes` are the numbers of edges round holes.
    """

    strokes: tuple[Stroke, ...]
    solid: Any
    area: Any
    half: float
    within: bool
    side: Side
    holes: frozenset[int] = frozenset()


@dataclass(frozen=True, eq=False)
class Moved:
    """What became of edges: their tracks, further rings, and the numbers of those that have none.

    `made_of` says of each further ring along which edge it goes.
    """

    tracks: tuple[Stroke, ...]
    more: tuple[Stroke, ...]
    gone: tuple[int, ...]
    made_of: Mapping[int, int]
