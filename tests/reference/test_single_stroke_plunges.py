"""Plunges of words in the single-stroke faces against counts by another route.

The route: the raw coordinates of the package, not smoothed; ends up to half a step of their grid off, x and y
alike, put on the stroke they miss; all cut where they touch (shapely); a graph of what is left (networkx). Of
each connected part without retracing max(1, odd points / 2), with it one [S20: Euler's theorem on trails,
textbook graph theory]. Rows 75 to 88 of the table of letters are repeated where the face draws a letter so.
"""

import random
from typing import Any

import networkx
import numpy as np
import pytest
import shapely
import shapely.ops
import shapes
from HersheyFonts import HersheyFonts

import tracer
from tracer.job import Job
from tracer.lettering import Lettering
from tracer.letters.set_words import set_words
from tracer.letters.single_strokes import open_single

CAPITAL = 100.0
"""mm: letters stand further apart than a groove is wide."""

STEP = CAPITAL / 21
"""mm to a step of the package's grid."""

PACKAGE = HersheyFonts("", "rowmans")


def plunges(words: str, face: str = "plain", **settings: Any) -> tuple[int, int]:
    return totals(words, face, **settings)[:2]


def totals(words: str, face: str = "plain", **settings: Any) -> tuple[int, int, int]:
    """Plunges without and with retracing, and with all passes."""
    lettering = Lettering(words, face=face, height=CAPITAL)
    drawing, job = set_words(lettering, open_single(face)), Job(**settings)
    x0, y0, x1, y1 = drawing.bounds
    plan = tracer.plan(shapes.layout_of(drawing, width_mm=(x1 - x0) or y1 - y0, job=job), job)
    found = plan.totals
    return found.plunges_without_retracing, found.plunges_with_retracing, found.plunges_with_passes


def raw_parts(words: str) -> list[tuple[Any, int]]:
    """The connected parts of words in the raw coordinates, in steps: geometry, plunges without retracing."""
    parts, x = [], 0.0
    for letter in words:
        glyph = PACKAGE.all_glyphs[letter]
        lines = [np.array(s, float) - (glyph.left_offset - x, 0) for s in glyph.strokes if len(s) > 1]
        dots = [p for p in lines if (p[0] == p[-1]).all() and np.ptp(p, axis=0).max() <= 2]
        parts += [(shapely.Point(p.min(axis=0) + 1), 1) for p in dots]
        rest = [p for p in lines if not any(p is d for d in dots)]
        parts += graph_parts([shapely.LineString(p) for p in rest])
        x += glyph.char_width
    return parts


def graph_parts(lines: list[Any]) -> list[tuple[Any, int]]:
    """The connected parts of one letter's lines."""
    links = []
    for k, line in enumerate(lines):
        for end, inner in ((line.coords[0], 3.0), (line.coords[-1], line.length - 3.0)):
            point = shapely.Point(end)
            own = shapely.ops.substring(
                line, *((inner, line.length) if end == line.coords[0] else (0, inner))
            )
            others = shapely.MultiLineString([o for j, o in enumerate(lines) if j != k] + [own])
            if not line.is_ring and 0 < point.distance(others) <= 0.5**0.5:
                links.append(shapely.LineString([point, shapely.ops.nearest_points(point, others)[1]]))
    noded = shapely.unary_union([*lines, *links], grid_size=1e-3)
    graph = networkx.MultiGraph()
    for piece in shapely.get_parts(noded):
        graph.add_edge(*(tuple(np.round(c, 3)) for c in (piece.coords[0], piece.coords[-1])), geometry=piece)
    parts = []
    for nodes in networkx.connected_components(graph):
        part = graph.subgraph(nodes)
        odd = sum(degree % 2 for _, degree in part.degree())
        geometry = shapely.MultiLineString([g for *_, g in part.edges(data="geometry")])
        parts.append((geometry, max(1, odd // 2)))
    return parts


def counted(words: str) -> tuple[int, int]:
    """Plunges without and with retracing by the other route; grooves of different parts must lie apart."""
    parts = raw_parts(words)
    geometries = [geometry for geometry, _ in parts]
    for k, one in enumerate(geometries):
        assert all(one.distance(other) * STEP > 2 * Job().groove for other in geometries[:k]), words
    return sum(count for _, count in parts), len(parts)


@pytest.mark.parametrize(
    ("letter", "without", "with_"),
    [
        ("O", 1, 1),  # 75: a closed loop, 0 odd points [S20]
        *((letter, 1, 1) for letter in "LSVWMNZ"),  # 76: 2 odd points [S20]
        ("T", 2, 1),  # 77: 4 odd points [S20]
        ("A", 2, 1),  # 78: 4 odd, once the bar has been led on to the legs [S20]
        ("E", 2, 1),  # 79: 4 odd [S20]
        ("H", 3, 1),  # 80: 6 odd [S20]
        ("X", 2, 1),  # 81: 4 odd, the centre is even [S20]
        ("B", 1, 1),  # 82: a bar to where both bows meet: 2 odd, at the stem and there [S20]
        ("8", 1, 1),  # 83: one stroke that crosses itself [S20]
        ("i", 2, 2),  # 84: stem and dot are two parts; the ring of the dot is cut as one dimple [S20]
        ("EMMA", 6, 4),  # 85: 2 + 1 + 1 + 2; 4 parts [S20]
        # 86 says 7 / 6 for an R whose leg leaves the joint of bar and stem, where four meet. Here it leaves
        # the bar: two odd points more, 1 + 1 + 1 + 1 + 2 + 2 [S20].
        ("OLIVER", 8, 6),
    ],
)
def test_the_table_of_letters(letter: str, without: int, with_: int) -> None:
    assert plunges(letter) == counted(letter) == (without, with_)


def test_two_passes_double_the_plunges() -> None:
    # 87: EMMA, no retracing, 2 depth passes: plunges x passes [D]
    assert totals("EMMA", retrace=False, depth=25.4 * 3 / 16, pass_limit=25.4 / 8)[2] == 12


def test_every_letter_and_digit() -> None:
    for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789":
        assert plunges(letter) == counted(letter), letter


def test_fifty_words() -> None:
    chance = random.Random(7)
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
    for _ in range(50):
        word = "".join(chance.choices(letters, k=chance.randint(2, 9)))
        assert plunges(word) == counted(word), word


def test_letters_of_the_script_hang_together() -> None:
    # a word of joined letters without dots or bars is one part: one plunge with retracing [D]
    for word in ("name", "home", "amen", "lemon", "bun"):
        assert plunges(word, "script")[1] == 1, word
    assert plunges("mine", "script")[1] == 2  # and a dot
