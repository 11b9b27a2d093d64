"""Ten hard drawings: what can be worked out by hand of each, and the raster's word on all.

The groove is the usual 60 degree V at 1/16 in: 2 x 1.5875 x tan 30 = 1.833 mm; pine asks for 3 mm along the
grain (which lies along the width) and 4.7625 mm across it. All facts are derived [D]; odd points by Euler's
theorem on trails [S20].
"""

import math
from collections import Counter
from functools import cache
from itertools import pairwise

import pytest
from report import hard_drawings
from report.against_raster import Outside

from tracer.job import Job
from tracer.model.plan import Plan
from tracer.report.build import build_plan

GROOVE = 2 * 25.4 / 16 * math.tan(math.radians(30))
ACROSS = 25.4 * 3 / 16


@cache
def plan_of(name: str) -> Plan:
    job = Job()
    return build_plan(hard_drawings.layout(name, job), job)


def plunges(name: str) -> tuple[int, int]:
    totals = plan_of(name).totals
    return totals.plunges_without_retracing, totals.plunges_with_retracing


def standing(name: str) -> list[float]:
    """Widest circles of the standing wood, mm."""
    return sorted(island.widest for island in plan_of(name).islands if island.kind == "standing wood")


def pairs(name: str) -> set[tuple[int, int]]:
    return {land.strokes for land in plan_of(name).lands}


def test_rings() -> None:
    # Ring k and the next leave spacing - groove: under 3/16 in across the grain from 6 mm on; 1 mm merges.
    spacings = hard_drawings.FALLING
    left = [spacing - GROOVE for spacing in spacings]
    assert pairs("rings") == {(k, k + 1) for k, wood in enumerate(left, start=1) if wood < ACROSS}
    disc = 2 * (60 - sum(spacings)) - GROOVE
    assert standing("rings") == pytest.approx(sorted([*(wood for wood in left if wood > 0), disc]), abs=0.06)
    breaking = [island for island in plan_of("rings").islands if island.breaks]
    assert len(breaking) == sum(0 < wood < ACROSS for wood in left)
    # Ten closed loops; the two inmost grooves are one body: nine bodies, eight of them in the one before.
    assert plunges("rings") == (10, 9)
    enclosed = [island for island in plan_of("rings").islands if island.kind == "enclosed strokes"]
    assert sorted(island.nesting for island in enclosed) == [1, 2, 3, 4, 5, 6, 7, 8]


def test_fan() -> None:
    # Lines that part at less than 20 degrees leave a wedge that is said (our own rule).
    angles = {(k, k + 1): b - a for k, (a, b) in enumerate(pairwise(hard_drawings.FAN_DEG), start=1)}
    assert pairs("fan") == {pair for pair, angle in angles.items() if angle < 20}
    # Ten tips are odd, the point where all meet has ten lines and is even: 10 / 2.
    assert plunges("fan") == (5, 1)


def test_hatching() -> None:
    # 25 lines, 24 gaps of 2.4 - 1.833 mm; a piece of leaf stands at either end.
    assert [land.width for land in plan_of("hatching").lands] == pytest.approx(
        [hard_drawings.HATCH - GROOVE] * 24, abs=0.01
    )
    assert len(standing("hatching")) == 26
    assert sum(island.breaks for island in plan_of("hatching").islands) == 24
    # Each line ends on the outline twice: 50 junctions of three; the outline's halves meet in two.
    assert plunges("hatching") == (25, 1)


def test_spiral() -> None:
    # Turns of r = 4 mm a turn lie a little less than 4 mm apart: 4 cos(atan(4 / 2 pi r)), r from 4 mm on.
    (land,) = plan_of("spiral").lands
    assert land.strokes == (1, 1)
    nearest = hard_drawings.TURN * math.cos(math.atan(hard_drawings.TURN / (2 * math.pi * 4)))
    assert nearest - GROOVE < land.width < hard_drawings.TURN - GROOVE
    assert plan_of("spiral").islands == ()
    assert plunges("spiral") == (1, 1)


def test_maze() -> None:
    # Cells of 6 mm leave 4.167 mm: enough along the grain (3), too little across it.
    lands = plan_of("maze").lands
    assert len(lands) > 10
    assert all(land.width == pytest.approx(6 - GROOVE, abs=0.01) for land in lands)
    assert all(land.limit > 6 - GROOVE for land in lands)
    # A maze without a loop rings no wood. 10 free ends and 8 ends on another wall: 18 odd points.
    assert plan_of("maze").islands == ()
    assert plunges("maze") == (9, 1)


def test_whiskered_face() -> None:
    # Whiskers 1.4 mm apart at their roots overlap by 0.433 mm, each with the next.
    merged = {land.strokes: land.width for land in plan_of("whiskered face").lands if land.width < 0}
    roots = [(k, k + 1) for first in (5, 14) for k in range(first, first + 5)]
    assert set(roots) <= set(merged)
    assert all(merged[pair] < 1.4 - GROOVE + 0.02 for pair in roots)
    enclosed = Counter(
        (island.strokes, island.nesting)
        for island in plan_of("whiskered face").islands
        if island.kind == "enclosed strokes"
    )
    # Both eyes and the nose lie in the head, a pupil in each eye.
    assert enclosed == Counter([((3,), 1), ((4,), 2), ((12,), 1), ((13,), 2), ((20, 21), 1)])
    # Head, ears and whiskers: 24 + 4 odd; nose, mouth 2 each; eyes, pupils 1 each: 14 + 1 + 1 + 4.
    # The mouth ends 1.0 mm from a whisker: their grooves meet, but at a waist of sqrt(0.917^2 - 0.5^2) =
    # 0.768 mm to either side, 0.15 less than the bit would cut: the mouth is a plunge of its own, a seventh.
    assert plunges("whiskered face") == (20, 7)


def test_cursive() -> None:
    # One stroke with two ends and five crossings of itself: five loops stand.
    assert plunges("cursive") == (1, 1)
    assert len(standing("cursive")) == 5


def test_snowflake() -> None:
    # 6 tips and 24 barbs' tips are odd; where barbs leave an arm there are four ways, in the middle six.
    assert plunges("snowflake") == (15, 1)
    assert plan_of("snowflake").lands == ()  # nothing parts at less than 60 degrees
    assert plan_of("snowflake").islands == ()


def test_grid() -> None:
    # n x m lines leave (n - 1)(m - 1) squares of 10 mm - groove; 2 (n + m) ends are odd, crossings even.
    across, down = hard_drawings.GRID
    assert standing("grid") == pytest.approx([10 - GROOVE] * (across - 1) * (down - 1), abs=0.05)
    assert plan_of("grid").lands == ()
    assert plunges("grid") == (across + down, 1)


def test_word_of_os() -> None:
    # Circles on one line: the way across is hypot(R + r + 2, R - r) - R - r, less the groove.
    radii = [10.0, 7.5, 5.5, 4.0, 3.0]
    expected = {
        (k, k + 1): math.hypot(a + b + 2, a - b) - a - b - GROOVE
        for k, (a, b) in enumerate(pairwise(radii), start=1)
    }
    found = {land.strokes: land.width for land in reversed(plan_of("word of O's").lands)}
    assert found == pytest.approx(expected, abs=0.05)
    assert standing("word of O's") == pytest.approx(sorted(2 * r - GROOVE for r in radii), abs=0.05)
    breaking = [island.widest for island in plan_of("word of O's").islands if island.breaks]
    assert breaking == pytest.approx([6 - GROOVE], abs=0.05)  # 4.167 under 4.7625; 6.167 holds
    assert plunges("word of O's") == (5, 5)


@pytest.mark.parametrize("name", hard_drawings.HARD)
def test_the_raster_agrees(name: str) -> None:
    assert Outside(plan_of(name)).faults == []
