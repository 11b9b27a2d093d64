"""Advances, kerning, bearings and outlines of open fonts against fontTools reading the same files.

fontTools is a library from outside the project (MIT); what it reads is the font's own tables.
"""

import importlib.resources
import random
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tracer.geometry import bezier
from tracer.lettering import Lettering
from tracer.letters.face import Face
from tracer.letters.font import open_font
from tracer.letters.outline import area_of
from tracer.letters.set_words import set_words

pytest.importorskip("fontTools")
from letters.outside_font import OutsideFont

SHIPPED = Path(__file__).parents[2] / "tracer" / "letters" / "faces"

LATIN = "ABCDEGHKLMNOPQRSUVWXYZTabcdegklmnopqrsuvwxyz0123456789.,-ÄÖÜÉÇÅäöüéçåàñ"
"""No letters of ligatures: f, h after T, i and j before marks."""

HEBREW = "אבגדהוזחטיכלמנסעפצקרשתםןף"


@dataclass(frozen=True)
class Case:
    """A font of a package, or one that ships, at axis values."""

    package: str
    name: str
    axes: tuple[tuple[str, float], ...] = ()
    characters: str = LATIN
    script: str = "latn"

    @property
    def path(self) -> Path:
        if not self.package:
            return SHIPPED / self.name
        module = pytest.importorskip(self.package)
        return Path(str(importlib.resources.files(module) / "files" / self.name))


CASES = [
    Case("", "VarelaRound-Regular.ttf"),
    Case("fontpkg_abeezee", "ABeeZee-Regular.ttf"),
    Case("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Regular.ttf"),
    Case("font_source_serif_pro", "SourceSerifPro-Regular.otf"),
    Case("fontpkg_cabin", "Cabin[wdth,wght].ttf", (("wght", 637.0), ("wdth", 81.0))),
    Case("fontpkg_frank_ruhl_libre", "FrankRuhlLibre[wght].ttf", (("wght", 775.0),)),
    Case("fontpkg_frank_ruhl_libre", "FrankRuhlLibre[wght].ttf", (("wght", 700.0),), HEBREW, "hebr"),
]
# Axis values at which our and fontTools' roundings of places on the axes fall to the same side.
each_font = pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.name}-{case.script}")

STRINGS = 29
"""Random strings a font: 203 in all."""

SIGNS = 28
"""Different characters a font, others in each: most of the time goes into their outlines."""


@cache
def opened(case: Case) -> tuple[Face, OutsideFont]:
    """The same font as we and as fontTools read it."""
    instance = ", ".join(f"{tag}={value}" for tag, value in case.axes)
    return open_font(case.path, instance), OutsideFont(case.path, dict(case.axes), case.script)


def strings(case: Case) -> list[str]:
    """Random strings of characters that the font has, the same in every run."""
    _, outside = opened(case)
    known = [c for c in case.characters if ord(c) in outside.names]
    chance = random.Random(f"{case.name} {case.script}")
    known = chance.sample(known, min(SIGNS, len(known)))
    return ["".join(chance.choices(known, k=chance.randint(2, 14))) for _ in range(STRINGS)]


def origins_outside(case: Case, text: str) -> list[float]:
    """Where each letter's origin lies from the first as seen, from fontTools' numbers, font units."""
    _, outside = opened(case)
    names = [outside.names[ord(c)] for c in text]
    pairs = [outside.pair(a, b) for a, b in pairwise(names)] + [(0.0, 0.0)]
    widths = [outside.advance(name) + advance for name, (advance, _) in zip(names, pairs, strict=True)]
    shifts = [placement for _, placement in pairs]
    if case.script == "hebr":
        widths, shifts = widths[::-1], shifts[::-1]
    at = np.concatenate([[0.0], np.cumsum(widths)[:-1]]) + shifts
    return (at - at[0]).tolist()  # type: ignore[no-any-return]


@each_font
def test_letters_stand_where_the_fonts_tables_put_them(case: Case) -> None:
    face, _ = opened(case)
    kerned = 0
    for text in strings(case):
        # Letters that touch would be made one: tracking keeps them apart, and is taken off again.
        drawing = set_words(Lettering(text, height=50.0, cut="outline", tracking=1.0), face)
        assert drawing.marks is not None
        letters = drawing.marks.letters
        unit = 50.0 / face.cap_height
        assert "".join(one.text for one in letters) == (text[::-1] if case.script == "hebr" else text)
        expected = origins_outside(case, text)
        for k, (letter, at) in enumerate(zip(letters, expected, strict=True)):
            assert letter.origin[0] - letters[0].origin[0] - k * 50.0 == pytest.approx(at * unit, abs=1e-3), (
                text
            )
            kerned += abs(letter.kern) > 1e-6
    assert kerned > 5


@each_font
def test_kerning_is_that_of_the_fonts_pairs(case: Case) -> None:
    face, outside = opened(case)
    if case.script == "hebr":
        pytest.skip("from right to left the kern goes into the letter before as seen: the origins tell")
    for text in strings(case):
        names = [outside.names[ord(c)] for c in text]
        glyphs = face.shape(text)
        assert [glyph.name for glyph in glyphs] == names
        for glyph, name, following in zip(glyphs, names, names[1:], strict=False):
            advance, _ = outside.pair(name, following)
            assert glyph.kern == pytest.approx(advance, abs=2e-3)
            assert glyph.advance - glyph.kern == pytest.approx(outside.advance(name), abs=2e-3)


def used(case: Case) -> list[tuple[int, str]]:
    """The glyphs of the strings: their keys and fontTools' names."""
    face, outside = opened(case)
    characters = sorted(set("".join(strings(case))))
    return [(face.shape(c)[0].key, outside.names[ord(c)]) for c in characters]


@each_font
def test_bearings_and_extents_are_the_fonts(case: Case) -> None:
    face, outside = opened(case)
    for key, name in used(case):
        box = bezier.bounds(np.concatenate([contour.curves for contour in face.figure(key)]))
        # 1/1000 em is 0.07 mm for capitals 50 mm high: 0.01 units are below a thousandth of a millimetre.
        assert box == pytest.approx(outside.bounds(name), abs=0.01), name


@each_font
def test_areas_are_those_of_the_fonts_outlines(case: Case) -> None:
    face, outside = opened(case)
    overlapping = 0
    for key, name in used(case):
        got = -sum(area_of(contour.curves) for contour in face.figure(key))
        wanted = outside.area(name)
        if abs(got - wanted) > 1e-6 * wanted:
            overlapping += 1
            wanted = area_wound_round(outside.polygons(name, 1500))
        assert got == pytest.approx(wanted, rel=1e-6), name
    assert overlapping < len(used(case)) / 2 + 3


def area_wound_round(rings: list[Any]) -> float:
    """The area where the winding number is not zero: shapely cuts the plane, angles are summed."""
    import shapely

    lines = shapely.unary_union([shapely.LinearRing(ring) for ring in rings])
    faces = shapely.get_parts(shapely.polygonize([lines]))
    return sum(face.area for face in faces if abs(turns(rings, face.representative_point())) > 0.5)


def turns(rings: list[Any], point: Any) -> float:
    """How often rings go round a point: the sum of the angles their pieces are seen under."""
    total = 0.0
    for ring in rings:
        away = np.append(ring, ring[:1], axis=0) - [point.x, point.y]
        a, b = away[:-1], away[1:]
        total += np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)).sum()
    return total / (2 * np.pi)


@each_font
def test_capitals_are_as_high_as_the_fonts_own_h(case: Case) -> None:
    face, outside = opened(case)
    if ord("H") not in outside.names:
        return
    box = outside.bounds(outside.names[ord("H")])
    assert box is not None
    assert face.cap_height == pytest.approx(box[3] - min(box[1], 0.0), abs=0.0003 * outside.em)


def test_an_accent_sits_on_its_letter_by_the_fonts_anchors() -> None:
    face, outside = opened(CASES[0])
    base, mark = (outside.names[ord(c)] for c in "x\N{COMBINING CARON}")
    table = outside.font["GPOS"].table
    subtables = [
        getattr(one, "ExtSubTable", one) for lookup in table.LookupList.Lookup for one in lookup.SubTable
    ]
    attach = next(
        one
        for one in subtables
        if one.LookupType == 4 and base in one.BaseCoverage.glyphs and mark in one.MarkCoverage.glyphs
    )
    record = attach.MarkArray.MarkRecord[attach.MarkCoverage.glyphs.index(mark)]
    below = attach.BaseArray.BaseRecord[attach.BaseCoverage.glyphs.index(base)].BaseAnchor[record.Class]
    letter, accent = face.shape("x\N{COMBINING CARON}")
    pen = letter.advance
    assert pen + accent.offset[0] == below.XCoordinate - record.MarkAnchor.XCoordinate
    assert accent.offset[1] == below.YCoordinate - record.MarkAnchor.YCoordinate
