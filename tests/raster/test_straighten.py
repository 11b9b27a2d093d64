"""Photographs of sheets become the sheets, true to size; a pinhole camera of our own says where they lay."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from camera import TABLES, Camera, Setting, page, photograph, through
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tracer.art.read import scan_of
from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.raster.homography import led_through
from tracer.raster.quad import quad_seen
from tracer.raster.straighten import straightened
from tracer.reading import Known, Reading
from tracer.shop.paper import Paper, paper_named

A4, LETTER = (210.0, 297.0), (215.9, 279.4)
NEAR = Camera(size=(1000, 750), focal=750.0, distance=390.0)
DOTS = np.array([[40.0, 40.0], [170.0, 40.0], [170.0, 240.0], [40.0, 240.0]])
"""Middles of four dots on the sheet, mm."""


def dotted(sheet: tuple[float, float], per_mm: float = 5.0) -> NDArray[np.float32]:
    """A sheet with four dots of 8 mm and a frame."""
    paper = page(sheet, per_mm)
    for x, y in DOTS:
        cv2.circle(
            paper, (round(16 * x * per_mm), round(16 * y * per_mm)), round(64 * per_mm), (0.1, 0.1, 0.1), -1,
            cv2.LINE_AA, 4,
        )  # fmt: skip
    return paper


def shot(camera: Camera, setting: Setting | None = None, sheet: tuple[float, float] = A4) -> Scan:
    """A photograph, as a camera's file is read."""
    pixels = photograph(dotted(sheet), sheet, camera, setting)
    return replace(scan_of(pixels, name="photo"), from_camera=True)


def dots_found(flat: Scan) -> NDArray[np.float64]:
    """Middles (n, 2) of the dots in a flat picture, mm."""
    assert flat.mm_per_px is not None
    light = cv2.GaussianBlur(flat.grey, (0, 0), 40)
    dark = (flat.grey < 0.5 * light).astype(np.uint8)
    opened = cv2.morphologyEx(dark, cv2.MORPH_OPEN, np.ones((7, 7), np.uint8))
    _, _, stats, middles = cv2.connectedComponentsWithStats(opened)
    round_ones = [
        k for k in range(1, len(stats)) if abs(stats[k, 2] / stats[k, 3] - 1) < 0.2 and stats[k, 4] < 60**2
    ]
    return np.array([(middles[k] + 0.5) * flat.mm_per_px for k in round_ones])


def corner_error(scan: Scan, camera: Camera, sheet: tuple[float, float] = A4) -> float:
    """Largest distance of a found corner from the true one, px; whichever corner comes first."""
    quad = quad_seen(scan, sure=False)
    assert quad is not None
    true = camera.corners(sheet)
    return float(min(np.hypot(*(quad.corners - np.roll(true, k, axis=0)).T).max() for k in range(4)))


@settings(max_examples=5, deadline=None, derandomize=True)
@given(
    tilt_deg=st.floats(0, 25),
    azimuth_deg=st.floats(0, 360),
    roll_deg=st.floats(-25, 25),
    distance=st.floats(400, 560),
    table=st.sampled_from(sorted(TABLES)),
    shadow=st.sampled_from([0.0, 0.5]),
)
def test_corners_come_to_a_pixel_and_sizes_to_a_third_of_a_percent(
    tilt_deg: float, azimuth_deg: float, roll_deg: float, distance: float, table: str, shadow: float
) -> None:
    camera = replace(
        NEAR, tilt_deg=tilt_deg, azimuth_deg=azimuth_deg, roll_deg=90 + roll_deg, distance=distance
    )
    scan = shot(camera, Setting(table=table, shadow=shadow))
    assert corner_error(scan, camera) < 1.5
    flat = straightened(scan, Reading(photo_of=paper_named("A4")))
    found = dots_found(flat)
    assert len(found) == 4
    apart = np.linalg.norm(found[:, None] - found[None], axis=-1)
    true = np.linalg.norm(DOTS[:, None] - DOTS[None], axis=-1)
    np.testing.assert_allclose(np.sort(apart[apart > 0]), np.sort(true[true > 0]), rtol=0.003)


def test_corners_come_to_a_third_of_a_pixel_in_good_light() -> None:
    camera = replace(NEAR, tilt_deg=14, azimuth_deg=70, roll_deg=93)
    for table in ("dark", "cloth"):
        assert corner_error(shot(camera, Setting(table=table, noise=2.0, shadow=0.4)), camera) < 0.33


def test_the_flat_sheet_is_all_of_the_sheet_and_nothing_else() -> None:
    flat = straightened(shot(replace(NEAR, tilt_deg=12, azimuth_deg=40)), Reading(photo_of=paper_named("A4")))
    assert flat.mm_per_px is not None
    height, width = flat.grey.shape
    assert (width * flat.mm_per_px, height * flat.mm_per_px) == pytest.approx(A4, abs=1.0 * flat.mm_per_px)
    inner = flat.grey[3:-3, 3:-3].astype(float)
    rim = np.concatenate([inner[0], inner[-1], inner[:, 0], inner[:, -1]])
    assert rim.min() > 0.45 * rim.max()  # paper under a lamp; the table is a quarter as bright in blue
    assert flat.size_doubt == pytest.approx(2 / 297)
    assert flat.scale_source == "a photo of an A4 sheet, flattened"


@pytest.mark.parametrize(("sheet", "name"), [(A4, "A4"), (LETTER, "Letter"), ((215.9, 355.6), "Legal")])
@pytest.mark.parametrize("tilt_deg", [0.0, 14.0])
def test_the_paper_is_told_by_its_shape(sheet: tuple[float, float], name: str, tilt_deg: float) -> None:
    camera = replace(NEAR, distance=430, tilt_deg=tilt_deg, azimuth_deg=30, roll_deg=90)
    flat = straightened(shot(camera, sheet=sheet))
    assert name in flat.scale_source
    assert any("--photo-of" in note for note in flat.notes)


def test_a_square_of_card_has_no_known_size_until_it_is_said() -> None:
    scan = shot(replace(NEAR, tilt_deg=8, azimuth_deg=70), sheet=(200.0, 200.0))
    flat = straightened(scan)
    assert flat.mm_per_px is None
    assert any("no known paper" in note for note in flat.notes)
    said = straightened(scan, Reading(photo_of=Paper("200 x 200 mm", 200.0, 200.0)))
    assert said.mm_per_px is not None
    assert said.grey.shape[0] * said.mm_per_px == pytest.approx(200, rel=0.003)


def test_a_known_length_outdoes_the_paper() -> None:
    camera = replace(NEAR, tilt_deg=15, azimuth_deg=60)
    a, b = through(camera.matrix(A4), DOTS[:2])
    known = Known((float(a[0]), float(a[1])), (float(b[0]), float(b[1])), 130.0)
    scan = replace(shot(camera), mm_per_px=0.5)  # as the length says before the tilt is cured
    assert "130 mm" in straightened(scan, Reading(known=known)).scale_source
    flat = straightened(scan, Reading(photo_of=Paper("half", 105.0, 148.5), known=known))
    assert flat.mm_per_px is not None
    assert flat.grey.shape[1] * flat.mm_per_px == pytest.approx(210, rel=0.003)
    assert "130 mm" in flat.scale_source


def test_a_corner_out_of_the_picture_is_worked_out_and_said() -> None:
    camera = replace(NEAR, tilt_deg=10, azimuth_deg=20, roll_deg=14, distance=400, aside=(0.0, -56.0))
    scan = shot(camera)
    true = camera.corners(A4)
    out = (true < 0).any(axis=1) | (true > (1000, 750)).any(axis=1)
    assert out.sum() == 1
    assert corner_error(scan, camera) < 2
    flat = straightened(scan)
    assert sum("out of the photo" in note for note in flat.notes) == 1
    assert len(dots_found(flat)) == 4
    assert flat.grey.min() < 60 < 90 < np.percentile(flat.grey, 5)  # what was not seen is paper, not black


def test_something_over_an_edge_is_said() -> None:
    camera = replace(NEAR, tilt_deg=10, azimuth_deg=200)
    scan = shot(camera)
    assert scan.colour is not None
    ends = through(camera.matrix(A4), np.array([[-40.0, 120], [35, 120], [35, 150], [-40, 150]]))
    hand = scan.colour.copy()
    cv2.fillPoly(hand, [np.round(ends).astype(np.int32)], (170, 120, 95))
    covered = replace(scan, colour=hand, grey=np.asarray(cv2.cvtColor(hand, cv2.COLOR_RGB2GRAY), np.uint8))
    assert corner_error(covered, camera) < 1.5
    assert any("hides" in note and "left edge" in note for note in straightened(covered).notes)


def test_a_curled_sheet_is_warned_of() -> None:
    scan = shot(replace(NEAR, tilt_deg=5))
    assert scan.colour is not None
    y, x = np.mgrid[0:750, 0:1000].astype(np.float32)
    bent = np.asarray(
        cv2.remap(scan.colour, x + 8 * ((y - 375) / 280) ** 2 - 8, y, cv2.INTER_LINEAR), np.uint8
    )
    curled = replace(scan, colour=bent, grey=np.asarray(cv2.cvtColor(bent, cv2.COLOR_RGB2GRAY), np.uint8))
    notes = straightened(curled, Reading(photo_of=paper_named("A4"))).notes
    # 8 px of sagitta on a side about 560 px long: 1.4 %
    assert sum("bows by 1." in note for note in notes) == 2
    flat = straightened(curled, Reading(photo_of=paper_named("A4"))).grey[6:-6, 3:-3].astype(float)
    assert flat[:, [0, -1]].min() > 0.6 * flat[:, [0, -1]].max()  # of the table in the bow nothing is left


def test_paper_on_paper_is_not_guessed_at() -> None:
    pale = np.full((750, 1000, 3), 226, np.uint8)
    noise = np.random.default_rng(1).normal(0, 4, pale.shape)
    pixels = np.clip(pale + noise, 0, 255).astype(np.uint8)
    cv2.rectangle(pixels, (200, 150), (800, 600), (30, 30, 30), 3)
    cv2.circle(pixels, (500, 380), 120, (30, 30, 30), 5)
    scan = replace(scan_of(pixels, name="desk.jpg"), from_camera=True)
    same = straightened(scan)
    assert same.grey is scan.grey
    assert any("true size unknown" in note for note in same.notes)
    with pytest.raises(ArtError, match=r"desk.jpg shows no sheet .* --corners"):
        straightened(scan, Reading(photo_of="any"))


def test_drawn_frames_are_no_sheets() -> None:
    pixels = np.full((1200, 900, 3), 255, np.uint8)
    pixels[80:-80, 80:-80] = (60, 60, 60)
    pixels[110:-110, 110:-110] = 255
    cv2.circle(pixels, (450, 600), 150, (0, 0, 0), 4)
    for picture in (pixels, pixels[80:-80, 80:-80]):
        scan = scan_of(np.ascontiguousarray(picture))
        assert straightened(scan) is scan


def test_a_thick_frame_on_a_page_that_fills_the_photo_is_no_sheet() -> None:
    pixels = np.random.default_rng(3).normal(225, 4, (750, 1000, 3))
    cv2.rectangle(pixels, (110, 90), (890, 660), (30, 30, 30), 24)
    scan = replace(scan_of(np.clip(pixels, 0, 255).astype(np.uint8)), from_camera=True)
    assert straightened(scan).grey is scan.grey


def test_no_photo_is_flattened_against_the_users_word() -> None:
    scan = shot(NEAR)
    assert straightened(scan, Reading(photo_of="no")) is scan
    assert straightened(scan, Reading(dpi=300.0)).grey is scan.grey


def test_corners_by_hand_are_taken_as_said() -> None:
    camera = replace(NEAR, tilt_deg=18, azimuth_deg=130)
    true = camera.corners(A4)
    said = tuple((float(x), float(y)) for x, y in true)
    flat = straightened(shot(camera), Reading(photo_of=paper_named("A4"), corners=said))  # type: ignore[arg-type]
    found = dots_found(flat)
    found = found[np.lexsort((found[:, 0], found[:, 1].round(-1)))]
    np.testing.assert_allclose(found, DOTS[[0, 1, 3, 2]], atol=0.35)


def test_a_corner_said_out_of_the_photo_is_not_called_worked_out() -> None:
    said = ((-20.0, 40.0), (960.0, 40.0), (960.0, 720.0), (-20.0, 720.0))
    flat = straightened(shot(NEAR), Reading(photo_of=paper_named("A4"), corners=said))
    assert any("(-20, 40)" in note for note in flat.notes)
    assert not any("worked out" in note for note in flat.notes)


def test_corners_are_said_in_the_pixels_of_the_file() -> None:
    camera = replace(NEAR, tilt_deg=18, azimuth_deg=130)
    scan, true = shot(camera), camera.corners(A4)
    flat = [
        straightened(replace(scan, shrunk=shrunk), Reading(corners=tuple(map(tuple, true * shrunk))))  # type: ignore[arg-type]
        for shrunk in (1.0, 4.0)
    ]
    np.testing.assert_array_equal(flat[0].grey, flat[1].grey)


@pytest.mark.parametrize(
    ("corners", "match"),
    [
        (((0, 0), (900, 0), (0, 700), (900, 700)), "sides cross, or one points inwards"),
        (((0, 0), (900, 0), (400, 9), (0, 700)), "sides cross, or one points inwards"),
        (((0, 0), (0, 700), (900, 700), (900, 0)), "wrong way"),
        (((0, 0), (9000, 0), (900, 700), (0, 700)), "far out"),
        (((0, 0), (20, 0), (20, 20), (0, 20)), "enclose"),
    ],
)
def test_corners_that_are_no_sheets_are_refused(corners: tuple[tuple[float, float], ...], match: str) -> None:
    scan = scan_of(np.full((750, 1000), 200, np.uint8))
    with pytest.raises(ArtError, match=match):
        straightened(scan, Reading(photo_of="any", corners=corners))  # type: ignore[arg-type]


def test_led_through_undoes_itself() -> None:
    matrix = np.array([[1.1, 0.1, 20], [-0.05, 0.9, 10], [1e-4, 2e-4, 1]])
    points = np.array([[10.0, 20], [300, 40], [250, 260]])
    np.testing.assert_allclose(led_through(np.linalg.inv(matrix), led_through(matrix, points)), points)


def test_a_paper_that_cannot_be_is_doubted() -> None:
    camera = replace(NEAR, tilt_deg=3, azimuth_deg=45)
    doubted = straightened(shot(camera), Reading(photo_of=paper_named("Legal")))
    assert any("check which paper" in note for note in doubted.notes)
    told = straightened(shot(camera), Reading(photo_of=paper_named("A4")))
    assert not any("check which paper" in note for note in told.notes)


def test_a_sheet_over_another_is_not_guessed_at() -> None:
    camera = replace(NEAR, tilt_deg=8, azimuth_deg=45)
    scan = shot(camera)
    assert scan.colour is not None
    under = through(camera.matrix(A4), np.array([[-40.0, -15], [180, -60], [250, 280], [20, 330]]))
    own = np.zeros(scan.grey.shape, np.uint8)
    cv2.fillPoly(own, [np.round(camera.corners(A4)).astype(np.int32)], 1)
    other = np.zeros_like(own)
    cv2.fillPoly(other, [np.round(under).astype(np.int32)], 1)
    both = scan.colour.copy()
    both[(other > 0) & (own == 0)] = (228, 222, 210)
    covered = replace(scan, colour=both, grey=np.asarray(cv2.cvtColor(both, cv2.COLOR_RGB2GRAY), np.uint8))
    assert straightened(covered).mm_per_px is None


def test_a_sheet_darker_than_the_table_is_found_when_told() -> None:
    camera = replace(NEAR, tilt_deg=10, azimuth_deg=80)
    kraft = page(A4, 5.0) * np.array([0.62, 0.5, 0.36], np.float32)
    pixels = photograph(kraft, A4, camera, Setting(table="pale"))
    scan = replace(scan_of(pixels), from_camera=True)
    flat = straightened(scan, Reading(photo_of=paper_named("A4")))
    assert flat.mm_per_px is not None
    true = camera.corners(A4)
    area = cv2.contourArea(true.astype(np.float32))
    assert 210 * 297 / flat.mm_per_px**2 == pytest.approx(area, rel=0.005)


def test_a_scan_with_the_lid_open_is_cut_out_at_its_own_size() -> None:
    rng = np.random.default_rng(2)
    pixels = np.full((1500, 1100, 3), 35.0)
    corners = np.array(
        [[60.0, 80], [1020, 60], [1046, 1308], [86, 1328]]
    )  # 960.2 x 1248.3 px, turned 1.2 degrees
    cv2.fillPoly(pixels, [np.round(corners).astype(np.int32)], (240, 238, 232))
    cv2.circle(pixels, (550, 700), 200, (20, 20, 20), 6)
    noisy = np.clip(cv2.GaussianBlur(pixels, (0, 0), 0.8) + rng.normal(0, 3, pixels.shape), 0, 255)
    scan = scan_of(noisy.astype(np.uint8), Reading(dpi=None))
    scan = replace(scan, mm_per_px=25.4 / 120, scale_source="120 dpi, from the file")
    flat = straightened(scan)
    assert flat.mm_per_px == scan.mm_per_px
    assert flat.grey.shape == pytest.approx((1248, 960), abs=2)
    assert (flat.grey < 120).mean() == pytest.approx(
        2 * np.pi * 200 * 6 / (1248 * 960), rel=0.15
    )  # the ring alone


def test_a_scan_is_not_searched_for_a_sheet() -> None:
    white = np.clip(np.random.default_rng(1).normal(235, 4, (900, 700)), 0, 255).astype(np.uint8)
    cv2.rectangle(white, (60, 60), (640, 840), 20, 25)
    scan = replace(scan_of(white), mm_per_px=0.1)
    assert straightened(scan) is scan
    assert straightened(replace(scan, mm_per_px=None)).grey is scan.grey


@settings(max_examples=25, deadline=None)
@given(st.integers(16, 90), st.integers(16, 90), st.integers(0, 999), st.integers(0, 3))
def test_any_picture_ends_in_a_picture(width: int, height: int, seed: int, kind: int) -> None:
    rng = np.random.default_rng(seed)
    shape = (height, width, 3) if kind % 2 else (height, width)
    pixels = (
        np.full(shape, seed % 256, np.uint8) if kind > 1 else rng.integers(0, 256, shape).astype(np.uint8)
    )
    scan = replace(scan_of(pixels), from_camera=seed % 2 == 0)
    assert straightened(scan, Reading(deskew=True)).grey.size > 0
