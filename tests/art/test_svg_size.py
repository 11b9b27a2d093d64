"""How large an SVG drawing is on paper, and when that is not known."""

import pytest
from art.svg_files import PEN, read

from tracer.errors import ArtError
from tracer.reading import Known, Reading

LINE = f'<path d="M10 10h50" {PEN}/>'


@pytest.mark.parametrize(
    ("root", "length"),
    # 50 units long; W3C, CSS 2.1 4.3.2: 1in = 25.4mm = 96px = 72pt = 6pc.
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 50),
        ('width="10cm" viewBox="0 0 100 100"', 50),
        ('width="100mm" height="100mm"', 50 / 96 * 25.4),
        ('width="1in" height="1in" viewBox="0 0 72 72"', 50 / 72 * 25.4),
        ('width="72pt" height="72pt" viewBox="0 0 72 72"', 50 / 72 * 25.4),
        ('height="6pc" viewBox="0 0 72 72"', 50 / 72 * 25.4),
        ('width="100%" height="80mm" viewBox="0 0 100 80"', 50),
    ],
)
def test_units_of_paper_are_believed(tmp_path, root, length):
    drawing = read(tmp_path, LINE, root)
    assert drawing.strokes[0].length * drawing.mm_per_px == pytest.approx(length)
    assert "from the file" in drawing.scale_source
    assert 1000 <= drawing.bounds[2] - drawing.bounds[0] <= 2000


@pytest.mark.parametrize(
    "root", ["", 'width="100" height="80"', 'width="100px"', 'viewBox="0 0 90 90"', 'width="50%"']
)
def test_screen_pixels_are_not(tmp_path, root):
    drawing = read(tmp_path, LINE, root)
    assert drawing.mm_per_px is None
    assert "unknown" in drawing.scale_source
    assert 1000 <= drawing.strokes[0].length <= 2000


def test_what_the_user_says_wins(tmp_path):
    root = 'width="100mm" height="50mm" viewBox="0 0 200 100"'

    def length(reading: Reading) -> float:
        drawing = read(tmp_path, LINE, root, reading)
        assert "as said" in drawing.scale_source
        return drawing.strokes[0].length * drawing.mm_per_px

    assert length(Reading(art_width=300.0)) == pytest.approx(75)
    assert length(Reading(known=Known((10, 10), (60, 10), 123.0))) == pytest.approx(123)
    # 50 of 200 units over 100 mm are 25 mm, 94.488 CSS pixels: at 72 of them to the inch 33.33 mm.
    assert length(Reading(dpi=72)) == pytest.approx(25 * 96 / 72)


def test_a_known_length_needs_two_points(tmp_path):
    with pytest.raises(ArtError, match="same point"):
        read(tmp_path, LINE, reading=Reading(known=Known((1, 1), (1, 1), 5)))


def test_without_a_page_the_figure_is_as_wide_as_said(tmp_path):
    drawing = read(tmp_path, LINE, "", Reading(art_width=100))
    assert drawing.strokes[0].length * drawing.mm_per_px == pytest.approx(100)


@pytest.mark.parametrize(
    ("reading", "option"),
    [
        (Reading(page=2), "--page 2"),
        (Reading(deskew=True), "--deskew"),
        (Reading(open_gaps=(1,)), "--open-gaps"),
        (Reading(photo_of="any"), "--photo-of"),
        (Reading(corners=((1, 2), (30, 2), (30, 40), (1, 40))), "--corners"),
    ],
)
def test_what_is_said_of_pictures_only_is_refused(tmp_path, reading, option):
    with pytest.raises(ArtError, match=f"is an SVG file.*: leave out {option}"):
        read(tmp_path, LINE, "", reading=reading)
