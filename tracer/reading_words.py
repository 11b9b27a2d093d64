"""How a picture is to be read, as that is said in a job file or on the command line."""

import re
from collections.abc import Mapping

from tracer.act_words import numbers_in
from tracer.reading import Follow, Known, Photo, Place, Reading
from tracer.shop import said as read
from tracer.shop.paper import paper_named
from tracer.shop.said import SAID, Said
from tracer.shop.settings import take

READING_KEYS = (
    "follow",
    "dpi",
    "art-width",
    "known",
    "page",
    "photo-of",
    "corners",
    "deskew",
    "close-gaps",
    "open-gaps",
    "insist",
)
"""The settings, as a job file's [[pieces]] has them."""

_SIZES = ("dpi", "art-width", "known")
_NOT_OF_PHOTOS = ("dpi", "art-width")

NARROWEST, WIDEST = 5.0, 10_000.0
"""Widths of a picture on its own paper, mm: our own limits."""

MOST_PAGES = 10_000
"""Pages beyond which a slip of the key is likelier than a book."""

_PLACE = r"\s*(-?[0-9.]{1,12})\s*,\s*(-?[0-9.]{1,12})\s*"
_KNOWN = re.compile(rf"{_PLACE}\s{_PLACE}(?:=|\s)\s*(\S.*)")
_CORNERS = re.compile(r"\s".join([_PLACE] * 4))
_GAPS = "numbers of closed gaps are expected, as 2,5-7"


def reading_of(said: Mapping[str, Said]) -> Reading:
    """Read how a picture is to be read, from among the settings of a piece.

    Raises
    ------
    JobError
        Where one cannot be read, or two contradict each other.
    """
    said = _one_size(said)
    reading = Reading(
        follow=take(said, "follow", _follow, "line"),
        dpi=take(said, "dpi", lambda one: read.number(one, low=10.0, high=20_000.0), None),
        art_width=take(said, "art-width", _art_width, None),
        known=take(said, "known", _known, None),
        page=take(said, "page", _page, 1),
        photo_of=take(said, "photo-of", _photo_of, "auto"),
        corners=take(said, "corners", _corners, None),
        deskew=_yes(said, "deskew", plain=False),
        close_gaps=_yes(said, "close-gaps", plain=True),
        open_gaps=take(said, "open-gaps", lambda one: numbers_in(one, _GAPS), ()),
        insist=_yes(said, "insist", plain=False),
    )
    _check_photo(said, reading)
    if reading.open_gaps and reading.follow == "edge":
        raise said["open-gaps"].refuse("where edges are followed no gaps are closed: leave this out")
    return reading


def _check_photo(said: Mapping[str, Said], reading: Reading) -> None:
    """Refuse what a photo of a sheet contradicts: its size is the paper's, and corners are a sheet's."""
    if reading.corners is not None and reading.photo_of == "no":
        raise said["corners"].refuse(f"{said['photo-of'].where} says that there is no sheet: leave one out")
    of_sheet = reading.corners is not None or reading.photo_of not in ("auto", "no")
    for key in _NOT_OF_PHOTOS:
        if of_sheet and key in said:
            raise said[key].refuse(
                "the size of a sheet in a photo is its paper's: leave this out, or say a known length instead"
            )


def _yes(said: Mapping[str, Said], key: str, *, plain: bool) -> bool:
    return read.yes_no(said[key]) if key in said else plain


def _one_size(said: Mapping[str, Said]) -> Mapping[str, Said]:
    """Leave one answer of those to how large the art is: the command line's wins over the file's."""
    here = {key: said[key] for key in _SIZES if key in said}
    now = {key: one for key, one in here.items() if one.origin == SAID} or here
    if len(now) > 1:
        first, second, *_ = now.values()
        raise second.refuse(f"{first.where} says how large the art is already: leave one out")
    return {key: one for key, one in said.items() if key not in here or key in now}


def _follow(said: Said) -> Follow:
    match said.value:
        case "line" | "edge":
            return said.value
    raise said.refuse("line or edge is expected")


def _page(said: Said) -> int:
    page = read.number(said, low=1, high=MOST_PAGES)
    if page != int(page):
        raise said.refuse("a whole number is expected, the first page being 1")
    return int(page)


def _art_width(said: Said) -> float:
    width = read.length(said)
    if not NARROWEST <= width <= WIDEST:
        raise said.refuse(f"{NARROWEST:g} mm to {WIDEST / 1000:g} m is expected")
    return width


def _known(said: Said) -> Known:
    expected = 'two places in the picture and the length between are expected, as "120,340 560,340 = 85 mm"'
    found = _KNOWN.fullmatch(said.value) if isinstance(said.value, str) else None
    if not found:
        raise said.refuse(expected)
    a, b = _place(said, found[1], found[2]), _place(said, found[3], found[4])
    if a == b:
        raise said.refuse("both places are the same: a length between two is expected")
    return Known(a, b, read.length(Said(found[5].strip(), said.where, said.origin, said.unit)))


def _corners(said: Said) -> tuple[Place, Place, Place, Place]:
    found = _CORNERS.fullmatch(said.value) if isinstance(said.value, str) else None
    if not found:
        raise said.refuse(
            "the sheet's four corners are expected in pixels of the picture, top left, top right, "
            'bottom right, bottom left, as "210,180 2890,240 2960,3900 150,3850"'
        )
    a, b, c, d = (_place(said, found[k], found[k + 1]) for k in (1, 3, 5, 7))
    return a, b, c, d


def _place(said: Said, x: str, y: str) -> Place:
    """Pixels across and down."""
    try:
        return float(x), float(y)
    except ValueError:
        raise said.refuse("places in pixels are expected, as 120,340") from None


def _photo_of(said: Said) -> Photo:
    words = read.text(said, example='"A4"')
    match words.casefold():
        case "auto" | "any" | "no" as word:
            return word
    return paper_named(words, unit=said.unit, what=said.where)
