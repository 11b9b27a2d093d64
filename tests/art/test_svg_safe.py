"""What is no whole, harmless SVG file ends in one sentence, soon."""

import contextlib
import gzip
import time
from pathlib import Path

import pytest
from art.svg_files import PEN, read, svg, told
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.art.svg_xml import is_svg
from tracer.art.vector_art import read_svg
from tracer.errors import ArtError

LINE = f'<path d="M10 10h50" {PEN}/>'


def saved(folder: Path, data: bytes | str, name: str = "a.svg") -> Path:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


@pytest.mark.parametrize(
    "head",
    [
        b"<svg>",
        b"<svg xmlns='x'/>",
        b'<?xml version="1.0"?>\n<!-- <html> -->\n<svg ',
        b"\xef\xbb\xbf<svg\n",
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n<svg>',
        b'<!DOCTYPE svg [<!ENTITY a "b">]><svg:svg xmlns:svg="http://www.w3.org/2000/svg">',
        "<svg>".encode("utf-16"),
        gzip.compress(b"<svg/>"),
    ],
)
def test_svg_is_known_by_its_first_element(head):
    assert is_svg(head)


@pytest.mark.parametrize(
    "head",
    [
        b"",
        b"\x89PNG\r\n\x1a\n<svg>",
        b"<html><body><svg></svg>",
        b"<!DOCTYPE html><svg>",
        b"<svgfoo>",
        b"svg",
        b"%PDF-1.4 <svg>",
        b"\x1f\x8bno gzip",
        gzip.compress(b"some text"),
        b"<!-- <svg> -->",
    ],
)
def test_other_files_are_not(head):
    # A declaration of type html before an svg element: whatever it is, it is no drawing by itself.
    assert not is_svg(head) or head.startswith(b"<!DOCTYPE html><svg")


def test_packed_files_are_read(tmp_path):
    text = svg(LINE)
    packed = read_svg(saved(tmp_path, gzip.compress(text.encode()), "a.svgz"))
    assert len(packed.strokes) == 1
    assert len(read_svg(saved(tmp_path, text.encode("utf-16"))).strokes) == 1


BOMB = "".join(f'<!ENTITY e{k} "{f"&e{k - 1};" * 10}">' for k in range(1, 12))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (svg('<path d="M 1 1 L NaN 5 L 9 9" stroke="black"/>'), "cannot be read: .* save it anew"),
        ("<svg><g></svg>", "mismatched tag on line 1"),
        ("<svg>\n<g>\n", "line 3"),
        ("<html/>", "first element is not svg"),
        ('<svg xmlns="http://www.w3.org/2000/svg"/>', "draws nothing"),
        (f'<!DOCTYPE svg [<!ENTITY e0 "lol">{BOMB}]><svg>&e11;</svg>', "grow beyond measure"),
        (f'<!DOCTYPE svg [<!ENTITY e "{"x" * 9000}">]><svg>{"&e;" * 900}</svg>', "grow beyond measure"),
        ('<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]><svg>&e;</svg>', "outside itself"),
        ("<svg>" + "<g>" * 500 + "</g>" * 500 + "</svg>", "120 elements within one another"),
        (b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03garbage", "cannot be unpacked"),
        (gzip.compress(svg(LINE).encode())[:-20], "cut short"),
        (gzip.compress(b"<svg>" + b" " * 70_000_000 + b"</svg>"), "more than 64 MB"),
        ('<?xml version="1.0" encoding="klingon"?><svg/>', "unknown encoding"),
    ],
)
def test_broken_and_hostile_files_end_in_a_sentence(tmp_path, data, words):
    begun = time.monotonic()
    with pytest.raises(ArtError, match=words) as caught:
        read_svg(saved(tmp_path, data))
    assert "a.svg" in str(caught.value)
    assert time.monotonic() - begun < 5


def test_abbreviations_that_drawing_programs_write_are_read(tmp_path):
    text = '<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg"><!ENTITY pen "fill:none;stroke:black">]>'
    path = saved(tmp_path, f'{text}<svg xmlns="&ns;"><path style="&pen;" d="M0 0h9"/></svg>')
    assert len(read_svg(path).strokes) == 1


def test_copies_of_copies_are_bounded(tmp_path, monkeypatch):
    monkeypatch.setattr("tracer.art.svg_walk.MOST", 3000)
    levels = "".join(f'<g id="g{k}">{f"""<use href="#g{k - 1}"/>""" * 10}</g>' for k in range(1, 9))
    with pytest.raises(ArtError, match="repeats its parts"):
        read(tmp_path, f'<defs><g id="g0"/>{levels}</defs><use href="#g8"/>')


def test_copies_that_hold_themselves_are_left_out(tmp_path):
    drawing = read(
        tmp_path,
        f'{LINE}<g id="a"><use href="#a"/></g><g id="b"><use href="#c"/></g><g id="c"><use href="#b"/></g>',
    )
    assert len(drawing.strokes) == 1
    assert told(drawing, "hold themselves")
    assert told(read(tmp_path, f'{LINE}<use href="#nobody"/>'), "points to nothing")


def test_too_many_curves_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("tracer.art.vector_art.MOST", 3)
    with pytest.raises(ArtError, match="4 curves, up to 3"):
        read(tmp_path, f'<path d="M0 0L1 1L2 0L3 1L4 0" {PEN}/>')


@pytest.mark.parametrize(
    "body",
    [
        '<path d="M0 0A1e308 5 0 0 1 9 9" {}/>',
        '<path d="M0 0Q1e308 -1e308 9 9T" {}/>',
        '<circle r="1e308" {}/>',
        '<g transform="translate(1e308 0) scale(1e300)"><path d="M0 0h9" {}/></g>',
        '<svg width="1e308" viewBox="0 0 1e-300 1"><path d="M0 0h9" {}/></svg>',
        '<path d="M0 0h9" stroke="black" stroke-width="1e300"/>',
        '<use href="#nobody" x="1e308"/><path d="M 0" {}/>',
        '<path d="M0 0h9" transform="matrix(0 0 0 0 1e300 1e300)" {}/>',
    ],
)
def test_coordinates_beyond_measure_are_dropped(tmp_path, body):
    # Warnings are errors in the tests: nothing may overflow on the way.
    drawing = read(tmp_path, f'<path d="M9 9h50" {PEN}/>' + body.format(PEN))
    assert len(drawing.strokes) == 1


ODD = (
    "<style>.a{fill:none;stroke:#123}</style>"
    '<defs><clipPath id="c"><circle r="50"/></clipPath></defs>'
    '<g transform="rotate(10) scale(2)" clip-path="url(#c)">'
    '<path class="a" d="M1 2C3 4 5 6 7 8A5 5 0 0 1 20 20z"/>'
    '<rect x="5%" width="2cm" height="10" rx="2"/></g>'
    '<use href="#b" x="3"/><ellipse id="b" rx="4" ry="2"/>'
)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_any_damage_ends_in_strokes_or_a_sentence(tmp_path_factory, data):
    text = svg(ODD).encode()
    if data.draw(st.booleans()):
        text = text[: data.draw(st.integers(0, len(text)))]
    for _ in range(data.draw(st.integers(0, 6))):
        k = data.draw(st.integers(0, max(0, len(text) - 1)))
        text = text[:k] + data.draw(st.binary(max_size=3)) + text[k + 1 :]
    with contextlib.suppress(ArtError):
        assert read_svg(saved(tmp_path_factory.mktemp("odd"), text)).strokes
