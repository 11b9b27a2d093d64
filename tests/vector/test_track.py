"""Lines followed blind and half blind come out where they should; others end where the ink does."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pen import FINER, Page

from tracer.raster.ink import find_ink
from tracer.vector.track import BLIND, STEPS, Start, Tracks, track

TURNS_OFF = "a track takes the edge of the line it crosses for its own"


def followed(
    page: Page,
    place: np.ndarray,
    heading: np.ndarray,
    width: float,
    *,
    ahead: float = np.inf,
    bend: float = 0.0,
) -> tuple[Tracks, np.ndarray]:
    """The track from a place (art pixels) on, and its points in art pixels."""
    ink = find_ink(page.scan)
    one = np.ones(1)
    width += 1 / FINER  # the page inks the fine pixels that an edge touches, too
    start = Start(
        place[None] * ink.zoom,
        heading[None],
        bend / ink.zoom * one,
        width * ink.zoom * one,
        0 * one,
        ahead * ink.zoom * one,
    )
    tracks = track(ink, start)
    return tracks, tracks.of(0) / ink.zoom


def through_a_crossing(
    between_deg: float, turn_deg: float, width: float
) -> tuple[Tracks, np.ndarray, np.ndarray]:
    """The track of one of two crossing lines, its points along it and across it, the crossing at 0."""
    middle = np.array([140.3, 139.8])
    page = Page(280, 280)
    ways = [np.array([np.cos(a), np.sin(a)]) for a in np.radians([turn_deg, turn_deg + between_deg])]
    for way in ways:
        page.line(tuple(middle - 11 * width * way), tuple(middle + 11 * width * way), width=width)
    # Two bands of width w at an angle a are one w/2 (1 / sin a + 1 / tan a) either side of their crossing.
    b = np.radians(between_deg)
    back = width * (0.5 / np.sin(b) + 0.5 / np.abs(np.tan(b)) + 1)
    tracks, points = followed(page, middle - back * ways[0], ways[0], width, ahead=back)
    across = (points - middle) @ np.array([-ways[0][1], ways[0][0]])
    return tracks, (points - middle) @ ways[0], across


@pytest.mark.parametrize("between_deg", [45, 60, 75, 90, 105, 120, 135])
@pytest.mark.parametrize("turn_deg", [10, 55, 130])
@pytest.mark.parametrize("width", [8.0, 12.0])
def test_a_line_comes_out_of_a_crossing_on_its_other_half(
    between_deg: float, turn_deg: float, width: float
) -> None:
    tracks, along, across = through_a_crossing(between_deg, turn_deg, width)
    assert tracks.locked[0]
    assert along[-1] > 0.5 * width
    assert np.abs(across).max() < 1.0
    assert np.abs(across[-4:]).max() < 0.5


@pytest.mark.parametrize(
    ("between_deg", "turn_deg", "width"),
    [
        (35, 10, 12),
        (38, 100, 8),
        (45, 30, 5),
        (60, 100, 5),
        *(
            pytest.param(*case, marks=pytest.mark.xfail(strict=True, reason=TURNS_OFF))
            for case in [
                (25, 10, 12),
                (30, 60, 12),
                (76, 75, 8),
                (134.5625, 0, 8),
                (32.1, 68.1, 8),
                (35, 161.5, 8),
                (26.5, 119, 5),
                (34.9, 33.7, 5),
                (39.9, 0.9, 5),
            ]
        ),
    ],
)
def test_a_line_comes_out_of_a_harder_crossing(between_deg: float, turn_deg: float, width: float) -> None:
    tracks, along, across = through_a_crossing(between_deg, turn_deg, width)
    assert tracks.locked[0]
    assert along[-1] > 0.5 * width
    assert np.abs(across[-4:]).max() < 0.5


@settings(max_examples=20)
@given(st.floats(40, 140), st.sampled_from([5.0, 8.0, 12.0]))
def test_a_bar_is_followed_straight_past_a_stem(lean_deg: float, width: float) -> None:
    # One edge is in sight all along: nothing is guessed.
    a = np.radians(lean_deg)
    page = Page().line((20, 60.3), (280, 60.3), width=width)
    page.line((150, 60.3), (150 + 100 * np.cos(a), 60.3 + 100 * np.sin(a)), width=width)
    start = np.array([150 - 3 * width, 60.3])
    tracks, points = followed(page, start, np.array([1.0, 0.0]), width, ahead=3 * width)
    assert tracks.locked[0]
    assert (tracks.seen[0, : tracks.count[0]] > 0).all()
    assert np.abs(points[:, 1] - 60.3).max() < 0.5


@pytest.mark.parametrize("radius", [30.0, 60.0, 90.0])
def test_a_bend_goes_on_through_a_crossing(radius: float) -> None:
    page = Page().ring(150, 100, radius).line((150, 100), (290, 100))
    a = np.radians(-20)
    place = np.array([150 + radius * np.cos(a), 100 + radius * np.sin(a)])
    # Clockwise as seen (y down): from x towards y, at 1 / radius.
    heading = np.array([-np.sin(a), np.cos(a)])
    tracks, points = followed(page, place, heading, 8, ahead=radius * np.radians(20), bend=1 / radius)
    assert tracks.locked[0]
    assert points[-1, 1] > 103
    assert np.abs(np.hypot(*(points - (150, 100)).T) - radius).max() < 0.6


def test_a_track_ends_on_paper() -> None:
    tracks, points = followed(
        Page().line((20, 100.2), (150.4, 100.2)), np.array([120.0, 100.2]), np.array([1.0, 0.0]), 8
    )
    # Half the width beyond the pen's last place begins the paper; steps are an eighth of the width.
    assert points[-1, 0] == pytest.approx(150.4 + 4, abs=1.5)
    assert np.abs(points[:, 1] - 100.2).max() < 0.3
    assert not tracks.locked[0]
    assert not tracks.stopped[0]


def test_a_track_is_stopped_at_the_border_and_by_a_solid() -> None:
    right = np.array([1.0, 0.0])
    tracks, points = followed(Page().line((20, 100), (300, 100)), np.array([280.0, 100]), right, 8)
    assert tracks.stopped[0]
    assert points[-1, 0] == pytest.approx(300, abs=1.1)
    page = Page().line((20, 100), (200, 100)).disc(220, 100, 45).line((20, 20), (280, 20))
    tracks, points = followed(page, np.array([155.0, 100]), right, 8)
    assert tracks.stopped[0]
    assert points[-1, 0] == pytest.approx(175, abs=2)


def test_a_track_without_edges_gives_up() -> None:
    # From the middle of a solid band that is no solid to the ink: far wider than the line that is followed.
    tracks, points = followed(
        Page().line((20, 100), (280, 100), width=24), np.array([60.0, 100.0]), np.array([1.0, 0.0]), 6
    )
    assert not tracks.locked[0]
    assert not tracks.stopped[0]
    assert tracks.count[0] == pytest.approx(1 + BLIND * STEPS, abs=1)
    assert np.abs(points[:, 1] - 100).max() < 0.1


def test_a_neck_is_narrow() -> None:
    page = (
        Page().line((20, 100), (120, 100)).line((120, 100), (180, 100), width=5).line((180, 100), (280, 100))
    )
    tracks, points = followed(page, np.array([100.0, 100.0]), np.array([1.0, 0.0]), 8)
    narrow = tracks.narrow[0, : tracks.count[0]]
    x = points[narrow, 0]
    assert len(x)
    assert x.min() > 120
    assert not narrow[points[:, 0] < 118].any()
    assert narrow[(points[:, 0] > 126) & (points[:, 0] < 140)].all()


def test_all_lines_are_followed_as_each_alone() -> None:
    page = Page().line((20, 60), (280, 60)).line((150, 60), (150, 180)).line((60, 20), (90, 180))
    places = [
        ((60.0 + 30, 60.0), (1.0, 0.0)),
        ((150.0, 90.0), (0.0, -1.0)),
        ((86.25, 160.0), (-0.184, -0.983)),
    ]
    ink, width = find_ink(page.scan), 8.0
    points, headings = (np.array(part) for part in zip(*places, strict=True))
    headings /= np.hypot(*headings.T)[:, None]
    three = np.ones(3)
    together = track(
        ink,
        Start(
            points * ink.zoom,
            headings,
            0 * three,
            (width + 1 / FINER) * ink.zoom * three,
            0 * three,
            np.inf * three,
        ),
    )
    for k in range(3):
        alone, _ = followed(page, points[k], headings[k], width)
        np.testing.assert_allclose(alone.of(0), together.of(k), atol=1e-9)


def test_a_track_without_a_direction_stays_where_it_is() -> None:
    place = np.array([150.0, 100.0])
    _, points = followed(Page().line((40, 100), (260, 100)), place, np.zeros(2), 8.0)
    assert np.isfinite(points).all()
    assert np.abs(points - place).max() < 8.0
