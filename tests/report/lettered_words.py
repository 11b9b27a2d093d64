"""Words set by hand from simple letters of our own: capitals 100 units high, single strokes or outlines."""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import shapes

from tracer.acts import Side
from tracer.geometry import affine
from tracer.lettering import Lettering
from tracer.model.drawing import Drawing, Region, Stroke
from tracer.model.layout import Board, Layout, Piece
from tracer.model.marks import Letter, Marks

STEM = 16.0


def _loop(*points: tuple[float, float]) -> shapes.Part:
    return shapes.Part(shapes.line(*points, points[0]).curves, closed=True, kind="edge")


def _ring(x: float, y: float, radius: float) -> shapes.Part:
    return shapes.Part(shapes.ring((x, y), radius).curves, closed=True, kind="edge")


OUTLINES: dict[str, tuple[shapes.Part, ...]] = {
    "I": (_loop((0, 0), (16, 0), (16, 100), (0, 100)),),
    "-": (_loop((0, 40), (20, 40), (20, 58), (0, 58)),),
    "L": (_loop((0, 0), (16, 0), (16, 84), (60, 84), (60, 100), (0, 100)),),
    "T": (_loop((0, 0), (70, 0), (70, 16), (43, 16), (43, 100), (27, 100), (27, 16), (0, 16)),),
    "V": (_loop((0, 0), (18, 0), (40, 76), (62, 0), (80, 0), (49, 100), (31, 100)),),
    "O": (_ring(50, 50, 50), _ring(50, 50, 34)),
    "D": (
        _loop((0, 0), (60, 0), (70, 50), (60, 100), (0, 100)),
        _loop((16, 16), (48, 16), (54, 50), (48, 84), (16, 84)),
    ),
    "e": (_ring(30, 70, 30), _loop((20, 52), (40, 52), (40, 64), (20, 64))),
}  # fmt: skip
"""Outer edge first, then the inner ones; the baseline at y = 100."""

SINGLE = shapes.LETTERS | {
    "A": (shapes.line((0, 100), (40, 0), (80, 100)), shapes.line((16, 60), (64, 60))),
    "e": (shapes.ring((30, 70), 30),),
}


def set_words(
    text: str,
    *,
    cut: str = "middle",
    gap: float = 25.0,
    kerns: Mapping[str, float] | None = None,
    space: float = 70.0,
    raised: bool = False,
    clear: bool = False,
    **more: Any,
) -> Drawing:
    """Set words with gaps between the letters' extents, changed by `kerns` for pairs."""
    lettering = Lettering(text, cut=cut, raised=raised, **more)  # type: ignore[arg-type]
    strokes: list[Stroke] = []
    letters: list[Letter] = []
    regions: list[Region] = []
    side: Side = "outside" if raised else "inside"
    for line, row in enumerate(text.split("\n")):
        x, y = 0.0, line * 100 * lettering.pitch
        for k, char in enumerate(row):
            if char == " ":
                x += space - gap
                continue
            parts = (SINGLE if cut == "middle" else OUTLINES)[char]
            first = len(strokes) + 1
            for number, part in enumerate(parts, first):
                strokes.append(Stroke(number, part.curves + np.array([x, y]), part.closed, part.kind))
            numbers = tuple(range(first, first + len(parts)))
            right = max(part.curves[..., 0].max() for part in parts)
            pair = row[k : k + 2]
            kern = (kerns or {}).get(pair, 0.0)
            advance = float(right) + gap + kern + 100 * lettering.tracking
            letters.append(Letter(char, (char,), line, (x, y + 100), 0.0, advance, kern, numbers))
            if cut != "middle":
                regions.append(Region(numbers[0], numbers[1:], side))
            x += advance
    if clear:
        regions = [replace(region, clear=True) for region in regions]  # type: ignore[call-arg]
    stem = 0.0 if cut == "middle" else STEM
    marks = Marks(tuple(letters), 100.0, stem, "Bench Sans", "our own", lettering)
    drawing = Drawing(tuple(strokes), (), (1, 1), regions=tuple(regions), name="words", marks=marks)
    right, bottom = drawing.bounds[2:]
    return replace(drawing, size_px=(math.ceil(right), math.ceil(bottom)))


def laid(drawing: Drawing, height: float, *, turn: float = 0.0, margin: float = 20.0) -> Layout:
    """Lay words on a board that fits round them, the capitals `height` mm high."""
    turned = affine.compose(affine.rotation(turn), affine.scaling(height / 100))
    curves = np.concatenate([stroke.curves for stroke in drawing.strokes])
    corners = affine.apply(turned, curves).reshape(-1, 2)
    low, high = corners.min(axis=0), corners.max(axis=0)
    matrix = affine.compose(affine.translation(*(margin - low).tolist()), turned)
    width, tall = (high - low + 2 * margin).tolist()
    return Layout(Board(width, tall, 19.05, "pine"), (Piece(drawing, matrix, "words"),))
