"""Lines and solids: told apart by how wide ink is, and by how long for its width."""

import numpy as np
import pytest
import shapely
from pen import Page

from tracer.model.ink import Ink
from tracer.raster.ink import find_ink


def ink_of(page: Page) -> Ink:
    return find_ink(page.scan)


def at(ink: Ink, x: float, y: float) -> str:
    """What lies at a place, art pixels."""
    place = int(y * ink.zoom), int(x * ink.zoom)
    return "solid" if ink.solid[place] else "line" if ink.line[place] else "paper"


def drawn(*, width: float = 6) -> Page:
    """Enough pen lines to say what a pen is."""
    return Page(600, 300).line((20, 20), (580, 20), width=width).line((20, 280), (580, 280), width=width)


def swelling(start: tuple[float, float], end: tuple[float, float], widest: float) -> shapely.Polygon:
    """A brush stroke that swells from a point to `widest` and back (a half wave of the sine)."""
    a, b = np.array(start), np.array(end)
    t = np.linspace(0, 1, 200)[:, None]
    along, aside = a + t * (b - a), np.array([a[1] - b[1], b[0] - a[0]]) / np.hypot(*(b - a))
    half = np.maximum(widest / 2 * np.sin(np.pi * t), 0.5)
    return shapely.Polygon(np.concatenate([along + half * aside, (along - half * aside)[::-1]]))


@pytest.mark.parametrize("lines", [0, 1, 2, 5, 12])
def test_a_lamp_three_pens_wide_is_solid_whatever_runs_into_it(lines: int) -> None:
    page = drawn().disc(300, 150, 9)
    for k in range(lines):
        a = 0.3 + 2 * np.pi * k / lines
        page.line((300, 150), (300 + 70 * np.cos(a), 150 + 70 * np.sin(a)), width=6)
    ink = ink_of(page)
    if lines < 12:  # a dozen lines 6 wide fill the middle of their star far beyond the disc
        assert at(ink, 300, 150) == "solid"
        assert np.count_nonzero(ink.solid) / ink.zoom**2 == pytest.approx(np.pi * 81, rel=0.25 + 0.05 * lines)
    for k in range(lines):
        a = 0.3 + 2 * np.pi * k / lines
        assert at(ink, 300 + 50 * np.cos(a), 150 + 50 * np.sin(a)) == "line"


def test_a_small_pennant_is_solid_to_its_corners() -> None:
    corners = [(300, 100), (300, 128), (340, 114)]
    ink = ink_of(drawn().line((300, 90), (300, 250), width=6).solid(*corners))
    assert at(ink, 312, 114) == "solid"
    assert at(ink, 334, 114) == "solid"
    assert at(ink, 300, 220) == "line"


def test_a_second_pen_draws_lines() -> None:
    # 1 px hair beside 20 px outlines: as wide as solids, as long as lines.
    page = Page(600, 300).ring(300, 150, 120, width=20)
    for y in range(60, 260, 12):
        page.line((215, y + 0.3), (385, y + 40.7), width=1.4)
    ink = ink_of(page)
    assert not ink.solid.any()
    assert at(ink, 300 + 120, 150) == "line"


@pytest.mark.parametrize("widest", [12, 18, 24])
def test_a_line_that_swells_stays_a_line(widest: int) -> None:
    page = drawn(width=5)
    for k in range(4):
        page._ink(swelling((40 + 130 * k, 60), (150 + 130 * k, 240), widest))
    ink = ink_of(page)
    assert not ink.solid.any()


def test_one_broad_stripe_is_solid() -> None:
    page = drawn().line((20, 60), (580, 60), width=6).line((20, 250), (580, 250), width=6)
    page.line((20, 100), (580, 100), width=6).line((20, 220), (580, 220), width=6)
    ink = ink_of(page.solid((100, 140), (360, 140), (360, 170), (100, 170)))
    assert at(ink, 230, 155) == "solid"
    assert np.count_nonzero(ink.solid) / ink.zoom**2 == pytest.approx(260 * 30, rel=0.03)


def test_a_bead_on_a_thick_line_is_solid_and_the_line_goes_on() -> None:
    page = drawn(width=5).line((20, 60), (580, 60), width=5).line((60, 150), (540, 150), width=11)
    ink = ink_of(page.disc(300, 150, 24))
    assert at(ink, 300, 150) == "solid"
    assert [at(ink, x, 150) for x in (100, 250, 350, 500)] == ["line"] * 4


@pytest.mark.parametrize("between_deg", [8, 15, 30, 90])
def test_lines_that_merge_are_no_solid(between_deg: float) -> None:
    a = np.radians(between_deg)
    page = drawn().line((60, 150), (540, 150), width=6)
    page.line((150, 150), (150 + 380 * np.cos(a), 150 - 120 * min(1, 3 * np.sin(a))), width=6)
    assert not ink_of(page).solid.any()


def test_neither_solids_nor_specks_make_the_line_wider_or_thinner() -> None:
    plain = ink_of(drawn())
    busy = drawn().disc(100, 150, 60).disc(250, 150, 60).disc(400, 150, 60)
    rng = np.random.default_rng(5)
    for x, y in rng.uniform((490, 40), (590, 260), (60, 2)):
        busy.disc(x, y, 1.6)
    assert ink_of(busy).line_width == plain.line_width


def test_a_solid_with_a_hole_is_one_solid() -> None:
    page = drawn().solid((200, 80), (400, 80), (400, 220), (200, 220))
    page.fine[(150 - 22) * 8 : (150 + 22) * 8, (300 - 22) * 8 : (300 + 22) * 8] = 255
    ink = ink_of(page)
    assert at(ink, 220, 100) == at(ink, 380, 200) == "solid"
    assert at(ink, 300, 150) == "paper"
    assert not ink.line[int(60 * ink.zoom) : int(240 * ink.zoom)].any()


@pytest.mark.parametrize(("width", "length"), [(1.6, 9), (2.5, 14), (6, 16)])
def test_lashes_and_whiskers_on_a_solid_are_lines(width: float, length: float) -> None:
    page = drawn().disc(300, 150, 20)
    for a in (0.2, 1.1, 2.0, 3.9, 5.1):
        ray = np.array([np.cos(a), np.sin(a)])
        page.line(tuple((300, 150) + 15 * ray), tuple((300, 150) + (20 + length) * ray), width=width)
    ink = ink_of(page)
    assert at(ink, 300, 150) == "solid"
    for a in (0.2, 1.1, 2.0, 3.9, 5.1):
        x, y = (300, 150) + (20 + 0.7 * length) * np.array([np.cos(a), np.sin(a)])
        assert at(ink, x, y) == "line"
        row, column = int(y * ink.zoom), int(x * ink.zoom)
        assert ink.skeleton[row - 3 : row + 4, column - 3 : column + 4].any()


def test_horns_of_a_solid_belong_to_it() -> None:
    ink = ink_of(drawn().solid((280, 120), (320, 120), (330, 90), (336, 140), (320, 180), (280, 180)))
    assert at(ink, 330, 99) == "solid"
    assert not ink.line[int(60 * ink.zoom) : int(240 * ink.zoom)].any()


def test_the_head_of_an_arrow_drawn_with_a_wide_pen_is_no_solid() -> None:
    page = drawn(width=7).line((20, 40), (580, 40), width=7)
    page.line((100, 150), (400, 150), width=10.5).line((330, 101), (400, 150), (330, 199), width=10.5)
    assert not ink_of(page).solid.any()


def test_huge_solids_are_left_out_of_the_thinning() -> None:
    page = Page(600, 500).line((20, 20), (580, 20)).line((20, 480), (580, 480)).line((590, 20), (590, 480))
    page.disc(300, 250, 200).line((300, 250), (560, 250))
    ink = ink_of(page)
    assert np.count_nonzero(ink.solid) / ink.zoom**2 == pytest.approx(np.pi * 200**2, rel=0.01)
    assert at(ink, 520, 250) == "line"
    # The skeleton is that of the lines: their lengths less their caps, up to the disc.
    assert np.count_nonzero(ink.skeleton) / ink.zoom == pytest.approx(560 + 560 + 460 + 60, abs=30)
    assert ink.line_width / ink.zoom == pytest.approx(8, abs=1)
