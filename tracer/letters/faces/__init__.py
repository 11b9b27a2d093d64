"""The faces that ship with tracer, by name, and font files by their path."""

from pathlib import Path

from tracer.errors import LetterError
from tracer.lettering import Lettering
from tracer.letters.face import Face
from tracer.letters.font import open_font
from tracer.letters.single_strokes import STROKE_FACES, open_single

_HERE = Path(__file__).parent

FONTS = {"sans": "VarelaRound-Regular.ttf"}
"""Outline faces that ship, by name; the licence of each lies beside it."""


def names() -> list[str]:
    """Return the names of all faces that ship."""
    return [*STROKE_FACES, *FONTS]


def face_named(lettering: Lettering) -> Face:
    """Return the face of a lettering: one that ships, by its name, or a font file, by its path.

    Raises
    ------
    LetterError
        For a name that is neither, with a list of the names; for a file that is no usable font.
    """
    name = lettering.face.strip()
    if name in STROKE_FACES:
        if lettering.instance:
            raise LetterError(f'the face "{name}" has one form only, no "{lettering.instance}": leave it out')
        return open_single(name)
    if name in FONTS:
        return open_font(_HERE / FONTS[name], lettering.instance)
    path = Path(name).expanduser()
    if name and path.exists():
        return open_font(path, lettering.instance)
    kind = "font file" if path.suffix else "face"
    raise LetterError(
        f'there is no {kind} "{name}"; faces that ship: {", ".join(names())}; or give the path of a font file'
    )
