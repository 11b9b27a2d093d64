"""A plan's lands and islands against the raster: what it missed, what it invented, what it measured wrong."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from report.raster_lands import ALLOWED, Places, near_places
from report.raster_wood import SLACK, SMALL, Body, Standing, Wood, bodies, standing_wood, wood_of
from scipy import ndimage

from tracer.model.plan import Island, Land, Plan
from tracer.shop.wood import least_land

NEAR = 0.6
"""mm from a land's place to the raster's nearest pair of places of the same width."""

AREA = 0.02
"""Largest relative error of an area."""

PIXEL_AREA = 0.01
"""mm^2; four pixels, that the raster may be off by itself."""


STRETCH = 0.4
"""mm; failing places with a gap of less than about two of it are one stretch."""


APART = 4.0
"""mm and two grooves' widths; failing places so far apart are lands of their own."""


@dataclass(frozen=True)
class Fault:
    """One disagreement: which check, what in numbers, where on the wood."""

    check: str
    what: str
    where: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Outside:
    """What the raster says of the grooves of a plan."""

    plan: Plan

    @cached_property
    def wood(self) -> Wood:
        return wood_of(self.plan.cut, {groove.stroke: groove.width for groove in self.plan.grooves})

    @cached_property
    def places(self) -> Places:
        job = self.plan.job
        grain = np.radians(job.grain_deg)
        fine, straight = np.linspace(0, np.pi, 721), job.bit.straight_walled
        rule = [
            least_land(job.wood, grain_angle=angle, depth=job.depth, straight_walled=straight)
            for angle in fine.tolist()
        ]
        return near_places(
            self.wood,
            self.plan.layout.joints,
            lambda a: np.interp((a - grain) % np.pi, fine, rule),
            max(rule),
        )

    @cached_property
    def standing(self) -> list[Standing]:
        return standing_wood(self.wood)

    @cached_property
    def bodies(self) -> tuple[list[Body], list[Body], list[Body]]:
        """With the grooves as they are, SLACK narrower and SLACK wider to either side."""
        return bodies(self.wood), bodies(self.wood, -SLACK), bodies(self.wood, SLACK)

    @cached_property
    def faults(self) -> list[Fault]:
        """All disagreements."""
        if not self.plan.cut:
            return []
        return [*self._lands(), *self._standing(), *self._enclosed(), *self._plunges()]

    def _lands(self) -> Iterator[Fault]:
        places, lands = self.places, self.plan.lands
        pairs = sorted({tuple(pair) for pair in places.pair.tolist()} | {land.strokes for land in lands})
        for pair in pairs:
            here = places.only((places.pair == pair).all(axis=1))
            said = [land for land in lands if land.strokes == pair]
            sure = here.only(here.sure)
            if len(sure.gap):
                worst = int(sure.gap.argmin())
                where = tuple(sure.where[worst].tolist())
                if not said:
                    yield Fault(
                        "land missed", f"{pair}: {sure.gap[worst]:.3f} < {sure.low[worst]:.2f}", where
                    )
                least = sure.only(sure.least)
                if said and len(least.gap) and min(land.width for land in said) > least.gap.min() + ALLOWED:
                    k = int(least.gap.argmin())
                    what = f"{pair}: {min(land.width for land in said):.3f}, raster {least.gap[k]:.3f}"
                    yield Fault("land not at its least", what, tuple(least.where[k].tolist()))
            failing = here.only(here.gap < here.low)
            if said and len(failing.gap):
                yield from _elsewhere(failing, said, 2 * self.wood.widths.max() + APART)
            yield from _twice(failing, said)
            for land in said:
                distance = np.hypot(*(here.where - land.where).T)
                near = distance < NEAR
                if not near.any():
                    yield Fault("land invented", f"{pair}: {land.width:.3f} < {land.limit:.2f}", land.where)
                elif (off := np.abs(here.gap[near] - land.width).min()) > ALLOWED:
                    what = f"{pair}: {land.width:.3f}, raster {here.gap[near].min():.3f}, off {off:.3f}"
                    yield Fault("land's width wrong", what, land.where)

    def _standing(self) -> Iterator[Fault]:
        said = [island for island in self.plan.islands if island.kind == "standing wood"]
        left = list(said)
        for one in self.standing:
            found = [island for island in left if self._holds(one, island)]
            if len(found) != 1:
                if one.sure:
                    what = f"area {one.area:.2f}, widest {one.widest:.3f}, found {len(found)}"
                    yield Fault("standing wood missed", what, one.where)
                left = [island for island in left if island not in found]
                continue
            left.remove(found[0])
            if one.sure:
                yield from _measures(one, found[0])
        for island in left:
            yield Fault("standing wood invented", f"{island.number}: {island.size}", island.where)

    def _holds(self, one: Standing, island: Island) -> bool:
        """Whether both are the same wood: the island's point lies in the component."""
        column, row = np.floor((np.array(island.where) - self.wood.corner) / 0.05).astype(int)
        labels = self._labels
        height, width = labels.shape
        if not (0 <= row < height and 0 <= column < width):
            return False
        c, r = np.floor((np.array(one.where) - self.wood.corner) / 0.05).astype(int)
        around = labels[max(row - 1, 0) : row + 2, max(column - 1, 0) : column + 2]
        return bool((around == labels[r, c]).any())

    @cached_property
    def _labels(self) -> np.ndarray:
        return ndimage.label(self.wood.clear > 0)[0]

    def _enclosed(self) -> Iterator[Fault]:
        said = {
            (frozenset(island.strokes), island.nesting)
            for island in self.plan.islands
            if island.kind == "enclosed strokes"
        }
        here, less, more = (
            {(body.strokes, body.nesting) for body in bodies if body.nesting} for bodies in self.bodies
        )
        for strokes, nesting in sorted(here & less & more - said, key=str):
            yield Fault(
                "enclosed strokes missed", f"{sorted(strokes)} nested {nesting}", self._place(strokes)
            )
        for strokes, nesting in sorted(said - (here | less | more), key=str):
            yield Fault(
                "enclosed strokes invented", f"{sorted(strokes)} nested {nesting}", self._place(strokes)
            )

    def _place(self, strokes: frozenset[int]) -> tuple[float, float]:
        first = next(stroke for stroke in self.plan.cut if stroke.number in strokes)
        x, y = first.curves[0, 0].tolist()
        return x, y

    def _plunges(self) -> Iterator[Fault]:
        """No run leaves a body: there are at least as many plunges as bodies, a hair's slack allowed."""
        least = len(self.bodies[2])
        if self.plan.totals.plunges_with_retracing < least:
            what = f"{self.plan.totals.plunges_with_retracing} with retracing, {least} bodies"
            yield Fault("too few plunges", what, (0.0, 0.0))


def _stretches(places: Places, cell: float) -> np.ndarray:
    """Label (m,) places that lie together, on a grid of `cell` mm."""
    cells = np.floor((places.where - places.where.min(axis=0)) / cell).astype(int)
    grid = np.zeros(cells.max(axis=0) + 1, dtype=bool)
    grid[tuple(cells.T)] = True
    labels: np.ndarray = ndimage.label(grid, structure=np.ones((3, 3)))[0][tuple(cells.T)]
    return labels


def _elsewhere(failing: Places, said: list[Land], cell: float) -> Iterator[Fault]:
    """Say where the same two strokes fail for sure, far from all their lands."""
    labels = _stretches(failing, cell)
    known = {labels[np.hypot(*(failing.where - land.where).T).argmin()] for land in said}
    for label in set(labels[failing.sure].tolist()) - known:
        here = failing.only((labels == label) & failing.sure)
        k = int(here.gap.argmin())
        what = f"{said[0].strokes}, another place: {here.gap[k]:.3f} < {here.low[k]:.2f}"
        yield Fault("land missed", what, tuple(here.where[k].tolist()))


def _twice(failing: Places, said: list[Land]) -> Iterator[Fault]:
    """Say which lands of two strokes lie in one stretch under the rule."""
    if len(said) < 2 or not len(failing.gap):
        return
    labels = _stretches(failing, STRETCH)
    stretches = [labels[np.hypot(*(failing.where - land.where).T).argmin()] for land in said]
    for index, land in enumerate(said):
        if (before := stretches.index(stretches[index])) != index:
            what = f"{land.strokes}: {land.width:.3f} and {said[before].width:.3f}"
            yield Fault("land said twice", what, land.where)


def _measures(one: Standing, island: Island) -> Iterator[Fault]:
    """Compare sizes, where the island tells them."""
    widest, area = getattr(island, "widest", None), getattr(island, "area", None)
    if widest is not None and one.widest > SMALL and abs(widest - one.widest) > ALLOWED:
        yield Fault("widest wrong", f"{widest:.3f}, raster {one.widest:.3f}", one.where)
    if area is not None and one.area > SMALL and abs(area - one.area) > AREA * one.area + PIXEL_AREA:
        yield Fault("area wrong", f"{area:.3f}, raster {one.area:.3f}", one.where)
