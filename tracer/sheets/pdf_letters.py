"""Letters of the pages: which of two faces holds each, and in which order and form they are seen."""

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

_FACES = Path(__file__).parent / "faces"

FONTS = {False: ("TracerPlain", "Vera.ttf"), True: ("TracerBold", "VeraBd.ttf")}
"""Bitstream Vera, which comes with reportlab: open, and embedded in the file (ours by name, as a subset)."""

_MORE = {False: ("TracerMore", "DejaVuSans.ttf"), True: ("TracerMoreBold", "DejaVuSans-Bold.ttf")}
"""DejaVu Sans, Vera's design with more letters; read only where Vera lacks one, for that takes a while."""

_UNSEEN = {"Cc", "Cf", "Cs", "Mn", "Me"}
"""Unicode's categories of letters that leave no mark of their own."""

_MIRROR = str.maketrans("()[]{}<>«»", ")(][}{><»«")
"""Signs that are seen the other way round in words from right to left (UAX 9, rule L4)."""

_NUMBER = re.compile(r"(\d+(?:[.,:/]\d+)*)")

_FORMS = ("<isolated>", "<final>", "<initial>", "<medial>")
"""Of a joined letter, by whether it joins the one before (1) and the one after (2)."""

_LETTER = re.compile("\u0644[\u0622\u0623\u0625\u0627]|.", re.DOTALL)
"""A letter, or lam and alef, which are written as one."""


@lru_cache(maxsize=4096)
def shown(words: str) -> str:
    """Return text as these pages can show it, on one line.

    The faces hold Latin, Greek, Cyrillic, Hebrew, Arabic, Armenian and Georgian letters and many
    signs: others lose their accents, and what is left over becomes "?". Marks that only steer the
    direction of writing are left out, so that a name cannot turn the words after it round.
    """
    plain = unicodedata.normalize("NFC", " ".join(words.split()))
    if plain.isascii() and plain.isprintable():
        return plain
    return " ".join("".join(map(_letter, plain)).split())


def lacking(words: str) -> list[str]:
    """Return the letters, each once, that pages can show only as "?"."""
    plain = unicodedata.normalize("NFC", words)
    return list(dict.fromkeys(one for one in plain if one != "?" and _letter(one) == "?"))


def spans(words: str, *, bold: bool) -> list[tuple[str, str]]:
    """Return shown words in the order in which they are seen: each part's font, by name, and letters."""
    if words.isascii():
        return [(FONTS[bold][0], words)]
    by_font = groupby("".join(_seen(words)), lambda one: _font(one, bold=bold))
    return [(font, "".join(part)) for font, part in by_font]


@lru_cache(maxsize=4096)
def width_of(words: str, size: float, *, bold: bool) -> float:
    """Return how wide shown words come out, in the unit of `size`.

    reportlab's own way takes ten times as long, which is felt where lines are broken.
    """
    from reportlab.pdfbase.pdfmetrics import getFont

    parts = ((getFont(font).face.charWidths, part) for font, part in spans(words, bold=bold))
    return 0.001 * size * float(sum(sum(map(widths.__getitem__, map(ord, part))) for widths, part in parts))


@lru_cache(maxsize=1024)
def _letter(letter: str) -> str:
    """Return a letter as the fonts can show it."""
    if letter.isspace():
        return " "
    if unicodedata.category(letter) in _UNSEEN:
        return ""
    simpler = unicodedata.normalize("NFKD", letter)[0]
    return next((one for one in (letter, simpler) if _in(one, fonts()) or _in(one, _more())), "?")


@lru_cache(maxsize=1024)
def _font(letter: str, *, bold: bool) -> str:
    """Return the name of the first font that holds a letter; where no bold one does, a plain one."""
    if _in(letter, fonts()):
        return FONTS[bold][0]
    return _MORE[bold and ord(letter) in _more()[True].face.charToGlyph][0]


def _in(letter: str, of: dict[bool, Any]) -> bool:
    return ord(letter) in of[False].face.charToGlyph


def fonts() -> dict[bool, Any]:
    """Return the plain and the bold font, registered once."""
    return _registered(FONTS)


def _more() -> dict[bool, Any]:
    """Return the fonts with more letters."""
    return _registered({bold: (name, str(_FACES / file)) for bold, (name, file) in _MORE.items()})


def _registered(named: dict[bool, tuple[str, str]]) -> dict[bool, Any]:
    import reportlab
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    own = Path(reportlab.__file__).parent / "fonts"  # a bare name is sought where one is, and on the net
    known = set(pdfmetrics.getRegisteredFontNames())
    for name, file in named.values():
        if name not in known:
            pdfmetrics.registerFont(TTFont(name, str(own / file)))
    return {bold: pdfmetrics.getFont(name) for bold, (name, _) in named.items()}


def _seen(words: str) -> Iterator[str]:
    """Yield the parts of a line that runs to the right in the order in which they are seen, from the left.

    What stands from one right-to-left letter to the last before a left-to-right one is turned, its
    numbers not (UAX 9, rules N1, L2, L4); a bracket in it takes its fellow along (N0). Numbers after it
    stay there: they may be no part of the name.
    """
    after, ways = 0, "".join(map(_way, words))
    for found in re.finditer("R(?:[^L]*R)?", ways):
        start, end = found.span()
        alone = found[0]
        while alone != (alone := re.sub(r"\([^()]*\)", "", alone)):
            pass
        if "(" in alone and (closing := re.match(r"[^L]*?\)", ways[end:])):
            end += closing.end()
        if ")" in alone and (opening := re.search(r"\([^L(]*$", ways[after:start])):
            start = after + opening.start()
        yield words[after:start]
        yield _turned(_joined(words[start:end]))
        after = end
    yield words[after:]


def _way(letter: str) -> str:
    """Return which way a letter runs: "L", "R", "(" or ")" of brackets, "." if it goes with others."""
    if letter in "()[]{}":
        return "(" if letter in "([{" else ")"
    kind = unicodedata.bidirectional(letter)
    return "R" if kind in {"R", "AL"} else "L" if kind == "L" else "."


def _turned(stretch: str) -> str:
    """Return a stretch that runs from right to left as seen from the left."""
    parts = _NUMBER.split(stretch)  # every second is a number
    return "".join(
        part if at % 2 else part[::-1].translate(_MIRROR) for at, part in reversed(list(enumerate(parts)))
    )


def _joined(stretch: str) -> str:
    """Return Arabic letters in the forms in which they join, in the order of reading; others as they are."""
    letters, forms = _LETTER.findall(stretch), _forms()
    led = [(one, "<initial>") in forms for one in letters]  # whether it joins the next, if that joins it
    taken = [(one, "<final>") in forms for one in letters]
    before = [False, *(led[k] and taken[k + 1] for k in range(len(letters) - 1)), False]
    kinds = [_FORMS[before[k] + 2 * before[k + 1]] for k in range(len(letters))]
    return "".join(forms.get((one, kind), one) for one, kind in zip(letters, kinds, strict=True))


@lru_cache(maxsize=1)
def _forms() -> dict[tuple[str, str], str]:
    """Return the joined forms that the fonts hold, by letter and kind (Unicode's decompositions)."""
    found = {}
    for form in map(chr, [*range(0xFB50, 0xFC00), *range(0xFE70, 0xFEFD)]):
        kind, *codes = unicodedata.decomposition(form).split() or [""]
        if kind in _FORMS and _in(form, _more()):
            found["".join(chr(int(code, 16)) for code in codes), kind] = form
    return found
