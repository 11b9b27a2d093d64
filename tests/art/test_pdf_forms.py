"""PDFs whose drawings contain drawings (ISO 32000-1, 8.10): read, unless there is no end to it."""

import zlib
from pathlib import Path

import numpy as np
import pytest
from pdfs import pdf, stream

from tracer.art.read import read_picture
from tracer.errors import ArtError

pytest.importorskip("pypdfium2")

PAGE = "/MediaBox[0 0 144 144]/Resources<</XObject<</A 3 0 R>>>>"
LINE = b" 4 w 20 72 m 124 72 l S"


def form(content: bytes, calls: str = "", *, packed: bool = False) -> bytes:
    """A form that knows others by name."""
    entries = f"/Type/XObject/Subtype/Form/BBox[0 0 144 144]{calls}"
    if packed:
        return stream(f"{entries}/Filter/FlateDecode", zlib.compress(content))
    return stream(entries, content)


def named(*numbers: int) -> str:
    entries = "".join(f"/{'ABC'[k]} {number} 0 R" for k, number in enumerate(numbers))
    return f"/Resources<</XObject<<{entries}>>>>"


def read(tmp_path: Path, *forms: bytes) -> np.ndarray:
    path = tmp_path / "boat.pdf"
    path.write_bytes(pdf((PAGE, b"/A Do"), others=forms))
    return read_picture(path).grey


@pytest.mark.parametrize("deep", [1, 5, 40])
def test_drawings_in_drawings_are_read(tmp_path: Path, deep: int) -> None:
    forms = [form(b"q /A Do Q", named(4 + k)) for k in range(deep - 1)]
    assert read(tmp_path, *forms, form(LINE)).min() < 40


@pytest.mark.parametrize("packed", [False, True])
def test_a_drawing_used_many_times_is_read(tmp_path: Path, *, packed: bool) -> None:
    tens = [form(b"/A Do " * 10, named(4 + k), packed=packed) for k in range(3)]
    assert read(tmp_path, *tens, form(LINE)).min() < 40


@pytest.mark.parametrize(
    "forms",
    [
        [form(b"/A Do /A Do" + LINE, named(3))],
        [form(b"/A Do /A Do", named(4)), form(b"/A Do /A Do", named(3))],
        [form(LINE, named(4)), form(b"/B Do", named(5, 3)), form(LINE)],
        [form(b"/A Do", "/Resources 4 0 R"), b"<</XObject 5 0 R>>", b"<</A 3 0 R>>"],
        [*(form(b"/A Do /A Do", named(4 + k), packed=True) for k in range(29)), form(LINE)],
        [*(form(b"/A Do", named(4 + k)) for k in range(150)), form(LINE)],
    ],
    ids=["itself", "each other", "three", "by reference", "two to the 29th", "too deep"],
)
def test_drawings_without_end_are_refused(tmp_path: Path, forms: list[bytes]) -> None:
    with pytest.raises(ArtError, match="holds drawings that contain themselves"):
        read(tmp_path, *forms)
