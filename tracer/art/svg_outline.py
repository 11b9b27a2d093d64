"""SVG shapes as chains of cubics, in their own user units."""

import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_units import FARTHEST
from tracer.art.svg_xml import Node

Array = NDArray[np.float64]
Measure = Callable[[str, str], float]
"""An attribute's length: its name, and "x", "y" or "d" for what its percentage is of."""

Row = Sequence[float]
"""One cubic: x, y of its start, its two handles, its end."""

WIDEST = math.radians(30)
"""Angle of an arc that one cubic stands for: within 4e-7 of the radius (2/27 sin^6(a/4) / cos^2(a/4))."""

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")


@dataclass(frozen=True, eq=False)
class Subpath:
    """One stretch of pen without a lift: cubics (n, 4, 2), and whether it closes."""

    curves: Array
    closed: bool


@dataclass(frozen=True)
class Outline:
    """The subpaths of one shape, and whether all its data could be read."""

    subpaths: tuple[Subpath, ...]
    whole: bool = True
    wild: int = 0


def outline_of(node: Node, measure: Measure) -> Outline:
    """Return the outline of a shape in its own user units.

    Subpaths with a coordinate that is no number or endless are left out and counted in
    `wild`. Path data are followed up to what cannot be read, as SVG 1.1 (F.2) says.
    """
    return _chains(_path_data(node, measure))


def _path_data(node: Node, measure: Measure) -> str:
    """Return the path that draws a shape, as SVG 2 (chapter 10) defines each."""
    if node.tag == "path":
        return node.attributes.get("d", "")
    if node.tag in ("polyline", "polygon"):
        return _poly(node)
    if node.tag == "line":
        a, b, c, d = (measure(key, key[0]) for key in ("x1", "y1", "x2", "y2"))
        return f"M{a!r},{b!r}L{c!r},{d!r}"
    if node.tag == "rect":
        return _rect(node, measure)
    x, y = measure("cx", "x"), measure("cy", "y")
    if node.tag == "circle":
        rx = ry = measure("r", "d")
    else:
        rx, ry = _radii(node, measure)
    if not (rx > 0 and ry > 0):
        return ""
    corners = ((x, y + ry), (x - rx, y), (x, y - ry), (x + rx, y))
    return f"M{x + rx!r},{y!r}" + "".join(f"A{rx!r},{ry!r} 0 0 1 {p!r},{q!r}" for p, q in corners) + "Z"


def _poly(node: Node) -> str:
    """Return the path through the points of a polyline or polygon; an odd last number is left out."""
    numbers = re.findall(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", node.attributes.get("points", ""))
    pairs = [f"{x},{y}" for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
    return f"M{'L'.join(pairs)}{'Z' if node.tag == 'polygon' else ''}" if pairs else ""


def _radii(node: Node, measure: Measure) -> tuple[float, float]:
    """Return rx and ry; one that is not said is as the other."""
    said = [node.attributes.get(key, "auto").strip() not in ("", "auto") for key in ("rx", "ry")]
    rx, ry = measure("rx", "x"), measure("ry", "y")
    return (rx if said[0] else ry), (ry if said[1] else rx)


def _rect(node: Node, measure: Measure) -> str:
    """Return the path of a rectangle, its corners rounded where it says so."""
    x, y, w, h = (measure(key, axis) for key, axis in zip(("x", "y", "width", "height"), "xyxy", strict=True))
    if not (w > 0 and h > 0):
        return ""
    rx, ry = _radii(node, measure)
    rx, ry = min(max(rx, 0.0), w / 2), min(max(ry, 0.0), h / 2)
    if not (rx and ry):
        return f"M{x!r},{y!r}H{x + w!r}V{y + h!r}H{x!r}Z"
    arc = f"A{rx!r},{ry!r} 0 0 1 "
    right, bottom = x + w, y + h
    return (
        f"M{x + rx!r},{y!r}H{right - rx!r}{arc}{right!r},{y + ry!r}"
        f"V{bottom - ry!r}{arc}{right - rx!r},{bottom!r}"
        f"H{x + rx!r}{arc}{x!r},{bottom - ry!r}V{y + ry!r}{arc}{x + rx!r},{y!r}Z"
    )


def _chains(data: str) -> Outline:
    """Return the subpaths of path data."""
    from svgelements import Close, Move, Path

    path = Path()
    try:
        path.parse(data)
        whole = True
    except (ValueError, TypeError, AttributeError, IndexError, ZeroDivisionError, OverflowError):
        whole = False  # the parser stumbles in these ways over broken data; what it has read stands
    _smoothed(path)
    chains: list[tuple[list[Row], bool]] = []
    fresh = True
    for segment in path:
        if isinstance(segment, Move):
            fresh = True
            continue
        if segment.start is None or segment.end is None:
            break
        if fresh:
            chains.append(([], False))
        rows, _ = chains[-1]
        fresh = isinstance(segment, Close)
        if not fresh or _apart(segment) or not rows:
            rows += rows_of(segment)
        chains[-1] = rows, fresh
    joined = [Subpath(np.array(rows).reshape(-1, 4, 2), closed) for rows, closed in chains]
    sound = tuple(part for part in joined if (np.abs(part.curves) < FARTHEST).all())
    return Outline(sound, whole, len(joined) - len(sound))


def _apart(segment: Any) -> bool:
    """Say whether a segment has a length; one whose ends are no points is left for the count of such."""
    return bool(_place(segment.start) != _place(segment.end))


def _place(point: Any) -> tuple[float, float]:
    """Return a point's coordinates, endless where one is missing or beyond all drawings."""
    if point is None or point.x is None or point.y is None:
        return math.inf, math.inf
    x, y = float(point.x), float(point.y)
    return (x, y) if abs(x) < FARTHEST and abs(y) < FARTHEST else (math.inf, math.inf)


def _smoothed(segments: Iterable[Any]) -> None:
    """Set the first handles of smooth segments (S, T) right.

    SVG 1.1 (8.3.6, 8.3.7): the last handle of a segment of the same degree reflected, and the
    start itself after any other; svgelements reflects a cubic's handle for a quadratic, too.
    """
    from svgelements import CubicBezier, QuadraticBezier

    before: Any = None
    for one in segments:
        curved = isinstance(one, CubicBezier | QuadraticBezier)
        if curved and one.smooth and one.start is not None:
            handle = one.start
            if type(before) is type(one):
                last = before.control2 if isinstance(before, CubicBezier) else before.control
                handle = last.reflected_across(one.start)
            setattr(one, "control1" if isinstance(one, CubicBezier) else "control", handle)
        before = one


def rows_of(segment: Any) -> list[Row]:
    """Return the cubics of one segment of a path as svgelements reads it, eight coordinates each."""
    from svgelements import Arc, CubicBezier, QuadraticBezier

    (ax, ay), (dx, dy) = _place(segment.start), _place(segment.end)
    bx, by, cx, cy = ax + (dx - ax) / 3, ay + (dy - ay) / 3, dx - (dx - ax) / 3, dy - (dy - ay) / 3
    if isinstance(segment, CubicBezier):
        (bx, by), (cx, cy) = _place(segment.control1), _place(segment.control2)
    elif isinstance(segment, QuadraticBezier):
        x, y = _place(segment.control)
        bx, by, cx, cy = (
            ax + (x - ax) * 2 / 3,
            ay + (y - ay) * 2 / 3,
            dx + (x - dx) * 2 / 3,
            dy + (y - dy) * 2 / 3,
        )
    elif isinstance(segment, Arc) and math.isfinite(ax + dx) and segment.rx and segment.ry and segment.sweep:
        return _arc(segment, (ax, ay), (dx, dy))
    return [(ax, ay, bx, by, cx, cy, dx, dy)]


def _arc(arc: Any, start: tuple[float, float], end: tuple[float, float]) -> list[Row]:
    """Return cubics along an elliptical arc, each within 4e-7 of the radius."""
    if not (abs(arc.sweep) < 7 and max(arc.rx, arc.ry) < FARTHEST and math.isfinite(_place(arc.center)[0])):
        return [(math.inf,) * 8]
    from svgpathtools import Arc

    turn = math.degrees(float(arc.get_rotation()))
    large, sweeps = abs(arc.sweep) > math.pi, arc.sweep > 0
    whole = Arc(complex(*start), complex(arc.rx, arc.ry), turn, large, sweeps, complex(*end))
    count = max(1, math.ceil(abs(arc.sweep) / WIDEST - 1e-9))
    places = np.linspace(0.0, 1.0, count + 1).tolist()
    points = np.array([complex(*start), *map(whole.point, places[1:-1]), complex(*end)])
    slopes = np.array([whole.derivative(t) for t in places]) / arc.sweep
    handles = 4 / 3 * math.tan(arc.sweep / count / 4) * slopes
    a, d = points[:-1], points[1:]
    rows: list[Row] = np.column_stack([a, a + handles[:-1], d - handles[1:], d]).view(float).tolist()
    return rows
