"""How words are to be set, as that is said in a job file or on the command line."""

import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from tracer.errors import JobError
from tracer.lettering import LOWEST, PITCH, Align, Cut, Lettering
from tracer.shop import said as read
from tracer.shop.said import Said
from tracer.shop.settings import take

LETTERING_KEYS = (
    "words",
    "font",
    "instance",
    "cap-height",
    "cut",
    "raised",
    "align",
    "tracking",
    "pitch",
    "arc",
)
"""The settings, as a job file's [[pieces]] has them."""

MOST_CHARACTERS = 1000
"""Of one piece: beyond lies what nobody carves letter by letter (our own limit)."""

TALLEST = 5000.0
"""Height of capitals, mm: our own limit, beyond what is carved by hand."""

TIGHTEST, WIDEST = -0.5, 5.0
"""Tracking in capital heights: beyond, letters lie over one another or are words no more (our own limits)."""

CLOSEST, FARTHEST = 0.5, 20.0
"""From baseline to baseline in capital heights (our own limits)."""

SMALLEST_ARC, LARGEST_ARC = 5.0, 100_000.0
"""Radius of an arc, mm: our own limits; beyond the larger it is a straight line."""

FACE = Lettering("").face
"""The face of words where none is said."""


def lettering_of(said: Mapping[str, Said]) -> Lettering | None:
    """Read how words are to be set, from among the settings of a piece; None where it has none.

    Raises
    ------
    JobError
        Where a setting cannot be read, or two contradict each other.
    """
    if "words" not in said:
        for key in LETTERING_KEYS:
            if key in said:
                raise JobError(f"{said[key].where} is about words, and this piece has none: leave it out")
        return None
    lettering = Lettering(
        words=_words(said["words"]),
        face=take(said, "font", lambda one: read.text(one, example='"plain" or "my-font.ttf"'), FACE),
        instance=take(said, "instance", lambda one: read.text(one, example='"Bold"'), ""),
        height=take(said, "cap-height", _height, None),
        cut=take(said, "cut", _cut, "middle"),
        raised="raised" in said and read.yes_no(said["raised"]),
        align=take(said, "align", _align, "centre"),
        tracking=take(said, "tracking", lambda one: read.number(one, low=TIGHTEST, high=WIDEST), 0.0),
        pitch=take(said, "pitch", lambda one: read.number(one, low=CLOSEST, high=FARTHEST), PITCH),
        arc=take(said, "arc", _arc, None),
    )
    _check(said, lettering)
    return lettering


def font_beside(said: Said, folder: Path) -> Said:
    """Return a font as it is found from a folder: a file's path; the name of a face stays as it is."""
    name = read.text(said, example='"plain" or "my-font.ttf"')
    is_file = bool(Path(name).suffix) or "/" in name or "\\" in name
    return replace(said, value=str(folder / name)) if is_file else said


def _check(said: Mapping[str, Said], lettering: Lettering) -> None:
    """Refuse what does not go together."""
    if lettering.raised and lettering.cut == "middle":
        raise JobError(
            f"{said['raised'].where}: letters that stand are cut round their edges, so say the cut outline "
            f"or cleared with it, and a font that has edges ({FACE} and the other single strokes have none)"
        )
    if lettering.arc is not None and lettering.height is None:
        raise said["arc"].refuse("an arc needs the capitals' height with it: say that, too")


def _words(said: Said) -> str:
    """Lines of words, without those that are empty before and after them."""
    said_lines = said.value if isinstance(said.value, list) else [said.value]
    lines = [line for line in said_lines if isinstance(line, str)]
    if len(lines) < len(said_lines):
        raise said.refuse('words are expected, as "EMMA", or a list of lines')
    text = "\n".join(lines).replace("\r\n", "\n").replace("\t", " ")
    text = "\n".join(line.strip(" ") for line in text.split("\n")).strip("\n")
    if not text.strip():
        raise JobError(f'{said.where} has nothing to cut in it: say what is to be carved, as "EMMA"')
    if len(text) > MOST_CHARACTERS:
        raise JobError(
            f"{said.where} has {len(text)} characters, and at most {MOST_CHARACTERS} are set as one piece: "
            "share them among several"
        )
    strange = next((c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cs")), None)
    if strange is not None:
        raise said.refuse(f"the character U+{ord(strange):04X} in it is no letter: take it out")
    return text


def _height(said: Said) -> float:
    height = read.length(said)
    if not LOWEST <= height <= TALLEST:
        raise said.refuse(f"{LOWEST:g} mm to {TALLEST / 1000:g} m is expected")
    return height


def _cut(said: Said) -> Cut:
    match said.value:
        case "middle" | "outline" | "cleared":
            return said.value
    raise said.refuse(
        "middle (a groove along each stroke), outline (along the edge) or cleared (the area, too) is expected"
    )


def _align(said: Said) -> Align:
    match said.value:
        case "left" | "centre" | "right":
            return said.value
        case "center":
            return "centre"
    raise said.refuse("left, centre or right is expected")


def _arc(said: Said) -> float:
    """A radius with a sign."""
    value, hollow = said.value, False
    if isinstance(value, str) and value.strip().startswith(("-", "−")):
        value, hollow = value.strip()[1:], True
    elif isinstance(value, int | float) and not isinstance(value, bool) and value < 0:
        value, hollow = -value, True
    radius = read.length(replace(said, value=value))
    if not SMALLEST_ARC <= radius <= LARGEST_ARC:
        raise said.refuse(
            f"a radius of {SMALLEST_ARC:g} mm to {LARGEST_ARC / 1000:g} m is expected, a bowl's with a minus"
        )
    return -radius if hollow else radius
