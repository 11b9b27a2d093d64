"""A font as another library reads it: fontTools, with GPOS pairs looked up by the format's own rules."""

from functools import cached_property
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from fontTools.misc.roundTools import otRound
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from fontTools.varLib.varStore import VarStoreInstancer
from numpy.typing import NDArray

Array = NDArray[np.float64]


class OutsideFont:
    """A font at axis values; lengths in font units."""

    def __init__(self, path: Path, location: dict[str, float], script: str) -> None:
        self.font = TTFont(path)
        exact = self.font.getGlyphSet(location=location).location
        # OpenType specification, font variations: normalized coordinates have 14 bits behind the point.
        bits = {tag: round(value * 16384) / 16384 for tag, value in exact.items()}
        self.glyphs = self.font.getGlyphSet(location=bits, normalized=True)
        self.names: dict[int, str] = self.font.getBestCmap()
        self.em: int = self.font["head"].unitsPerEm
        self._script = script

    def advance(self, name: str) -> float:
        """The advance of a glyph by itself: whole units, as fontTools' instancer makes them, too."""
        return float(otRound(self.glyphs[name].width))

    def bounds(self, name: str) -> tuple[float, float, float, float] | None:
        """The extent of a glyph's outline."""
        pen = BoundsPen(self.glyphs)
        self.glyphs[name].draw(pen)
        return pen.bounds  # type: ignore[no-any-return]

    def area(self, name: str) -> float:
        """The area its contours go round, by fontTools' own formula: overlaps count twice."""
        pen = AreaPen(self.glyphs)
        self.glyphs[name].draw(pen)
        return abs(float(pen.value))

    def polygons(self, name: str, steps: int) -> list[Array]:
        """Its contours (n, 2) with so many steps a curve."""
        pen = DecomposingRecordingPen(self.glyphs)
        self.glyphs[name].draw(pen)
        rings: list[list[Array]] = []
        t = np.linspace(0, 1, steps + 1)[1:, None]
        for kind, points in pen.value:
            if kind == "moveTo":
                rings.append([np.array(points, float)])
            elif kind == "lineTo":
                rings[-1].append(np.array(points, float))
            elif kind == "qCurveTo":
                rings[-1] += _quadratics(rings[-1], points, t)
            elif kind == "curveTo":
                a, (b, c, d) = rings[-1][-1][-1], np.array(points, float)
                rings[-1].append(
                    (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t * t * c + t**3 * d
                )
        return [np.concatenate(ring) for ring in rings]

    def pair(self, first: str, second: str) -> tuple[float, float]:
        """What kerning adds to the advance and to the placement of the first of two glyphs.

        OpenType specification, GPOS: in every lookup of the feature, in order, the first subtable
        that covers the first glyph and, by pairs, lists the second.
        """
        advance = placement = 0.0
        for lookup in self._lookups:
            for subtable in lookup:
                if first not in subtable.Coverage.glyphs:
                    continue
                value = _value_of(subtable, first, second)
                if value is None:
                    continue
                advance += self._sized(value, "XAdvance", "XAdvDevice")
                placement += self._sized(value, "XPlacement", "XPlaDevice")
                break
        return advance, placement

    @cached_property
    def _lookups(self) -> list[list[Any]]:
        """The pair subtables of each lookup of the kern feature of the script's default language."""
        if "GPOS" not in self.font:
            return []
        table = self.font["GPOS"].table
        scripts = {record.ScriptTag: record.Script for record in table.ScriptList.ScriptRecord}
        language = (scripts.get(self._script) or scripts["DFLT"]).DefaultLangSys
        features = [table.FeatureList.FeatureRecord[k] for k in language.FeatureIndex]
        indices = sorted({k for f in features if f.FeatureTag == "kern" for k in f.Feature.LookupListIndex})
        lookups = [table.LookupList.Lookup[k].SubTable for k in indices]
        plain = [[getattr(one, "ExtSubTable", one) for one in subtables] for subtables in lookups]
        return [[one for one in subtables if one.LookupType == 2] for subtables in plain]

    def _sized(self, value: Any, what: str, device: str) -> float:
        """A number of a value record with what it varies by."""
        number = float(getattr(value, what, 0) or 0)
        table = getattr(value, device, None)
        if table is not None and table.DeltaFormat == 0x8000:
            number += self._varied[(table.StartSize << 16) + table.EndSize]
        return number

    @cached_property
    def _varied(self) -> Any:
        store = self.font["GDEF"].table.VarStore
        return VarStoreInstancer(store, self.font["fvar"].axes, self.glyphs.location)


def _quadratics(ring: list[Array], points: Any, t: Array) -> list[Array]:
    """TrueType's curves: between two handles lies an implied point in their middle."""
    handles = [np.array(point, float) for point in points[:-1]]
    ends = [(a + b) / 2 for a, b in pairwise(handles)] + [np.array(points[-1], float)]
    a, parts = ring[-1][-1], []
    for handle, end in zip(handles, ends, strict=True):
        parts.append((1 - t) ** 2 * a + 2 * (1 - t) * t * handle + t * t * end)
        a = end
    return parts


def _value_of(subtable: Any, first: str, second: str) -> Any:
    """The first value record of a pair, None where the subtable does not list it."""
    if subtable.Format == 1:
        pairs = subtable.PairSet[subtable.Coverage.glyphs.index(first)].PairValueRecord
        return next((pair.Value1 for pair in pairs if pair.SecondGlyph == second), None)
    row = subtable.Class1Record[subtable.ClassDef1.classDefs.get(first, 0)]
    return row.Class2Record[subtable.ClassDef2.classDefs.get(second, 0)].Value1
