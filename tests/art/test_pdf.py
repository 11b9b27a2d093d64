"""Pages of PDFs: at their true size, as densely as what is on them needs; or one sentence."""

import io
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Lock

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pdfs import pdf, picture, stream
from PIL import Image
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from tracer.art import admit
from tracer.art.pdf import _drawn
from tracer.art.pdf_contents import Contents
from tracer.art.read import read_picture
from tracer.errors import ArtError
from tracer.model.scan import Scan
from tracer.reading import Reading

A4 = "/MediaBox[0 0 595.276 841.890]"
CROSS = b"2 w 20 100 m 280 100 l S 150 20 m 150 180 l S"
SMALL = "/MediaBox[0 0 300 200]"


def read(folder: Path, data: bytes, **said: object) -> Scan:
    (folder / "a.pdf").write_bytes(data)
    return read_picture(folder / "a.pdf", Reading(**said))  # type: ignore[arg-type]


def test_a_drawing_stands_where_it_was_drawn(tmp_path: Path) -> None:
    scan = read(tmp_path, pdf((SMALL, CROSS)))
    assert scan.colour is None
    assert scan.mm_per_px is not None
    rows, columns = np.nonzero(scan.grey < 128)
    # From 20 to 280 and from 20 to 180 of 1/72 in, y upwards, the page's height 200 of them.
    inches = np.array([columns.min(), columns.max() + 1, rows.min(), rows.max() + 1]) * scan.mm_per_px / 25.4
    assert inches * 72 == pytest.approx([20, 280, 20, 180], abs=0.25)
    assert scan.scale_source == "the PDF's page, 106 x 71 mm"


@pytest.mark.parametrize(
    ("width", "dpi"),
    [
        (5.0, 300),  # wide lines: 300 dpi give 20.8 px
        (1.0, 504),  # 7 px / (1/72 in)
        (0.1, 1200),  # thinner than 7 px at the densest
    ],
)
def test_thin_lines_are_drawn_more_densely(tmp_path: Path, width: float, dpi: int) -> None:
    scan = read(tmp_path, pdf((SMALL, b"%g w 20 100 m 280 100 l S" % width)))
    assert scan.mm_per_px == pytest.approx(25.4 / dpi, rel=1e-3)
    assert f"the PDF's page was drawn at {dpi} dpi" in scan.notes


def test_a_line_drawn_through_a_scale_is_as_thin_as_it_looks(tmp_path: Path) -> None:
    form = stream("/Type/XObject/Subtype/Form/BBox[0 0 3000 2000]", b"10 w 200 1000 m 2800 1000 l S")
    page = f"{SMALL}/Resources<</XObject<</F 3 0 R>>>>"
    scan = read(tmp_path, pdf((page, b"q .1 0 0 .1 0 0 cm /F Do Q"), others=[form]))
    assert "the PDF's page was drawn at 504 dpi" in scan.notes  # 10 x 0.1 = 1 unit


@pytest.mark.parametrize(
    ("box", "dpi"),
    [
        ("0 0 595.276 841.890", 610.2),  # A4 and 36 million pixels: sqrt(36e6 / (8.268 in x 11.693 in))
        ("0 0 2383.937 3370.394", 215.5),  # A0 and 72 million: sqrt(72e6 / (33.11 in x 46.81 in)) = 215.5
    ],
)
def test_a_large_page_of_thin_lines(tmp_path: Path, box: str, dpi: int) -> None:
    width, height = (float(side) / 72 for side in box.split()[2:])
    density = Contents(None, None, 0.0, 0.1 / 72, 0).density(width, height, None)
    assert density == pytest.approx(dpi, rel=0.001)


def test_what_the_user_says_of_dpi_is_how_it_is_drawn(tmp_path: Path) -> None:
    scan = read(tmp_path, pdf((SMALL, CROSS)), dpi=144.0)
    assert scan.grey.shape == (400, 600)
    assert scan.mm_per_px == pytest.approx(25.4 / 144)
    assert read(tmp_path, pdf((SMALL, CROSS)), art_width=60.0, dpi=144.0).mm_per_px == pytest.approx(0.1)


def test_large_pages_are_drawn_less_densely(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(admit, "KEPT", 240_000)
    scan = read(tmp_path, pdf((SMALL, CROSS)))
    assert scan.grey.shape == (400, 600)
    assert scan.mm_per_px == pytest.approx(25.4 / 144)
    assert scan.notes == ("the PDF's page was drawn at 144 dpi",)


def test_colour_is_kept(tmp_path: Path) -> None:
    scan = read(tmp_path, pdf((SMALL, b"1 0 0 rg 0 0 150 200 re f")))
    assert scan.colour is not None
    assert scan.colour[50, 50].tolist() == [255, 0, 0]
    assert scan.colour[50, -50].tolist() == [255, 255, 255]


@pytest.mark.parametrize("page", [1, 2])
def test_each_page(tmp_path: Path, page: int) -> None:
    data = pdf((SMALL, CROSS), ("/MediaBox[0 0 400 500]", CROSS))
    scan = read(tmp_path, data, page=page)
    assert scan.scale_source.endswith({1: "106 x 71 mm", 2: "141 x 176 mm"}[page])
    assert scan.notes[0] == {1: "the first of 2 pages was taken", 2: "page 2 of 2 was taken"}[page]


def noise(width: int = 240, height: int = 160) -> np.ndarray:
    return np.random.default_rng(5).integers(0, 2, (height, width), np.uint8) * 255


def scanned(
    array: np.ndarray, place: bytes, page: str = "/MediaBox[0 0 115.2 76.8]", more: bytes = b""
) -> bytes:
    """A page with an image where `place` puts the unit square; 115.2 units are 240 px at 150 dpi."""
    entries = f"{page}/Resources<</XObject<</I 3 0 R>>>>"
    content = b"q " + place + b" cm /I Do Q " + more
    return pdf((entries, content), others=[picture(array.shape[1], array.shape[0], array.tobytes())])


PLACES = [
    (b"115.2 0 0 76.8 0 0", 0),
    (b"115.2 0 0 -76.8 0 76.8", 1),  # upside down in the file, as some writers put it
    (b"114.2 0 0 76.133333 0.4 0.5", 0),  # a margin all round
    (b"116.2 0 0 77.466667 -.5 -.3", 0),  # over the page's edge
]
"""Where the scan is put on its page, and whether upside down."""


@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
@pytest.mark.parametrize(("place", "flipped"), PLACES)
def test_a_scan_comes_pixel_for_pixel(tmp_path: Path, place: bytes, flipped: bool, rotate: int) -> None:
    page = f"/MediaBox[0 0 115.2 76.8]/Rotate {rotate}"  # clockwise (ISO 32000-1, table 30)
    scan = read(tmp_path, scanned(noise(), place, page))
    shown = np.rot90(scan.grey, rotate // 90)
    wanted = noise()[::-1] if flipped else noise()
    middle = wanted[40:120, 40:200]
    assert scan.mm_per_px == pytest.approx(25.4 / (240 / float(place.split()[0]) * 72), rel=1e-3)
    fits = [
        (y, x)
        for y in range(34, 47)
        for x in range(34, 47)
        if np.array_equal(shown[y : y + 80, x : x + 160], middle)
    ]
    assert len(fits) == 1, "no pixel is mixed with its neighbours"


def test_a_scan_put_in_on_its_side(tmp_path: Path) -> None:
    data = scanned(noise(), b"0 115.2 -76.8 0 76.8 0", "/MediaBox[0 0 76.8 115.2]")
    assert np.array_equal(read(tmp_path, data).grey, np.rot90(noise()))


def test_a_scan_that_leans_is_still_one(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"115.2 2 -2 76.8 1 -1"))
    assert scan.mm_per_px == pytest.approx(25.4 / 150, rel=2e-3)


def test_a_facsimile_gets_square_pixels(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(240, 80), b"115.2 0 0 76.8 0 0"))
    assert scan.grey.shape == (160, 240)
    assert scan.mm_per_px == pytest.approx(25.4 / 150)


def test_a_scan_in_strips(tmp_path: Path) -> None:
    upper, lower = noise()[:80], noise()[80:]
    entries = "/MediaBox[0 0 115.2 76.8]/Resources<</XObject<</I 3 0 R/J 4 0 R>>>>"
    content = b"q 115.2 0 0 38.4 0 38.4 cm /I Do Q q 115.2 0 0 38.4 0 0 cm /J Do Q"
    data = pdf((entries, content), others=[picture(240, 80, half.tobytes()) for half in (upper, lower)])
    scan = read(tmp_path, data)
    assert scan.grey.shape == (160, 240)
    assert scan.mm_per_px == pytest.approx(25.4 / 150)


def lettered(array: np.ndarray, words: bytes) -> bytes:
    """A scan with words over it, in one of the fonts that every reader has (ISO 32000-1, 9.6.2.2)."""
    fonts = "/Font<</F1<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>"
    entries = f"/MediaBox[0 0 115.2 76.8]/Resources<</XObject<</I 3 0 R>>{fonts}>>"
    content = b"q 115.2 0 0 76.8 0 0 cm /I Do Q " + words
    return pdf((entries, content), others=[picture(array.shape[1], array.shape[0], array.tobytes())])


def test_a_scan_whose_words_were_recognised(tmp_path: Path) -> None:
    words = b"BT 3 Tr /F1 30 Tf 10 10 Td (hare) Tj ET"  # text rendering mode 3: neither filled nor stroked
    assert np.array_equal(read(tmp_path, lettered(noise(), words)).grey, noise())
    seen = read(tmp_path, lettered(noise(), words.replace(b"3 Tr", b"0 Tr")))
    assert seen.mm_per_px == pytest.approx(25.4 / 300), "lettering over a picture is drawn as letters are"


def test_a_scan_on_a_white_ground(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"1 g 0 0 115.2 76.8 re f 115.2 0 0 76.8 0 0"))
    assert np.array_equal(scan.grey, noise())


@pytest.mark.parametrize("matrix", [None, b"115.2 0 0 76.8 0 0"])
def test_a_scan_within_a_drawing(tmp_path: Path, matrix: bytes | None) -> None:
    # A form's own Matrix goes before that of the place where it is drawn (ISO 32000-1, 8.10.1).
    own = f"/Matrix[{matrix.decode()}]" if matrix else ""
    form = stream(
        f"/Type/XObject/Subtype/Form/BBox[0 0 1 1]{own}/Resources<</XObject<</I 4 0 R>>>>", b"/I Do"
    )
    page = "/MediaBox[0 0 115.2 76.8]/Resources<</XObject<</F 3 0 R>>>>"
    content = b"/F Do" if matrix else b"115.2 0 0 76.8 0 0 cm /F Do"
    scan = read(tmp_path, pdf((page, content), others=[form, picture(240, 160, noise().tobytes())]))
    assert np.array_equal(scan.grey, noise())


def test_a_drawing_over_a_picture_is_no_scan(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"115.2 0 0 76.8 0 0", more=b"5 w 0 0 m 90 60 l S"))
    assert scan.mm_per_px == pytest.approx(25.4 / 300)


def test_a_small_picture_on_a_page_is_no_scan(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"57.6 0 0 38.4 9 9"))
    assert scan.mm_per_px == pytest.approx(25.4 / 300)


def test_the_user_knows_the_dpi_of_a_scan(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"115.2 0 0 76.8 0 0"), dpi=200.0)
    assert scan.grey.shape == noise().shape
    assert (scan.mm_per_px, scan.scale_source) == (pytest.approx(25.4 / 200), "200 dpi, as said")


def test_a_picture_put_in_pixel_for_point_says_nothing_of_its_size(tmp_path: Path) -> None:
    scan = read(tmp_path, scanned(noise(), b"240 0 0 160 0 0", "/MediaBox[0 0 240 160]"))
    assert scan.grey.shape == noise().shape
    assert (scan.mm_per_px, "72 dpi" in scan.scale_source) == (None, True)


def test_a_scan_too_large_is_made_smaller(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(admit, "KEPT", 120 * 80)
    data = scanned(noise(), b"115.2 0 0 76.8 0 0")
    scan = read(tmp_path, data)
    assert scan.grey.shape == (80, 120)
    assert scan.mm_per_px == pytest.approx(25.4 / 75)
    assert read(tmp_path, data, dpi=100.0).mm_per_px == pytest.approx(25.4 / 50)


def test_a_page_that_takes_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracer.art.pdf.LONGEST", 0.05)
    lines = b"".join(b"0 %d m 300 %d l S " % (k % 199, k % 173) for k in range(5000))
    with pytest.raises(ArtError, match="takes over 0 s to draw: say a smaller dpi, or save it as PNG"):
        read(tmp_path, pdf((SMALL, lines)))


def test_a_page_larger_than_any_sheet(tmp_path: Path) -> None:
    with pytest.raises(ArtError, match=r"Page 1 of a.pdf is 1\.06e\+05 x 7\.06e\+04 mm: up to 20 m are read"):
        read(tmp_path, pdf((f"{SMALL}/UserUnit 1000", CROSS)))


def test_a_picture_on_a_page_that_claims_too_much(tmp_path: Path) -> None:
    page = f"{SMALL}/Resources<</XObject<</I 3 0 R>>>>"
    data = pdf((page, b"q 300 0 0 200 0 0 cm /I Do Q"), others=[picture(60_000, 60_000, bytes(99))])
    with pytest.raises(ArtError, match="holds a picture of 3600 million pixels; up to 500 million are read"):
        read(tmp_path, data)


def test_a_locked_one(tmp_path: Path) -> None:
    with io.BytesIO() as file:
        canvas = Canvas(file, encrypt=StandardEncryption("secret", "other"))
        canvas.line(9, 9, 99, 99)
        canvas.save()
        data = file.getvalue()
    with pytest.raises(ArtError, match="is locked with a password: save a copy without one"):
        read(tmp_path, data)


@pytest.mark.parametrize(
    "data", [b"%PDF-1.7\n", pdf(), pdf((SMALL, CROSS))[:150], b"%PDF-1.7\n" + bytes(range(256))]
)
def test_broken_ones(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(
        ArtError, match="is a PDF that cannot be read, without pages or damaged: save or copy"
    ):
        read(tmp_path, data)


def test_a_page_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(ArtError, match="has 2 pages: there is no page 3"):
        read(tmp_path, pdf((SMALL, CROSS), (SMALL, CROSS)), page=3)


@given(st.binary(min_size=1, max_size=60), st.integers(0, 700))
def test_spoilt_bytes_give_a_scan_or_an_art_error(
    tmp_path_factory: pytest.TempPathFactory, bad: bytes, at: int
) -> None:
    data = bytearray(scanned(noise(24, 16), b"115.2 0 0 76.8 0 0", more=b"1 w 3 3 m 40 60 l S"))
    data[at : at + len(bad)] = bad
    data[:5] = b"%PDF-"
    try:
        assert read(tmp_path_factory.getbasetemp(), bytes(data)).grey.dtype == np.uint8
    except ArtError as error:
        assert "a.pdf" in str(error)  # noqa: PT017 - either outcome is right


def test_several_threads_take_turns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.pdf").write_bytes(pdf((SMALL, CROSS)))
    monkeypatch.setattr("tracer.art.pdf._drawn", alone(_drawn))
    with ThreadPoolExecutor(4) as pool:
        scans = list(pool.map(read_picture, [tmp_path / "a.pdf"] * 8))
    assert all(np.array_equal(scan.grey, scans[0].grey) for scan in scans)


def alone(work: Callable[..., object]) -> Callable[..., object]:
    """Work at which no two threads may be at once: it fails where one comes in on another."""
    busy = Lock()

    def done(*said: object) -> object:
        assert busy.acquire(blocking=False)
        try:
            time.sleep(0.01)
            return work(*said)
        finally:
            busy.release()

    return done


def test_a_pdf_by_pillow_is_read(tmp_path: Path) -> None:
    Image.fromarray(noise()).save(tmp_path / "a.pdf", resolution=150)
    assert read_picture(tmp_path / "a.pdf").mm_per_px == pytest.approx(25.4 / 150)
