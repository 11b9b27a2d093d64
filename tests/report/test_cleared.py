"""Clearing, held against a raster of what the bit sweeps: all is cut that it gets to, and nothing else."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
import shapes
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from report.lettered_words import laid, set_words
from scipy.spatial import cKDTree

from tracer.border import border_drawing
from tracer.geometry import affine
from tracer.job import Job
from tracer.lettering import Lettering
from tracer.letters import faces
from tracer.letters import set_words as setting
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.layout import Layout, Piece
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.report.cleared import Ground, clear, opened, ridge_height, swept_by
from tracer.report.decided import Decided, decide
from tracer.report.levels import STEPS, levels
from tracer.report.sided import move_edges
from tracer.report.stops import find_stops
from tracer.shop.bits import RoundNose, Straight, VBit

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

BIT = Straight(3.0)
PIXEL = 0.15


def pixels(area: Any, pixel: float = PIXEL) -> Array:
    """Middles (m, 2) of the pixels round an area."""
    x0, y0, x1, y1 = area.buffer(2).bounds
    xs, ys = np.arange(x0, x1, pixel), np.arange(y0, y1, pixel)
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)


def within(area: Any, points: Array) -> Bools:
    inside: Bools = shapely.contains_xy(area, points[:, 0], points[:, 1])
    return inside


def swept(lines: list[Array], half: float, points: Array) -> Bools:
    """Say which points a disc covers whose middle goes along the lines, by points 0.1 mm apart on them."""
    dense = [shapely.get_coordinates(shapely.segmentize(shapely.linestrings(line), 0.1)) for line in lines]
    found: Bools = cKDTree(np.concatenate(dense)).query(points, distance_upper_bound=half)[0] <= half
    return found


def decided_of(layout: Layout, job: Job) -> Decided:
    decided = decide(layout, job)
    return move_edges(layout, job, decided, find_stops(decided.strokes, job))[0]


def plan_of(drawing: Drawing, height: float, **job: Any) -> tuple[Plan, tuple[Ground, ...]]:
    layout, settled = laid(drawing, height), Job(**{"bit": BIT, "depth": 3.0, **job})
    return build_plan(layout, settled), decided_of(layout, settled).grounds


def said(plan: Plan, check: str) -> Finding:
    (finding,) = [finding for finding in plan.findings if finding.check == check]
    return finding


def assert_cleared(plan: Plan, grounds: tuple[Ground, ...], half: float) -> None:
    """What was said to be reached is swept, and nothing is cut but what was wanted."""
    lines = [stroke.points(0.002) for stroke in plan.cut]
    wanted = shapely.unary_union([ground.wanted for ground in grounds])
    reached = shapely.unary_union([ground.reached for ground in grounds])
    points = pixels(wanted)
    cut = swept(lines, half, points)
    assert not (within(reached.buffer(-0.03), points) & ~cut).any()
    assert not (cut & ~within(wanted.buffer(0.02), points)).any()


@pytest.mark.parametrize("height", [27.0, 50.0])
def test_letters_are_cleared(height: float) -> None:
    plan, grounds = plan_of(set_words("LOVeT", cut="cleared", clear=True), height)
    assert len(grounds) == 5
    assert_cleared(plan, grounds, 1.5)


@pytest.mark.parametrize(("height", "gap"), [(25.0, 25.0), (40.0, 8.0)])
def test_ground_round_raised_letters_is_cleared(height: float, gap: float) -> None:
    plan, (ground,) = plan_of(set_words("DeT", cut="cleared", clear=True, raised=True, gap=gap), height)
    assert_cleared(plan, (ground,), 1.5)
    assert ground.surround == pytest.approx(height / 2)
    assert f"cleared {height / 2:g} mm" in said(plan, "clearing").message


@st.composite
def areas(draw: st.DrawFn) -> Any:
    """Unions of boxes and discs, with holes cut into them."""
    count = draw(st.integers(1, 4))
    sizes = st.floats(3, 25)
    parts = []
    for _ in range(count + 1):
        x, y, w, h = draw(st.floats(0, 30)), draw(st.floats(0, 30)), draw(sizes), draw(sizes)
        turned = shapely.affinity.rotate(shapely.box(x, y, x + w, y + h), draw(st.floats(0, 90)))
        parts.append(turned if draw(st.booleans()) else shapely.Point(x, y).buffer(w / 2))
    return shapely.unary_union(parts[:-1]).difference(parts[-1])


@settings(max_examples=15)
@given(areas(), st.floats(1.5, 6.0))
def test_levels_leave_nothing_between_rings(area: Any, width: float) -> None:
    half = width / 2
    found = levels(area, half, width)
    steps = np.diff([half, *found])
    assert (steps <= STEPS[0] * width + 1e-9).all()
    assert (steps >= STEPS[-1] * width - 1e-9).all()
    lines = [
        shapely.get_coordinates(ring)
        for level in [half, *found]
        for part in shapely.get_parts(area.buffer(-level))
        if not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]
    reached = opened(area, half).buffer(-0.05)
    points = pixels(area, 0.25) if not area.is_empty else np.zeros((0, 2))
    points = points[within(reached, points)]
    if len(points):
        left = ~swept(lines, half, points)
        assert left.mean() < 0.001


@pytest.mark.parametrize("width", [2.0, 3.9, 6.9, 7.1, 20.0])
def test_as_few_rings_as_will_do(width: float) -> None:
    """A bar is taken by tracks along both its edges and by what fits between; the bit is 1 mm wide."""
    found = levels(shapely.box(0, 0, 60, width), 0.5, 1.0)
    assert len(found) == math.ceil(max(0.0, width / 2 - 1.0) / 0.9)


def test_no_rings_where_the_tracks_along_the_edges_take_all() -> None:
    plan, _ = plan_of(set_words("LI", cut="cleared", clear=True), 30.0)  # stems of 4.8 mm
    finding = said(plan, "clearing")
    assert finding.strokes == ()
    assert "which the tracks along the edges take with them" in finding.message
    assert not [f for f in plan.findings if f.severity == "loss"]


def test_what_stays_uncut_is_told_with_its_letter() -> None:
    """A corner of 90 deg of a cut-away area keeps (1 - pi / 4) r^2 of its wood (derived by geometry)."""
    plan, (ground,) = plan_of(set_words("I", cut="cleared", clear=True), 60.0)
    uncut = ground.wanted.difference(ground.reached).area
    assert uncut == pytest.approx(4 * (1 - math.pi / 4) * 1.5**2, rel=0.01)
    finding = said(plan, "clearing")
    assert (
        "1.9 square mm (0.003 square in), 0.3%, stays uncut in 4 corners and narrow places" in finding.message
    )
    assert "in the I: the bit does not get in" in finding.message


def test_each_of_the_bits_at_hand_is_judged() -> None:
    bits = (
        ("big", Straight(6.35)),
        ("small", Straight(1.5)),
        ("V", VBit(60.0, 12.7)),
        ("short", VBit(60.0, 3.0)),
    )
    plan, _ = plan_of(set_words("I", cut="cleared", clear=True), 60.0, bits=bits)
    told = said(plan, "clearing").remedy
    # Four corners of (1 - pi / 4) r^2 in 9.6 x 60 mm.
    assert "“big” leaves 1.5% uncut; “small” leaves 0.1% uncut" in told
    assert "“V” leaves 0.4% uncut, and ridges on the ground" in told
    assert "“short” does not go so deep" in told


def test_a_v_leaves_ridges_and_is_told_which_bit_does_not() -> None:
    plan, _ = plan_of(set_words("LO", cut="cleared", clear=True), 50.0, bit=VBit(60.0, 12.7), depth=2.0)
    finding = said(plan, "ground in ridges")
    steps = 2 * math.tan(math.radians(30)) * (finding.measured or 0)
    assert 0.5 * swept_by(VBit(60.0, 12.7), 2.0) <= steps <= 0.9 * swept_by(VBit(60.0, 12.7), 2.0) + 1e-9
    assert "A straight bit 6.35 mm (1/4 in) across leaves" in said(plan, "clearing").remedy
    straight, _ = plan_of(set_words("LO", cut="cleared", clear=True), 50.0)
    assert "ground in ridges" not in [f.check for f in straight.findings]


def test_how_wide_bits_sweep_and_how_high_ridges_stand() -> None:
    """V: half its width at half the depth, ridge s / (2 tan(angle / 2)); round: R - sqrt(R^2 - s^2 / 4)."""
    assert swept_by(Straight(6.0), 2.0) == 6.0
    assert swept_by(VBit(90.0, 12.7), 2.0) == pytest.approx(2.0)
    assert swept_by(VBit(60.0, 12.7, flat=3.0), 1.0) == 3.0
    assert ridge_height(VBit(90.0, 12.7), 2.0, 1.0) == pytest.approx(0.5)
    assert ridge_height(RoundNose(6.0), 2.0, 2.0) == pytest.approx(3 - math.sqrt(8))
    assert ridge_height(Straight(6.0), 2.0, 5.0) == 0.0


def bordered(drawing: Drawing, height: float, *more: Piece, margin: float = 30.0) -> Layout:
    """Words with a border 12 mm round their board's middle."""
    layout = laid(drawing, height, margin=margin)
    width, tall = layout.board.width - 24, layout.board.height - 24
    border = Piece(border_drawing(width, tall, 5.0), affine.translation(12, 12), "border", border=True)
    return Layout(layout.board, (border, *layout.pieces, *more))


def test_ground_goes_as_far_as_the_border() -> None:
    layout, job = (
        bordered(set_words("LI", cut="cleared", clear=True, raised=True), 30.0),
        Job(bit=BIT, depth=3.0),
    )
    plan, (ground,) = build_plan(layout, job), decided_of(layout, job).grounds
    assert ground.surround is None
    x0, y0, x1, y1 = ground.wanted.bounds
    assert (x0, y0) == pytest.approx((10.5, 10.5), abs=0.01)
    assert (x1, y1) == pytest.approx((layout.board.width - 10.5, layout.board.height - 10.5), abs=0.01)
    assert_cleared(plan, (ground,), 1.5)
    assert "as far as the border" in said(plan, "clearing").message
    assert plan.totals.plunges <= 3
    assert not [f for f in plan.findings if f.severity == "loss"]
    assert not [island for island in plan.islands if island.kind == "enclosed strokes"]


def test_other_figures_inside_the_border_keep_their_wood() -> None:
    sun = Piece(shapes.drawing_from([shapes.ring((0, 0), 8)]), affine.translation(40, 60), "sun")
    drawing = set_words("LI", cut="cleared", clear=True, raised=True)
    layout, job = bordered(drawing, 30.0, sun, margin=60.0), Job(bit=BIT, depth=3.0)
    plan = build_plan(layout, job)
    rings = said(plan, "clearing").strokes
    lines = [shapely.linestrings(stroke.points(0.01)) for stroke in plan.cut if stroke.number in rings]
    away = min(line.distance(shapely.Point(40, 60)) for line in lines) - 8
    assert away == pytest.approx(1.5 + 6.0 + 1.5, abs=0.1)  # half grooves, and the 6 mm that pine wants
    own = 1 + layout.offsets[-1]
    assert not [f for f in plan.findings if own in f.strokes and f.severity != "note"]


def test_removed_wood_is_the_area_and_not_the_rings() -> None:
    plan, grounds = plan_of(set_words("LOT", cut="cleared", clear=True), 60.0)
    area = sum(ground.reached.area for ground in grounds)
    assert plan.totals.removed_ml == pytest.approx(area * 3.0 / 1000, rel=0.15)


def test_raised_letters_nearer_than_the_groove_are_gone_round_together() -> None:
    """A groove round one alone would bite into the next."""
    drawing = set_words("II", cut="outline", raised=True, gap=4.0)
    plan, _ = plan_of(drawing, 30.0)  # 1.2 mm apart
    solids = [shapely.Polygon(stroke.points(0.01)) for stroke in plan.layout.strokes]
    for stroke in plan.cut:
        for solid in solids:
            assert shapely.linestrings(stroke.points(0.01)).distance(solid) > 1.49
    finding = said(plan, "gaps of letters narrower than the groove")
    assert "the 1st I and the 2nd I" in finding.message
    assert finding.measured == pytest.approx(1.2, abs=0.05)


def test_rings_are_numbered_after_all_strokes() -> None:
    plan, grounds = plan_of(set_words("OT", cut="cleared", clear=True), 60.0)
    numbers = [stroke.number for stroke in plan.strokes]
    assert numbers == list(range(1, len(numbers) + 1))
    job = Job(bit=BIT, depth=3.0)
    stop = find_stops(plan.layout.strokes, job).stops[0]
    first, second = clear(grounds, job, lambda _: stop, 10)
    assert [ring.number for ring in (*first.rings, *second.rings)] == list(
        range(10, 10 + len(first.rings) + len(second.rings))
    )


def test_uncleared_letters_have_no_grounds() -> None:
    _, grounds = plan_of(set_words("OT", cut="outline"), 60.0)
    assert grounds == ()


def test_words_of_a_font_are_cleared_as_they_were_set() -> None:
    pytest.importorskip("uharfbuzz")
    for raised, count in ((False, 2), (True, 1)):
        lettering = Lettering("an", face="sans", height=45.0, cut="cleared", raised=raised)
        drawing = setting.set_words(lettering, faces.face_named(lettering))
        plan, grounds = plan_of(drawing, 100.0)
        assert len(grounds) == count
        assert_cleared(plan, grounds, 1.5)
        outline = replace(lettering, cut="outline")
        assert plan_of(setting.set_words(outline, faces.face_named(outline)), 100.0)[1] == ()


def test_where_the_bit_gets_nowhere_nothing_is_said_of_clearing() -> None:
    plan, _ = plan_of(set_words("OD", cut="cleared", clear=True), 10.0, bit=Straight(12.7))
    assert "clearing" not in [finding.check for finding in plan.findings]
    assert "nothing to cut" in [finding.check for finding in plan.findings]


def test_a_board_too_small_for_its_raised_words_is_said_and_no_error() -> None:
    layout = laid(set_words("LI", cut="cleared", clear=True, raised=True), 30.0)
    small = replace(layout, board=replace(layout.board, width=5.0, height=5.0, declared=True))
    plan = build_plan(small, Job(bit=BIT, depth=3.0, bits=(("small", Straight(1.5)),)))
    assert "over the board's edge" in [finding.check for finding in plan.findings]
