"""Layers of the template: what is on each, and that a viewer can hide one (rendered by pdfium)."""

import pypdfium2
import pypdfium2.raw as raw
import pytest
from sheets import pages
from sheets.plans import small_plan

from tracer.sheets.template import BANDS, BOARD, RUNS, SHEET, TRACK, write_template

BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}


@pytest.fixture
def file(tmp_path):
    write_template(small_plan(), tmp_path / "t.pdf")
    return tmp_path / "t.pdf"


def hidden(file, name):
    """The same file with one layer switched off: pdfium finds the objects again by itself."""
    content = file.read_bytes()
    number = content.rpartition(b"/Name (" + name.encode())[0].rpartition(b" 0 obj")[0].rpartition(b"\n")[2]
    assert number.isdigit()
    off = content.replace(b"/ON [", b"/OFF [ " + number + b" 0 R ] /ON [")
    assert off != content
    other = file.with_name(f"without-{number.decode()}.pdf")
    other.write_bytes(off)
    return other


def test_each_layer_can_be_hidden(file):
    whole = pages.rendered(file, dpi=150)
    reds, darks, inked = pages.red(whole).sum(), pages.dark(whole).sum(), (whole.min(axis=2) < 240).sum()
    names = (TRACK, BANDS, RUNS, BOARD, SHEET)
    images = {name: pages.rendered(hidden(file, name), dpi=150) for name in names}
    assert pages.red(images[TRACK]).sum() < 0.75 * reds  # arrows are left
    assert pages.red(images[BANDS]).sum() == pytest.approx(reds, rel=0.02)
    assert (images[BANDS].min(axis=2) < 240).sum() < 0.8 * inked
    assert pages.dark(images[RUNS]).sum() < darks
    assert pages.dark(images[SHEET]).sum() < 0.6 * darks
    assert (images[BOARD] != whole).any()
    for image in images.values():
        assert (image.min(axis=2) < 240).sum() < inked


def test_everything_drawn_is_on_a_layer(file):
    document = pypdfium2.PdfDocument(file)
    try:
        for thing in document[0].get_objects():
            assert raw.FPDFPageObj_CountMarks(thing) == 1
    finally:
        document.close()


def test_layers_are_the_same_on_all_sheets(tmp_path):
    write_template(small_plan(**BIG), tmp_path / "t.pdf")
    content = (tmp_path / "t.pdf").read_bytes()
    assert content.count(b"/Type /OCG") == 5
    assert content.count(b"/Properties") == len(pages.sizes(tmp_path / "t.pdf")) > 1


def test_pages_are_packed_as_bytes(file):
    assert b"ASCII85Decode" not in file.read_bytes().split(b"/FontFile2")[0]
    assert "Kite sign" in pages.texts(file)[0]
