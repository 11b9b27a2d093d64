"""Edges that are moved together to one side of a solid, and what became of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tracer.acts import Side
from tracer.model.drawing import Stroke


@dataclass(frozen=True, eq=False)
class Edges:
    """The edges that bound one area and are moved together, `half` a groove to one side; wood mm.

    The track lies `within` the area or round it; `side` is meant for the `solid`, and differs from
    that where the area is a hole in it. `holes` are the numbers of edges round holes; `clear`: all of
    the wood on that side goes.
    """

    strokes: tuple[Stroke, ...]
    solid: Any
    area: Any
    half: float
    within: bool
    side: Side
    holes: frozenset[int] = frozenset()
    clear: bool = False

    @property
    def numbers(self) -> tuple[int, ...]:
        """Those of the strokes."""
        return tuple(stroke.number for stroke in self.strokes)


def merged(all_edges: Sequence[Edges]) -> list[Edges]:
    """Return the edges with those of standing solids made one that are too near for a groove each between.

    A groove round one of them alone would bite into the next.
    """
    found: list[Edges] = []
    for edges in all_edges:
        if not edges.within and edges.area is edges.solid:
            near = [one for one in found if _too_near(one, edges)]
            found = [*(one for one in found if one not in near), _as_one([*near, edges])]
        else:
            found.append(edges)
    return found


def _too_near(one: Edges, other: Edges) -> bool:
    alike = not one.within and one.area is one.solid and one.half == other.half
    return alike and bool(one.solid.distance(other.solid) < 2 * one.half)


def _as_one(several: Sequence[Edges]) -> Edges:
    import shapely

    if len(several) == 1:
        return several[0]
    solid = shapely.unary_union([edges.solid for edges in several])
    return replace(
        several[0],
        strokes=tuple(stroke for edges in several for stroke in edges.strokes),
        solid=solid,
        area=solid,
        holes=frozenset[int]().union(*(edges.holes for edges in several)),
        clear=any(edges.clear for edges in several),
    )


@dataclass(frozen=True, eq=False)
class Moved:
    """What became of edges: their tracks, further rings, and the numbers of those that have none.

    `made_of` says of each further ring along which edge it goes.
    """

    tracks: tuple[Stroke, ...]
    more: tuple[Stroke, ...]
    gone: tuple[int, ...]
    made_of: Mapping[int, int]
