"""A face from a font file: TrueType or OpenType, collections, variable fonts."""

import unicodedata
from itertools import pairwise
from pathlib import Path
from typing import Any

from tracer.errors import LetterError
from tracer.letters.face import Contour, Face, Glyph
from tracer.letters.font_file import FontFile, read_font_file, require_letters
from tracer.letters.instances import chosen_face, name_of, set_instance
from tracer.letters.licences import short_licence
from tracer.letters.measures import cap_height_of, stem_of
from tracer.letters.outline import FINER, rings_of
from tracer.letters.shape import shaped
from tracer.letters.unite import CLOSELY, united

_LICENCE, _LICENCE_URL, _COPYRIGHT = 13, 14, 0
"""Identifiers in the name table (OpenType specification, "name")."""

_BLANK = "\u115f\u1160\u2800\u3164\uffa0"
"""Letters and signs that show nothing: fillers, the empty braille pattern."""

_EM = range(16, 16385)
"""Units of an em that a font may have (OpenType specification, "head")."""


def open_font(path: Path | str, instance: str = "") -> Face:
    """Open a font file.

    Parameters
    ----------
    path : a TTF, OTF, TTC or OTC file.
    instance : of a variable font, by name ("Bold") or by axis values ("wght=600, wdth=80"); of a
        collection, the face by number from 1 or by name; both with a slash between ("2/Bold").
        "" for the first face and its usual instance.

    Raises
    ------
    LetterError
        For a file that is no font with outlines, is broken or cut short; for an instance or a face
        that it lacks, with a list of what it has.
    """
    import uharfbuzz as hb

    file = read_font_file(Path(path))
    blob = hb.Blob(file.data)
    index, instance = _chosen(file, blob, instance)
    require_letters(file, index)
    face = hb.Face(blob, index)
    if not face.glyph_count or face.upem not in _EM or not face.unicodes:
        raise LetterError(f"{path}: the font is broken: it has no letters; take another copy of it")
    return FontFace(face, instance, file.path)


def _chosen(file: FontFile, blob: Any, instance: str) -> tuple[int, str]:
    """Return the face's index in a collection, and the instance of it that is wanted."""
    import uharfbuzz as hb

    if not file.collection:
        return 0, instance
    wanted, _, rest = instance.partition("/")
    names = [name_of(hb.Face(blob, index)) for index in range(len(file.faces))]
    return chosen_face(names, wanted.strip(), file.path), rest.strip()


class FontFace:
    """A face of a font file at one instance; see `tracer.letters.face.Face`."""

    single = False

    def __init__(self, face: Any, instance: str, path: Path) -> None:
        import uharfbuzz as hb

        self._font = hb.Font(face)
        self._font.scale = (face.upem * FINER, face.upem * FINER)
        self.name: str = set_instance(self._font, instance, path) or path.stem
        self.licence = _licence_of(face)
        self._figures: dict[int, tuple[Contour, ...]] = {}
        said = (self._font.get_metric_position(hb.OTMetricsTag.CAP_HEIGHT) or 0) / FINER
        self.cap_height = cap_height_of(said, self._rings("H"), face.upem)
        self.stem = stem_of(self._rings("I"), self.cap_height)

    def shape(self, line: str) -> tuple[Glyph, ...]:
        """Return the glyphs of one line, from the left as seen."""
        glyphs = shaped(self._font, line, self.name)
        starts = sorted({glyph.cluster for glyph in glyphs})
        inked = {glyph.cluster for glyph in glyphs if self.figure(glyph.key)}
        for start, end in pairwise([*starts, len(line)]):
            shown = [c for c in line[start:end] if unicodedata.category(c)[0] in "LNPS" and c not in _BLANK]
            if start not in inked and shown:
                keys = [glyph.key for glyph in glyphs if glyph.cluster == start]
                has = "a picture and no outline" if any(map(self._is_picture, keys)) else "an empty outline"
                raise LetterError(
                    f'{self.name} has {has} for "{shown[0]}" (U+{ord(shown[0]):04X}), character {start + 1} '
                    f'of "{line[max(0, start - 15) : start + 16]}"; take another face or other words'
                )
        return glyphs

    def figure(self, key: int) -> tuple[Contour, ...]:
        """Return the outlines of a glyph, overlaps united; none for a space."""
        if key not in self._figures:
            rings = united(rings_of(self._font, key), self._font.face.upem, CLOSELY)
            self._figures[key] = tuple(Contour(ring, closed=True) for ring in rings)
        return self._figures[key]

    def _rings(self, character: str) -> list[Any]:
        """Return the outline of a character by itself, none where the font lacks it."""
        glyph = self._font.get_nominal_glyph(ord(character))
        return [contour.curves for contour in self.figure(glyph)] if glyph else []

    def _is_picture(self, key: int) -> bool:
        """Say whether the font paints a glyph in colours or holds a bitmap of it."""
        import uharfbuzz as hb

        face = self._font.face
        return bool(
            (face.has_color_paint and face.glyph_has_color_paint(key))
            or (face.has_color_layers and face.get_glyph_color_layers(key))
            or (face.has_color_svg and face.get_glyph_color_svg(key).data)
            or (face.has_color_png and hb.ot_color_glyph_get_png(self._font, key).data)
        )


def _licence_of(face: Any) -> str:
    """Return a font's licence in a few words."""
    said = [face.get_name(name) or "" for name in (_LICENCE, _LICENCE_URL)]
    return short_licence(" ".join(said), face.get_name(_COPYRIGHT) or "")
