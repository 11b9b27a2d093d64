"""What a file is by its first bytes, whatever its name says; and what to do with what is no picture.

The marks are those that the formats themselves begin with (PDF: ISO 32000-1, 7.5.2; ISO base media
files: ISO/IEC 14496-12; PNG, RIFF, OpenType, ZIP and others by their specifications).
"""

from tracer.art.svg_xml import is_svg
from tracer.errors import ArtError

HEAD = 4096
"""Bytes that are looked at."""

_SAVE = "save or print the page with the drawing as PDF, PNG or JPEG"
_STILL = "save one still picture from it as PNG or JPEG"

_VIDEO = ("a video", _STILL)
_SOUND = ("a sound recording", "name the picture itself")
_FONT = ("a font", "write the words with it and save them as PDF or PNG")
_OFFICE = ("an office document", _SAVE)
_ARCHIVE = ("an archive of files", "unpack it and name the picture inside")
_PROGRAM = ("a program", "name the picture itself")
_DATABASE = ("a database", "name the picture itself")
_WEB_PAGE = ("a web page, not the picture on it", "save the picture alone")

_POSTSCRIPT = ("PostScript", "save it as PDF")
_METAFILE = ("a Windows metafile", "save it as SVG, PDF or PNG")
_LAYERS = ("a painting with its layers", "save it as PNG with the program that made it")
_JPEG_XL = ("JPEG XL", "save it as PNG or JPEG")
_DJVU = ("DjVu", "save its page as PDF or PNG")
_RAW = ("a camera's raw picture", "save it as JPEG with the camera maker's program")
_DRAWN = (_POSTSCRIPT, _METAFILE, _LAYERS, _JPEG_XL, _DJVU, _RAW)
"""Pictures of kinds that cannot be read here."""

_BEGINS = (
    (b"\x00\x01\x00\x00\x00", _FONT),
    (b"OTTO", _FONT),
    (b"true\x00", _FONT),
    (b"ttcf", _FONT),
    (b"wOFF", _FONT),
    (b"wOF2", _FONT),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", _OFFICE),
    (b"{\\rtf", _OFFICE),
    (b"7z\xbc\xaf\x27\x1c", _ARCHIVE),
    (b"Rar!\x1a\x07", _ARCHIVE),
    (b"\x1f\x8b", _ARCHIVE),
    (b"BZh", _ARCHIVE),
    (b"\xfd7zXZ\x00", _ARCHIVE),
    (b"MZ", _PROGRAM),
    (b"\x7fELF", _PROGRAM),
    (b"%!PS", _POSTSCRIPT),
    (b"\xc5\xd0\xd3\xc6", _POSTSCRIPT),
    (b"\xd7\xcd\xc6\x9a", _METAFILE),
    (b"\x01\x00\x00\x00\x6c\x00\x00\x00", _METAFILE),
    (b"\x1a\x45\xdf\xa3", _VIDEO),
    (b"\x00\x00\x01\xba", _VIDEO),
    (b"\x00\x00\x01\xb3", _VIDEO),
    (b"FLV\x01", _VIDEO),
    (b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", _VIDEO),
    (b"OggS", _SOUND),
    (b"ID3", _SOUND),
    (b"fLaC", _SOUND),
    (b"FUJIFILMCCD-RAW", _RAW),
    (b"IIRO", _RAW),
    (b"IIU\x00", _RAW),
    (b"SQLite format 3", _DATABASE),
    (b"gimp xcf", _LAYERS),
    (b"\xff\x0a", _JPEG_XL),
    (b"\x00\x00\x00\x0cJXL ", _JPEG_XL),
    (b"AT&TFORM", _DJVU),
)

_PICTURES = (
    (b"\x89PNG", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"GIF8", "GIF"),
    (b"II*\0", "TIFF"),
    (b"MM\0*", "TIFF"),
    (b"II+\0", "TIFF"),
    (b"RIFF", "WebP"),
    (b"BM", "BMP"),
    (b"8BPS", "PSD"),
)
"""How pictures begin that can be read here, unless they are damaged or of a rare kind."""

_WEB_WORDS = (b"<!doctype html", b"<html", b"<head", b"<body")

_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")
_STILL_BRANDS = (*_HEIC_BRANDS, b"avif", b"avis")
_RAW_BRANDS = (b"crx ",)


def is_pdf(head: bytes) -> bool:
    """Say whether a file is a PDF; its mark may stand anywhere in the first kilobyte."""
    return b"%PDF-" in head[:1024] and _picture_kind(head) is None


def is_heic(head: bytes) -> bool:
    """Say whether a file is a HEIC picture, as telephones write them."""
    return head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS


def refuse_strangers(head: bytes, name: str) -> None:
    """Refuse what is surely no picture, before a decoder is tried on it.

    Raises
    ------
    ArtError
        That says what the file is, and what to do.
    """
    if found := _surely(head):
        raise _refusal(name, *found)


def unknown(head: bytes, name: str) -> ArtError:
    """Return what is said of a file that no decoder knows."""
    if is_svg(head):
        return _refusal(
            name, "an SVG drawing", "save it as a file and name that, to have its curves followed"
        )
    if kind := _picture_kind(head):
        return ArtError(
            f"{name} begins like a {kind} picture but is damaged or cut short, or of a rare kind: "
            "save it again, as PNG."
        )
    if _text_of(head) is not None:
        return _refusal(name, "text", "name the picture itself")
    return ArtError(
        f"{name} is no picture that can be read here: PNG, JPEG, TIFF, WebP, GIF, BMP, PDF and SVG are. "
        "Save or copy the picture again."
    )


def _picture_kind(head: bytes) -> str | None:
    """Return which kind of picture a file begins like, of those that can be read here."""
    if head[4:8] == b"ftyp" and head[8:12] in _STILL_BRANDS:
        return "HEIC" if is_heic(head) else "AVIF"
    return next((kind for mark, kind in _PICTURES if head.startswith(mark)), None)


def raw_picture(name: str) -> ArtError:
    """Return what is said of a camera's raw picture that only shows once it is opened."""
    return _refusal(name, *_RAW)


def _refusal(name: str, what: str, remedy: str) -> ArtError:
    if (what, remedy) in _DRAWN:
        return ArtError(f"{name} seems to be {what}, which cannot be read here: {remedy}.")
    return ArtError(f"{name} is no picture but seems to be {what}: {remedy}.")


def _surely(head: bytes) -> tuple[str, str] | None:
    """Return what a file is that is no picture, and the remedy; None where it may be one."""
    if is_pdf(head):
        return None
    for mark, kind in _BEGINS:
        if head.startswith(mark):
            return kind
    if head[:4] == b"RIFF" and head[8:12] != b"WEBP":
        return _VIDEO if head[8:12] == b"AVI " else _SOUND
    if head[4:8] == b"ftyp" and head[8:12] not in _STILL_BRANDS:
        return _RAW if head[8:12] in _RAW_BRANDS else _VIDEO
    if head[:4] in (b"II*\0", b"MM\0*") and head[8:10] == b"CR":
        return _RAW
    if head.startswith(b"PK\x03\x04"):
        return _OFFICE if any(mark in head for mark in (b"[Content_Types]", b"opendocument")) else _ARCHIVE
    start = head[:1024].lower().lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(_WEB_WORDS) or (start.startswith(b"<?xml") and b"<html" in start):
        return _WEB_PAGE
    return None


def _text_of(head: bytes) -> str | None:
    """Return the beginning of a text, None where it is none."""
    encoding = "utf-16" if head[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8"
    try:
        text = head[: HEAD - 8].decode(encoding, errors="strict" if len(head) < HEAD - 8 else "ignore")
    except UnicodeDecodeError:
        return None
    return text if all(letter.isprintable() or letter.isspace() for letter in text) else None
