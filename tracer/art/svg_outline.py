"""SVG shapes as chains of cubics, in their own user units."""

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_xml import Node

Array = NDArray[np.float64]
Measure = Callable[[str, str], float]
"""An attribute's length: its name, and "x", "y" or "d" for what its percentage is of."""

WIDEST = math.radians(30)
"""Angle of an arc that one cubic stands for: within 4e-7 of the radius (2/27 sin^6(a/4) / cos^2(a/4))."""

FARTHEST = 1e12
"""Coordinates from here on are endless: what is measured of them would no longer be a number."""

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
    chains: list[tuple[list[Array], bool]] = []
    fresh = True
    for segment in path:
        if isinstance(segment, Move):
            fresh = True
            continue
        if segment.start is None or segment.end is None:
            break
        if fresh:
            chains.append(([], False))
        pieces, _ = chains[-1]
        fresh = isinstance(segment, Close)
        if not fresh or segment.start != segment.end or not pieces:
            pieces.append(cubics_of(segment))
        chains[-1] = pieces, fresh
    joined = [Subpath(np.concatenate(pieces), closed) for pieces, closed in chains]
    sound = tuple(part for part in joined if (np.abs(part.curves) < FARTHEST).all())
    return Outline(sound, whole, len(joined) - len(sound))


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


def cubics_of(segment: Any) -> Array:
    """Return the cubics (n, 4, 2) of one segment of a path as svgelements reads it."""
    from svgelements import Arc, CubicBezier, QuadraticBezier

    a, d = np.array(segment.start, float), np.array(segment.end, float)
    if not (np.abs([a, d]) < FARTHEST).all():
        return np.full((1, 4, 2), np.nan)
    if isinstance(segment, CubicBezier):
        return np.array([[a, segment.control1, segment.control2, d]], float)
    if isinstance(segment, QuadraticBezier):
        q = np.array(segment.control, float)
        return np.array([[a, a + (q - a) * 2 / 3, d + (q - d) * 2 / 3, d]])
    if isinstance(segment, Arc) and segment.rx and segment.ry and segment.sweep:
        return _arc(segment, a, d)
    return np.array([[a, a + (d - a) / 3, d - (d - a) / 3, d]])


def _arc(arc: Any, start: Array, end: Array) -> Array:
    """Return cubics along an elliptical arc, each within 4e-7 of the radius."""
    count = max(1, math.ceil(abs(arc.sweep) / WIDEST - 1e-9))
    first, turn = float(arc.get_start_t()), float(arc.get_rotation())
    t = first + np.linspace(0.0, float(arc.sweep), count + 1)
    c, s = math.cos(turn), math.sin(turn)
    axes = np.array([[c, s], [-s, c]]) * [[arc.rx], [arc.ry]]
    points = np.column_stack([np.cos(t), np.sin(t)]) @ axes + np.array(arc.center, float)
    slopes = np.column_stack([-np.sin(t), np.cos(t)]) @ axes
    points[0], points[-1] = start, end
    reach = 4 / 3 * math.tan(arc.sweep / count / 4)
    return np.stack(
        [points[:-1], points[:-1] + reach * slopes[:-1], points[1:] - reach * slopes[1:], points[1:]], axis=1
    )
