"""Scans that lie askew are turned straight, if asked and if something tells by how much."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.art.read import scan_of
from tracer.raster.deskew import skew_deg
from tracer.raster.straighten import straightened
from tracer.reading import Reading

ASKEW = Reading(deskew=True)


def ruled(angle_deg: float, *, text: bool = False) -> NDArray[np.uint8]:
    """A page with a frame, or with rows of short strokes like writing, turned clockwise about its middle."""
    sheet = np.full((1400, 1000), 240, np.uint8)
    rng = np.random.default_rng(3)
    if text:
        for y in range(250, 1150, 42):
            row = "".join(rng.choice(list("an even row of letters on a page"), 38))
            cv2.putText(sheet, row, (200, y), cv2.FONT_HERSHEY_SIMPLEX, 0.9, 30, 2, cv2.LINE_AA)
    else:
        cv2.rectangle(sheet, (180, 260), (820, 1140), 20, 4, cv2.LINE_AA)
        cv2.circle(sheet, (500, 700), 200, 20, 4, cv2.LINE_AA)
    turn = cv2.getRotationMatrix2D((499.5, 699.5), -angle_deg, 1.0)
    turned = cv2.warpAffine(sheet, turn, (1000, 1400), flags=cv2.INTER_CUBIC, borderValue=240)
    noise = rng.normal(0, 4, turned.shape)
    return np.asarray(np.clip(turned + noise, 0, 255), np.uint8)


@pytest.mark.parametrize("angle_deg", [-12.3, -3.0, -0.4, 0.9, 5.5, 14.0])
@pytest.mark.parametrize("text", [False, True])
def test_the_angle_is_found(angle_deg: float, *, text: bool) -> None:
    # 0.1 degrees are 0.5 mm in 297: as true as a sheet is laid on a scanner
    assert skew_deg(ruled(angle_deg, text=text)) == pytest.approx(angle_deg, abs=0.1)


def test_the_scan_is_turned_back_whole_and_keeps_its_size() -> None:
    scan = scan_of(ruled(6.0), Reading(dpi=150))
    flat = straightened(scan, ASKEW)
    assert skew_deg(flat.grey) == pytest.approx(0, abs=0.1)
    assert flat.mm_per_px == scan.mm_per_px
    assert any("anticlockwise by 6.0" in note or "anticlockwise by 5.9" in note for note in flat.notes)
    dark = np.argwhere(flat.grey < 90)
    # the frame's sides, with their pen, are 644 and 884 px
    assert np.ptp(dark, axis=0) + 1 == pytest.approx([884, 644], abs=3)


def test_a_scan_is_left_alone_unless_asked() -> None:
    scan = scan_of(ruled(6.0), Reading(dpi=150))
    assert straightened(scan) is scan


@pytest.mark.parametrize(
    ("angle_deg", "told"),
    [
        (1.0, "1.0 degrees askew, clockwise"),
        (-2.5, "2.5 degrees askew, anticlockwise"),
        (0.3, ""),
        (-6.0, ""),
    ],
)
def test_that_it_lies_askew_is_said_where_nobody_asked_to_turn_it(angle_deg: float, told: str) -> None:
    # 0.5 degrees are 2.6 mm in 297: seen on a board; beyond 4 nobody lays a sheet so, it was drawn so
    notes = straightened(scan_of(ruled(angle_deg), Reading(dpi=150))).notes
    assert [note for note in notes if "askew" in note] == (
        [f"its straight lines lie {told}: --deskew turns it straight"] if told else []
    )


def test_without_straight_lines_it_is_left_and_said() -> None:
    sheet = np.full((1400, 1000), 240, np.uint8)
    for k in range(1, 12):
        cv2.circle(sheet, (500, 700), 40 * k, 20, 4, cv2.LINE_AA)
    scan = scan_of(sheet)
    flat = straightened(scan, ASKEW)
    assert flat.grey is scan.grey
    assert any("no long straight lines" in note for note in flat.notes)


def test_a_straight_scan_is_not_resampled() -> None:
    scan = scan_of(ruled(0.0))
    flat = straightened(scan, ASKEW)
    assert flat.grey is scan.grey
    assert any("straight already" in note for note in flat.notes)
