"""Where wood goes beside the edges of solids: grooves there may run together, and nothing is lost."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Side
from tracer.report.samples import Samples

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Solid:
    """A solid whose edges are moved to one side.

    `area` is a shapely polygon, wood mm; `numbers` are the strokes that lie beside its edges, `half` is
    half their groove. "inside", the solid goes; "outside", it stands. `holes` are those of the strokes that
    lie beside edges of holes in it.
    """

    area: Any
    side: Side
    half: float
    numbers: tuple[int, ...]
    holes: frozenset[int] = frozenset()


@dataclass(frozen=True, eq=False)
class Waste:
    """All solids with moved edges, and the areas (shapely, wood mm) of which all wood goes."""

    solids: tuple[Solid, ...] = ()
    cleared: tuple[Any, ...] = ()

    @cached_property
    def sides(self) -> Mapping[int, Side]:
        """The side of each stroke that lies beside an edge."""
        return {number: solid.side for solid in self.solids for number in solid.numbers}

    @cached_property
    def feeds(self) -> Mapping[int, Side]:
        """On which side of its edge each stroke lies: of a hole's, on the other than the solid's."""
        other: dict[Side, Side] = {"inside": "outside", "outside": "inside"}
        return {
            number: other[solid.side] if number in solid.holes else solid.side
            for solid in self.solids
            for number in solid.numbers
        }

    @cached_property
    def _areas(self) -> Mapping[Side, Any]:
        import shapely

        kinds: tuple[Side, ...] = ("inside", "outside")
        areas = {side: [solid.area for solid in self.solids if solid.side == side] for side in kinds}
        whole = {side: shapely.unary_union(own) for side, own in areas.items()}
        shapely.prepare(list(whole.values()))
        return whole

    def wanted(self, numbers: Ints, samples: Samples, i: Ints, j: Ints, *, merged: Bools) -> Bools:
        """Say which pairs of samples i, j (m,) run together where the wood goes, or part cleared ground.

        `numbers` are those of the strokes that were sampled; `merged` (m,) says which grooves run together.
        """
        middles = (samples.points[i] + samples.points[j]) / 2
        gone = self._between(numbers[samples.stroke[i]], numbers[samples.stroke[j]], middles)
        near = np.zeros(len(samples.points) + 2, bool)
        for step in (-1, 0, 1):
            near[np.concatenate([i[gone & merged], j[gone & merged]]) + step] = True
        return (gone & (near[i] | near[j])) | self.clears(middles)

    def clears(self, places: Array) -> Bools:
        """Say of places (m, 2), wood mm, whether they are cleared."""
        import shapely

        within = np.zeros(len(places), bool)
        for area in self.cleared:
            within |= shapely.contains_xy(area, places[:, 0], places[:, 1])
        return within

    def _between(self, a: Ints, b: Ints, middles: Array) -> Bools:
        """Say of the wood at `middles` (m, 2) between strokes a and b (m,) of each pair whether it goes."""
        gone = np.zeros(len(middles), bool)
        if not self.solids:
            return gone
        kinds: tuple[Side, ...] = ("inside", "outside")
        for side in kinds:
            own = [number for number, one in self.sides.items() if one == side]
            both = np.flatnonzero(np.isin(a, own) & np.isin(b, own))
            gone[both] = self._goes(side, middles[both])
        return gone

    def goes(self, strokes: Iterable[int], place: tuple[float, float]) -> Side | None:
        """Return the side of strokes that all lie beside edges, where the wood at a place goes."""
        sides = {self.sides.get(number) for number in strokes}
        side = sides.pop() if len(sides) == 1 else None
        return side if side is not None and self._goes(side, np.array([place]))[0] else None

    def shift(self, number: int, place: tuple[float, float]) -> int:
        """Say how the groove of a stroke moves against the wood at a place as it becomes narrower.

        0, as that of a line: half of it lies towards the wood. -1, beside an edge that the wood ends at:
        it lies beyond, and the wood stays as it is; 1, in the waste: all of it comes off the wood.
        """
        side = self.sides.get(number)
        if side is None:
            return 0
        return 1 if self._goes(side, np.array([place]))[0] else -1

    def _goes(self, side: Side, places: Array) -> Bools:
        import shapely

        within: Bools = shapely.contains_xy(self._areas[side], places[:, 0], places[:, 1])
        return within if side == "inside" else ~within
