"""What a font file is: its kind, its faces and tables, and whether it is whole."""

import struct
from dataclasses import dataclass
from pathlib import Path

from tracer.errors import LetterError

LARGEST = 256 * 2**20
"""Bytes; collections for Chinese and Japanese have 120 MB."""

_KINDS = {b"\x00\x01\x00\x00", b"OTTO", b"true"}
_OTHERS = {
    b"wOFF": "a web font (WOFF)",
    b"wOF2": "a web font (WOFF2)",
    b"%!PS": "a PostScript Type 1 font",
    b"\x80\x01": "a PostScript Type 1 font",
    b"STAR": "a bitmap font (BDF)",
    b"\x01fcp": "a bitmap font (PCF)",
}
_OUTLINES = {"glyf", "CFF ", "CFF2"}
_NEEDED = ("cmap", "head", "hhea", "hmtx", "maxp")
_PICTURES = {"CBDT", "EBDT", "bdat", "sbix", "SVG ", "COLR"}


@dataclass(frozen=True)
class FontFile:
    """A font file: its bytes and, for each face in it, where its table directory begins."""

    path: Path
    data: bytes
    faces: tuple[int, ...]

    @property
    def collection(self) -> bool:
        """Whether it is a collection of faces."""
        return self.data[:4] == b"ttcf"


def read_font_file(path: Path) -> FontFile:
    """Read a TTF, OTF, TTC or OTC file.

    Raises
    ------
    LetterError
        For what is no such file or is too large.
    """
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST and path.is_file() else b""
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a path"
        raise LetterError(f"{path}: the font cannot be read: {reason}") from None
    if size > LARGEST:
        raise LetterError(f"{path}: {size / 2**20:.0f} MB; a font has up to {LARGEST // 2**20} MB")
    if data[:4] == b"ttcf":
        return FontFile(path, data, _faces_of(path, data))
    if data[:4] in _KINDS:
        return FontFile(path, data, (0,))
    known = next((words for magic, words in _OTHERS.items() if data.startswith(magic)), "no font")
    raise LetterError(f"{path}: {known}; TTF, OTF, TTC and OTC files are read")


def _faces_of(path: Path, data: bytes) -> tuple[int, ...]:
    """Return where the faces of a collection begin."""
    count = int.from_bytes(data[8:12])
    if not 0 < count <= 1000 or len(data) < 12 + 4 * count:
        raise LetterError(
            f"{path}: the list of the collection's faces is broken; take another copy of the font"
        )
    return struct.unpack_from(f">{count}I", data, 12)


def require_letters(file: FontFile, index: int) -> None:
    """Raise a LetterError unless a face has outlines, and all of its tables lie in the file."""
    tables = _tables(file, index)
    ends = {tag: offset + size for tag, (offset, size) in tables.items()}
    beyond = sorted(tag for tag, end in ends.items() if end > len(file.data))
    if beyond:
        raise LetterError(
            f"{file.path}: cut short: {len(file.data)} bytes, and its table {beyond[0].strip()} ends at "
            f"{ends[beyond[0]]}; take another copy of the font"
        )
    if not _OUTLINES & tables.keys():
        pictures = bool(_PICTURES & tables.keys())
        has = "pictures of letters only, no outlines" if pictures else "no outlines of letters"
        raise LetterError(f"{file.path}: the font has {has}; take one with outlines")
    lacking = [tag for tag in _NEEDED if tag not in tables]
    if lacking:
        raise LetterError(f"{file.path}: the font lacks its table {lacking[0]}; take another copy of it")


def _tables(file: FontFile, index: int) -> dict[str, tuple[int, int]]:
    """Return the offset and size of each table of a face."""
    at, data = file.faces[index], file.data
    count = int.from_bytes(data[at + 4 : at + 6])
    if not count or len(data) < at + 12 + 16 * count:
        raise LetterError(f"{file.path}: the font's list of tables is cut short; take another copy of it")
    rows = (struct.unpack_from(">4s4xII", data, at + 12 + 16 * k) for k in range(count))
    return {tag.decode("latin-1"): (offset, size) for tag, offset, size in rows}
