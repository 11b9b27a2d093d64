"""The preview's depths against each bit's own section formula, worked out here from the textbook forms."""

import math
import tempfile
import time
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image
from sheets.bit_sections import BITS, cubic, largest_error
from sheets.plans import small_plan, with_break, with_join, with_stops

from tracer.model.plan import Island, Land, Plan
from tracer.sheets.breakage import broken, torn
from tracer.sheets.distances import distance_map
from tracer.sheets.lamp import shade
from tracer.sheets.png import write_png
from tracer.sheets.preview import preview_image, write_preview, write_print
from tracer.sheets.relief import depth_map
from tracer.sheets.wood_grain import wood_face
from tracer.sheets.wood_looks import look_of
from tracer.shop.wood import WOODS


@pytest.mark.parametrize("name", BITS)
def test_depths_are_the_section_of_the_bit(name: str) -> None:
    """Within 0.05 mm at 100 places beside a curved stroke; off the edge, where walls may be upright."""
    assert largest_error(name) < 0.05


@given(
    ends=st.lists(st.tuples(st.floats(-5, 25), st.floats(-5, 20)), min_size=2, max_size=6),
    reach=st.floats(0.05, 6.0),
)
@example(ends=[(0.0, 0.0), (0.0, 2e-64)], reach=1.0)
@example(ends=[(3.0, 3.0), (3.0, 3.0 + 4e-13), (9.0, 5.0)], reach=2.0)
@settings(deadline=None, max_examples=60)
def test_distances_are_those_to_the_segments(ends: list[tuple[float, float]], reach: float) -> None:
    line = np.array(ends)
    found = distance_map([line], reach, (30, 40), px_per_mm=2.0)
    y, x = (np.mgrid[:30, :40] + 0.5) / 2.0
    true = np.full((30, 40), np.inf)
    for (ax, ay), (bx, by) in pairwise(line):
        size = (bx - ax) ** 2 + (by - ay) ** 2
        u = np.clip(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / max(size, 1e-12), 0, 1)
        true = np.minimum(true, np.hypot(x - ax - u * (bx - ax), y - ay - u * (by - ay)))
    edge = np.abs(true - reach) < 1e-3
    assert np.allclose(found[~edge & (true < reach)], true[~edge & (true < reach)], atol=2e-3)
    assert np.isinf(found[~edge & (true > reach)]).all()


def test_whole_wood_is_untouched_and_dropped_strokes_are_not_cut() -> None:
    plan = small_plan()
    depths = depth_map(plan, 10.0)
    assert depths.shape == (1000, 1400)
    assert depths.max() == pytest.approx(plan.job.depth, abs=0.1)
    assert depths[:60].max() == 0
    whisker = next(s for s in plan.left_out).points(0.01)
    free = whisker[whisker[:, 0] > 95]  # clear of the ring, which it crosses
    assert len(free)
    assert all(depths[int(y * 10), int(x * 10)] == 0 for x, y in free)


def test_each_stop_cuts_as_deep_as_it_is_set() -> None:
    plan = with_stops(small_plan())
    depths = depth_map(plan, 20.0)
    shapes = {stroke.number: stroke for stroke in plan.strokes}
    for number, depth in ((1, 2.4), (4, 1.6), (6, 0.8)):
        x, y = shapes[number].curves[0, 0]
        near = depths[int(y * 20) - 2 : int(y * 20) + 3, int(x * 20) - 2 : int(x * 20) + 3]
        assert near.max() == pytest.approx(depth, abs=0.07)


def torn_at(plan: Plan, *places: tuple[float, float]) -> list[bool]:
    mask = torn(plan, depth_map(plan, 10.0), 10.0)
    return [bool(mask[int(y * 10), int(x * 10)]) for x, y in places]


def test_standing_wood_that_breaks_out_is_gone_and_the_rest_stays() -> None:
    """The wood in the ring: (56, 30) lies in it, the smile (56, 40) is groove, (22, 60) is outside."""
    places = ((56.0, 30.0), (40.0, 34.0), (22.0, 60.0))
    assert torn_at(with_break(small_plan()), *places) == [True, True, False]
    assert torn_at(small_plan(), *places) == [False, False, False]


def test_wood_that_is_open_to_the_outside_is_never_torn() -> None:
    """An island said to be far smaller than the wood found at its place: the picture does not believe it."""
    plan = small_plan()
    stray = Island(1, "standing wood", (22.0, 60.0), (3.0, 3.0), (), (1,), widest=1.0, least=4.0)
    assert not torn(replace(plan, islands=(stray,)), depth_map(plan, 10.0), 10.0).any()


def test_the_crest_between_grooves_that_run_together_breaks() -> None:
    """Two strokes 1.2 mm apart with grooves 1.83 mm wide: their crest lies half way and below the face."""
    plan = small_plan()
    smile = next(stroke for stroke in plan.strokes if stroke.number == 4)
    other = replace(smile, number=2, curves=smile.curves + np.array([0.0, 1.2]))
    grooves = tuple(groove for groove in plan.grooves if groove.stroke in (2, 4))
    x, y = cubic(smile.curves[0], 0.5)[0] + (0.0, 0.6)
    land = Land((2, 4), (float(x), float(y)), 1.2 - grooves[0].width, 3.0, 8.0)
    plan = replace(plan, strokes=(other, smile), grooves=grooves, islands=(), lands=(land,))
    assert torn_at(plan, (x, y), (x, y - 0.6), (x, y + 0.6)) == [True, False, False]
    apart = replace(plan, lands=(replace(land, width=0.1),))
    assert torn_at(apart, (x, y)) == [False]


def test_broken_wood_is_pale_and_rough() -> None:
    plan = with_break(small_plan())
    depths = depth_map(plan, 5.0)
    mask = torn(plan, depths, 5.0)
    rough = broken(plan, depths, mask, 5.0)
    assert (rough[~mask & (depths == 0)] == 0).all()
    assert (rough >= depths).all()
    assert 0.2 * plan.stops[0].depth < rough[mask].min() < rough[mask].max() <= plan.stops[0].depth + 1e-6
    assert rough[mask].std() > 0.02 * plan.stops[0].depth
    with_torn, without = (np.asarray(preview_image(one, 700), float) for one in (plan, small_plan()))
    assert with_torn[mask][:, 2].mean() > without[mask][:, 2].mean() + 5  # blue: what wood has least of
    assert np.abs(with_torn[:50] - without[:50]).max() == 0


def test_strokes_that_the_user_left_out_are_ghosts_too() -> None:
    plan = with_join(small_plan())
    ghost = np.asarray(preview_image(plan, 700), float)
    bare = np.asarray(preview_image(replace(plan, dropped=plan.dropped[:1]), 700), float)
    rows, columns = np.nonzero(np.abs(ghost - bare).sum(axis=2) > 60)
    x0, y0, x1, y1 = (value * 5 for value in plan.strokes[-1].bounds)
    assert len(rows) > 50
    assert x0 - 5 < columns.min() < columns.max() < x1 + 5
    assert y0 - 5 < rows.min() < rows.max() < y1 + 5


def test_light_comes_from_the_upper_left() -> None:
    """A groove straight down: its left wall looks away from the lamp, its right wall towards it."""
    across = np.abs(np.arange(41) - 20.0)
    depth = np.broadcast_to(np.clip(10 - across, 0, None) / 10, (30, 41)).astype(np.float32)
    bright = shade(depth, 10.0)
    assert bright[15, 14] < 0.8 < 1.0 < bright[15, 26]
    assert bright[15, 2] == pytest.approx(1.0)


def test_preview_is_the_whole_board_and_says_its_true_size(tmp_path: Path) -> None:
    plan = small_plan()
    write_preview(plan, tmp_path / "a.png")
    write_preview(plan, tmp_path / "b.png")
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    with Image.open(tmp_path / "a.png") as image:
        assert image.size == (1600, 1143)
        assert image.size[0] / image.info["dpi"][0] * 25.4 == pytest.approx(140.0, rel=1e-3)
    assert (tmp_path / "a.png").stat().st_size < 3_000_000


def test_ghosts_are_blue_where_strokes_were_dropped() -> None:
    plan = small_plan()
    with_ghost = np.asarray(preview_image(plan, 700), float)
    without = np.asarray(preview_image(replace(plan, dropped=()), 700), float)
    changed = np.abs(with_ghost - without).sum(axis=2) > 60
    x0, y0, x1, y1 = (value * 5 for value in plan.left_out[0].bounds)
    rows, columns = np.nonzero(changed)
    assert len(rows) > 50
    assert rows.min() > y0 - 5
    assert rows.max() < y1 + 5
    assert columns.min() > x0 - 5
    assert columns.max() < x1 + 5
    darkest = with_ghost[changed][with_ghost[changed].sum(axis=1).argmin()]
    assert darkest[2] > darkest[0] + 40


def test_woods_are_told_apart_at_a_glance() -> None:
    """Any two differ in colour by three just noticeable steps, or one's lines are half as strong again.

    A step is a distance of 2.3 in CIE L*a*b* (Mahy and others 1994, from memory); the lines' strength
    is the spread of lightness.
    """
    faces = {wood.name: lab(wood_face(wood.name, (400, 600), px_per_mm=2.0, grain_deg=0.0)) for wood in WOODS}
    for one, other in combinations(faces, 2):
        a, b = faces[one], faces[other]
        colours = float(np.linalg.norm(a.mean(axis=(0, 1)) - b.mean(axis=(0, 1))))
        weak, strong = sorted(float(face[..., 0].std()) for face in (a, b))
        assert colours > 3 * 2.3 or strong > 1.5 * weak, (one, other, colours, weak, strong)


def lab(face: np.ndarray) -> np.ndarray:
    """Return CIE L*a*b* of sRGB 0..255 (..., 3) for D65, by the formulas of IEC 61966-2-1 and CIE 15."""
    share = face / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    ) / np.array([[0.9505], [1.0], [1.089]])
    x, y, z = np.cbrt(np.maximum(linear @ to_xyz.T, 0.008856)).transpose(2, 0, 1)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


@given(
    pixels=st.integers(1, 9).flatmap(
        lambda wide: st.lists(st.binary(min_size=3 * wide, max_size=3 * wide), min_size=1, max_size=6)
    )
)
@settings(deadline=None, max_examples=40)
def test_pictures_come_back_from_png_as_they_were(pixels: list[bytes]) -> None:
    """Read by a library that had no part in writing them."""
    picture = np.frombuffer(b"".join(pixels), np.uint8).reshape(len(pixels), -1, 3)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.png"
        write_png(picture, path, px_per_mm=11.811)
        with Image.open(path) as image:
            assert (np.asarray(image) == picture).all()
            assert image.info["dpi"] == pytest.approx((300, 300), abs=0.02)


@pytest.mark.parametrize("grain_deg", [0.0, 90.0])
def test_pictures_are_small_whichever_way_the_grain_runs(grain_deg: float, tmp_path: Path) -> None:
    """Within a tenth of what the general writer makes of it in its own way."""
    face = wood_face("oak", (300, 300), px_per_mm=3.0, grain_deg=grain_deg)
    write_png(face, tmp_path / "own.png", px_per_mm=3.0)
    Image.fromarray(face).save(tmp_path / "general.png", compress_level=2)
    own, general = ((tmp_path / name).stat().st_size for name in ("own.png", "general.png"))
    assert own < 1.1 * general


@pytest.mark.parametrize("wood", [wood.name for wood in WOODS])
def test_every_known_wood_has_a_look_of_its_own(wood: str) -> None:
    assert look_of(wood) is not look_of("a wood that nobody knows")
    face = wood_face(wood, (60, 90), px_per_mm=2.0, grain_deg=0.0)
    assert face.shape == (60, 90, 3)
    assert np.isfinite(face).all()
    assert 60 < face.mean() < 245


def test_grain_runs_where_it_is_said_to() -> None:
    """Along the grain the wood changes less than across it."""
    for degrees, calm in ((0.0, 1), (90.0, 0)):
        face = wood_face("oak", (300, 300), px_per_mm=3.0, grain_deg=degrees).mean(axis=2)
        change = [float(np.abs(np.diff(face, axis=axis)).mean()) for axis in (0, 1)]
        assert change[calm] < 0.3 * change[1 - calm]
    slanted = wood_face("oak", (300, 300), px_per_mm=3.0, grain_deg=30.0).mean(axis=2)[50:250, 50:250]
    down, right = np.gradient(slanted)
    along = math.radians(30)
    with_grain = np.abs(right * math.cos(along) + down * math.sin(along)).mean()
    against = np.abs(right * math.sin(along) - down * math.cos(along)).mean()
    assert with_grain < 0.5 * against


@pytest.mark.parametrize("board", [(1.0, 4000.0, 19.0), (4000.0, 1.0, 19.0)])
def test_absurd_boards_still_give_a_picture(board: tuple[float, float, float]) -> None:
    assert max(preview_image(small_plan(board=board), 200).size) == 200


def test_preview_is_quick(tmp_path: Path) -> None:
    """Meant to take a third of a second; the bound is loose since other work may share the machine."""
    plan = small_plan(scale=3.0, board=(420.0, 300.0, 19.05))
    began = time.process_time()
    write_preview(plan, tmp_path / "a.png")
    assert time.process_time() - began < 2.0


@pytest.mark.parametrize(("side", "dpi"), [(140.0, 300.0), (1200.0, 63.5)])
def test_print_size_is_300_dots_an_inch_or_says_what_else(side: float, dpi: float, tmp_path: Path) -> None:
    """1200 mm are 3000 pixels: 63.5 dpi; 140 mm at 300 dpi are 1654 pixels."""
    plan = small_plan(board=(side, 100.0, 19.05))
    write_print(plan, tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as image:
        assert image.info["dpi"][0] == pytest.approx(dpi, abs=0.05)
        assert image.size[0] / image.info["dpi"][0] * 25.4 == pytest.approx(side, rel=1e-3)
        assert image.size[1] / image.info["dpi"][1] * 25.4 == pytest.approx(100.0, rel=0.01)


def test_screen_and_print_show_the_same_board(tmp_path: Path) -> None:
    """Blown up to one size, they differ by no more than fine detail, ghosts aside."""
    plan = replace(small_plan(board=(90.0, 60.0, 19.05), scale=0.6), dropped=())
    write_preview(plan, tmp_path / "screen.png")
    write_print(plan, tmp_path / "print.png")
    with Image.open(tmp_path / "screen.png") as screen, Image.open(tmp_path / "print.png") as small:
        assert small.size[0] < screen.size[0]
        off = np.asarray(screen.resize(small.size), float) - np.asarray(small, float)
    assert np.abs(off).mean() < 2


def test_a_wall_goes_with_the_wood_behind_it_and_no_other_does() -> None:
    """The ring's inner wall breaks off with the wood inside; its outer one stands."""
    plan = with_break(small_plan())
    depths = depth_map(plan, 10.0)
    rough = broken(plan, depths, torn(plan, depths, 10.0), 10.0)
    half, (x, y) = plan.grooves[0].width / 2, (56.0, 12.0)  # the ring's top
    inner, outer = (int((y + side * (half - 0.15)) * 10) for side in (1, -1))
    column = int((x - 2.0) * 10)
    assert depths[inner, column] < 0.5 < 0.55 * plan.stops[0].depth < rough[inner, column]
    assert 0 < rough[outer, column] == depths[outer, column]


@pytest.mark.parametrize("depth", [1.0, 3.0])
def test_an_upright_wall_throws_a_shadow_as_long_as_the_lamp_stands_low(depth: float) -> None:
    """The light falls by 0.62 on 0.784 across the board: as far as 1.26 depths to the lower right."""
    depths = np.zeros((300, 300), np.float32)
    depths[100:, 100:] = depth  # a step down, its corner towards the lamp
    bright = shade(depths, 10.0)
    ray = np.array([0.62, 0.48]) / math.hypot(0.62, 0.48)
    flat, whole = math.hypot(0.62, 0.48) / 0.62 * depth, bright[280, 280]

    def at(along: float) -> float:
        column, row = (100 + 10 * along * ray + 3).astype(int)
        return float(bright[row, column])

    assert at(flat - 0.8) < 0.7 * whole
    assert at(flat + 0.8) == pytest.approx(whole, abs=0.02)
