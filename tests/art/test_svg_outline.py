"""Curves, units and transforms of SVG files against general libraries, the standards and matrices."""

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import svgelements
import svgpathtools
from art.svg_files import PEN, read, user_scale
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.art.svg_outline import outline_of
from tracer.art.svg_page import fitted
from tracer.art.svg_transform import transform_of
from tracer.art.svg_units import pixels
from tracer.art.svg_xml import Node
from tracer.geometry import affine, bezier

coordinates = st.integers(-500, 500).map(lambda n: n / 10)
radii = st.integers(1, 800).map(lambda n: n / 10)


def path_node(d: str) -> Node:
    return Node("path", {"d": d}, 1)


def outline(tag: str, **attributes: object) -> list[np.ndarray]:
    node = Node(tag, {key.replace("_", "-"): str(value) for key, value in attributes.items()}, 1)
    found = outline_of(node, lambda key, _axis: float(node.attributes.get(key, 0)))
    return [part.curves for part in found.subpaths]


@settings(deadline=None)
@given(coordinates, coordinates, radii, radii, st.integers(0, 359), st.booleans(), st.booleans(), coordinates)
def test_arcs_are_those_of_general_libraries(x, y, rx, ry, turn, large, sweep, x0):
    # Outside references: svgelements' points and svgpathtools' length of the arc (SVG 1.1 appendix F.6).
    if math.hypot(x - x0, y) < 0.5:
        return
    arc = svgpathtools.Arc(complex(x0, 0), complex(rx, ry), turn, large, sweep, complex(x, y))
    data = f"M{x0},0A{rx},{ry},{turn},{large:d},{sweep:d},{x},{y}"
    (part,) = outline_of(path_node(data), lambda *_: 0.0).subpaths
    along = svgelements.Path(data)[1]
    reach = abs(arc.radius.real) + abs(arc.radius.imag)
    count = len(part.curves)
    at = np.arange(count + 1)
    # The cubics' ends divide the arc's parameter evenly; their middles lie on it as near as stated.
    for places in (at, at[:-1] + 0.5):
        mine = bezier.points_at(part.curves, places.astype(float))
        theirs = np.array([along.point(t / count) for t in places]) @ [1, 1j]
        assert np.abs(mine[:, 0] + 1j * mine[:, 1] - theirs).max() < 1e-6 * reach
    if max(rx, ry) < 8 * min(rx, ry):  # the length of a flatter one is summed to 1e-5 only, here and there
        assert bezier.length(part.curves) == pytest.approx(arc.length(), rel=1e-6)


@pytest.mark.parametrize(
    ("d", "lengths"),
    [
        ("M0 0L3 4", [5.0]),
        ("M0,0h3v4z", [12.0]),
        ("m1 1 3 4m10 10l3 4", [5.0, 5.0]),
        ("M0 0h10M5 5", [10.0]),
        ("M0 0L3 4zl3 4", [10.0, 5.0]),
        ("M0 0A0 5 0 0 1 3 4", [5.0]),  # SVG 1.1 F.6.2: a radius of 0 is a straight line
        ("M0 0A1 1 0 0 1 0 0M0 0h1", [0.0, 1.0]),  # F.6.2: an arc without length is left out
        ("M0 0A1 1 0 0 1 6 0", [3 * math.pi]),  # F.6.6: radii too small grow until they reach
        ("M0 0Q3 4 6 8", [10.0]),
        ("M0 0L3 4 Lbroken", [5.0]),  # F.2: up to the error
        ("M0 0a5 5 0 015 5", [5 * math.pi / 2]),  # flags need no space
        ("M.5.5.5 1.5", [1.0]),
        ("M1e1-1e1l0-1", [1.0]),
    ],
)
def test_path_data_as_the_standard_says(d, lengths):
    found = [bezier.length(part.curves) for part in outline_of(path_node(d), lambda *_: 0.0).subpaths]
    assert found == pytest.approx(lengths, abs=1e-5)


def test_coordinates_that_are_none_are_dropped_and_counted():
    found = outline_of(path_node("M0 0L1 1M0 0L1e999 5M2 2L3 3"), lambda *_: 0.0)
    assert (len(found.subpaths), found.wild) == (2, 1)


def test_shapes_have_the_lengths_of_geometry():
    assert bezier.length(outline("circle", r=10)[0]) == pytest.approx(20 * math.pi, rel=1e-6)
    assert bezier.length(outline("rect", width=10, height=4)[0]) == pytest.approx(28)
    # Four quarters of a circle in place of 8 radii of straight side.
    assert bezier.length(outline("rect", width=10, height=6, rx=2)[0]) == pytest.approx(32 - 16 + 4 * math.pi)
    # A radius is at most half of its side (SVG 2, 10.2): here rx 5, ry 3, an ellipse.
    assert bezier.bounds(outline("rect", width=10, height=6, rx=9)[0]) == pytest.approx((0, 0, 10, 6))
    assert bezier.length(outline("rect", width=10, height=6, rx=9, ry=3)[0]) == pytest.approx(
        bezier.length(outline("ellipse", rx=5, ry=3)[0])
    )
    # Ramanujan's second formula for the circumference of an ellipse, good to 1e-9 here.
    h = ((5 - 3) / (5 + 3)) ** 2
    about = math.pi * 8 * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    assert bezier.length(outline("ellipse", rx=5, ry=3)[0]) == pytest.approx(about, rel=1e-6)
    assert bezier.length(outline("line", x1=0, y1=0, x2=3, y2=4)[0]) == pytest.approx(5)
    assert bezier.length(outline("polyline", points="0,0 3,4 3,5 9")[0]) == pytest.approx(6)
    assert bezier.length(outline("polygon", points="0 0 3 0 3 4")[0]) == pytest.approx(12)
    assert outline("rect", width=10) == outline("circle") == outline("polygon", points="") == []


@pytest.mark.parametrize(
    ("text", "wanted"),
    # W3C, CSS 2.1 4.3.2: 1in = 2.54cm = 25.4mm = 72pt = 6pc = 96px.
    [
        *[(text, 96) for text in ("1in", "2.54cm", "25.4mm", "101.6Q", "72pt", "6pc", "96px", "96")],
        *[("50%", 20), (" 1e1 ", 10), ("-.5px", -0.5), ("2em", 32), ("+3.", 3)],
        *[("auto", None), ("", None), ("1 2", None), ("3lightyears", None), ("1e999", None), ("nan", None)],
    ],
)
def test_units(text, wanted):
    found = pixels(text, of=40.0)
    assert found == (None if wanted is None else pytest.approx(wanted))


def matrices() -> st.SearchStrategy[tuple[str, np.ndarray]]:
    """A transform in SVG's words, and its matrix as SVG 1.1 (7.6) writes it."""
    number = st.integers(-300, 300).map(lambda n: n / 10)
    scales = st.integers(2, 30).map(lambda n: n / 10)
    angles = st.integers(-80, 80)

    def tan(angle: int) -> float:
        return math.tan(math.radians(angle))

    return st.one_of(
        st.tuples(number, number).map(lambda p: (f"translate({p[0]},{p[1]})", affine.translation(*p))),
        scales.map(lambda s: (f"scale({s})", affine.scaling(s))),
        st.tuples(scales, scales).map(
            lambda s: (f"scale({s[0]} -{s[1]})", np.array([[s[0], 0, 0], [0, -s[1], 0]]))
        ),
        angles.map(lambda a: (f"rotate({a})", affine.rotation(math.radians(a)))),
        st.tuples(angles, number, number).map(
            lambda a: (
                f"rotate({a[0]},{a[1]},{a[2]})",
                affine.compose(
                    affine.translation(a[1], a[2]),
                    affine.rotation(math.radians(a[0])),
                    affine.translation(-a[1], -a[2]),
                ),
            )
        ),
        angles.map(lambda a: (f"skewX({a})", np.array([[1, tan(a), 0], [0, 1, 0]]))),
        angles.map(lambda a: (f"skewY({a})", np.array([[1, 0, 0], [tan(a), 1, 0]]))),
        st.tuples(scales, number, number, scales, number, number).map(
            lambda m: (f"matrix({','.join(map(str, m))})", np.array([[m[0], m[2], m[4]], [m[1], m[3], m[5]]]))
        ),
    )


@given(st.lists(matrices(), min_size=1, max_size=4))
def test_transform_lists_are_products_of_matrices(parts):
    found = transform_of(" ".join(text for text, _ in parts), 100.0, 100.0)
    wanted = affine.compose(*(matrix for _, matrix in parts))
    assert found == pytest.approx(wanted, rel=1e-9, abs=1e-6 * max(1.0, np.abs(wanted).max()))


@settings(max_examples=30, deadline=None)
@given(outer=matrices(), inner=matrices(), own=matrices())
def test_nested_transforms_map_lines(tmp_path_factory, outer, inner, own):
    folder = tmp_path_factory.mktemp("nested")
    wanted = affine.compose(outer[1], inner[1], own[1])
    ends = affine.apply(wanted, np.array([[1.0, 2.0], [30.0, 5.0], [12.0, 33.0]]))
    if abs(np.linalg.det(wanted[:, :2])) < 1e-3 or np.ptp(ends, axis=0).max() < 1e-2:
        return
    body = (
        f'<g transform="{outer[0]}"><g style="transform:{inner[0]}"><use xlink:href="#a"/></g></g>'
        f'<defs><path id="a" transform="{own[0]}" d="M1 2L30 5L12 33" {PEN}/></defs>'
    )
    drawing = read(folder, body, "")
    (stroke,) = drawing.strokes
    x0, y0 = ends.min(axis=0)
    k = np.hypot(*(stroke.curves[0, 3] - stroke.curves[0, 0])) / np.hypot(*(ends[1] - ends[0]))
    assert math.log2(k) == pytest.approx(round(math.log2(k)), abs=1e-6)
    mine = np.concatenate([stroke.curves[:, 0], stroke.curves[-1:, 3]])
    assert mine == pytest.approx(k * (ends - (x0, y0)), abs=1e-3)
    # Mean width over the two sides: w |det| times the length before the map over that after it [D].
    before = math.hypot(29, 3) + math.hypot(18, 28)
    after = sum(math.dist(a, b) for a, b in pairwise(ends))
    assert stroke.width == pytest.approx(k * 2 * abs(np.linalg.det(wanted[:, :2])) * before / after, rel=1e-6)


@pytest.mark.parametrize(
    ("fit", "x", "y", "scale"),
    # SVG 1.1, 7.8: a box 100 x 100 in a place 300 x 200 at (10, 20).
    [
        ("", 60, 20, (2, 2)),
        ("xMidYMid meet", 60, 20, (2, 2)),
        ("xMinYMin meet", 10, 20, (2, 2)),
        ("xMaxYMax", 110, 20, (2, 2)),
        ("xMidYMid slice", 10, -30, (3, 3)),
        ("xMaxYMax slice", 10, -80, (3, 3)),
        ("defer xMinYMin slice", 10, 20, (3, 3)),
        ("none", 10, 20, (3, 2)),
    ],
)
def test_view_boxes_fit_their_places(fit, x, y, scale):
    matrix = fitted((5.0, 7.0, 100.0, 100.0), fit, (10.0, 20.0, 300.0, 200.0))
    assert affine.apply(matrix, np.array([5.0, 7.0])) == pytest.approx((x, y))
    assert np.diag(matrix[:, :2]) == pytest.approx(scale)


def test_widths_under_uneven_scaling_are_the_mean(tmp_path: Path):
    # Scaled 3 across and 1 down: an upright line is 3 times as wide, a level one as wide as before.
    lines = '<path d="M10 10v60"/><path d="M20 20h40"/>'
    body = f'<g transform="scale(3 1)" stroke="black" stroke-width="2">{lines}</g>'
    drawing = read(tmp_path, body)
    k = user_scale(drawing)
    assert [s.width / k for s in drawing.strokes] == pytest.approx([6.0, 2.0])
    even = read(tmp_path, body.replace("<path", '<path vector-effect="non-scaling-stroke"'))
    assert [s.width / k for s in even.strokes] == pytest.approx([2.0, 2.0])


def test_svgpathtools_reads_the_same_path(tmp_path: Path):
    d = "M10 80 C 40 10, 65 10, 95 80 S 150 150, 180 80 T 190 90 Q 195 20 100 20"
    theirs = svgpathtools.parse_path(d)
    (part,) = outline_of(path_node(d), lambda *_: 0.0).subpaths
    assert bezier.length(part.curves) == pytest.approx(theirs.length(), rel=3e-6)
    for k, segment in enumerate(theirs):
        mine = bezier.points_at(part.curves, k + np.array([0.0, 0.3, 0.7]))
        assert mine[:, 0] + 1j * mine[:, 1] == pytest.approx(
            np.array([segment.point(t) for t in (0.0, 0.3, 0.7)])
        )
