"""What an SVG file draws: its shapes in the order of painting, with their maps to the page."""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_css import Sheet, Style, style_of
from tracer.art.svg_outline import SHAPES, Measure, Subpath, outline_of
from tracer.art.svg_page import Box, Page, fitted, view_box
from tracer.art.svg_transform import closing, origin_of, rectangle, transform_of
from tracer.art.svg_units import EM, FARTHEST, diagonal, pixels
from tracer.art.svg_xml import MOST, Node
from tracer.errors import ArtError
from tracer.geometry import affine
from tracer.geometry.inside import Area

DEEPEST = 180
"""Elements within one another, copies (use) counted where they stand."""

_POINTER = re.compile(r"\s*url\(\s*['\"]?#([^'\")]+)['\"]?\s*\)")

FAR = 1e7
"""CSS pixels beyond which no window reaches: 2.6 km of paper."""

FAINTEST = 0.02
"""Opacity below which nothing is seen."""


@dataclass(frozen=True, eq=False)
class Shape:
    """One shape that shows.

    Attributes
    ----------
    subpaths : in the shape's user units.
    matrix : from there to CSS pixels of the page.
    style : what holds for it.
    opacity : its own and that of all it lies in.
    percent : what 100 % of a length across the shape stands for, in user units.
    within : indices of the walk's windows that it is seen through.
    node : the element.
    """

    subpaths: tuple[Subpath, ...]
    matrix: affine.Affine
    style: Style
    opacity: float
    percent: float
    within: tuple[int, ...]
    node: Node


@dataclass(frozen=True, eq=False)
class _Place:
    """Where the walk stands: what is taken over from the elements around."""

    matrix: affine.Affine
    user: tuple[float, float]
    style: Style
    opacity: float = 1.0
    copies: tuple[Node, ...] = ()
    within: tuple[int, ...] = ()
    depth: int = 0


class Walk:
    """All shapes of a file that show, the windows they show through, and counts of what is not followed.

    `windows` are areas in CSS pixels of the page: clip paths, and the frames of drawings within.
    What a file of our own shows beside its strokes (data-aside) is passed over.
    """

    def __init__(self, root: Node, page: Page, name: str) -> None:
        self.root, self.page, self.name = root, page, name
        self.shapes: list[Shape] = []
        self.windows: list[Area] = []
        self.left: Counter[str] = Counter()
        self.ids: dict[str, Node] = {}
        self.sheet = Sheet()
        self._looked_at = 0
        self._ours = "data-strokes" in root.attributes
        self._clips: dict[tuple[int, bytes], int] = {}
        for node in _all(self.root):
            self.ids.setdefault(node.attributes.get("id", ""), node)
            if node.tag == "style":
                self.sheet.add(node.text)
        place = _Place(self.page.matrix, self.page.user, {})
        self._inside(self.root, self._styled(self.root, place))

    def _element(self, node: Node, place: _Place) -> None:
        """Draw one element and what it holds."""
        draw = self._drawers.get(node.tag)
        if draw is None or (self._ours and "data-aside" in node.attributes):
            return
        self._looked_at += 1
        if self._looked_at > MOST or place.depth > DEEPEST:
            raise ArtError(
                f"{self.name} repeats its parts (use, line {node.line}) until they are more than {MOST}, or "
                f"more than {DEEPEST} within one another: that is no line drawing; save it simplified."
            )
        styled = self._styled(node, place)
        if styled is not None:
            draw(self, node, styled)

    def _styled(self, node: Node, place: _Place) -> _Place | None:
        """Return the place inside an element, None where nothing in it shows."""
        style = style_of(node, place.style, self.sheet)
        opacity = place.opacity * part(style.get("opacity"), 1.0)
        if style.get("display", "").lower() == "none" or opacity < FAINTEST:
            return None
        self.left["mask"] += style.get("mask", "none").lower() != "none"
        matrix = self._moved(style, place)
        if not (np.abs(matrix) < FARTHEST).all():
            self.left["wild"] += 1
            return None
        inner = replace(place, matrix=matrix, style=style, opacity=opacity, depth=place.depth + 1)
        return self._clipped(style.get("clip-path", "none"), inner)

    def _clipped(self, text: str, place: _Place) -> _Place:
        """Return the place seen through a clip path."""
        clip = pointed(text, self.ids)
        if clip is None or clip.tag != "clipPath":
            self.left["clip"] += text.lower() != "none" and clip is not None
            return place
        if clip.attributes.get("clipPathUnits") == "objectBoundingBox":
            self.left["clip"] += 1
            return place
        key = id(clip), place.matrix.tobytes()
        if key not in self._clips:
            self._clips[key] = len(self.windows)
            self.windows.append(self._window(clip, place))
        return replace(place, within=(*place.within, self._clips[key]))

    def _window(self, clip: Node, place: _Place) -> Area:
        """Return what a clip path leaves open: all of its shapes together."""
        around, self.shapes = self.shapes, []
        bare = replace(place, style={}, opacity=1.0, within=(), copies=(*place.copies, clip))
        styled = None if clip in place.copies else self._styled(clip, bare)
        self._inside(clip, styled)
        shapes, self.shapes = self.shapes, around
        rings = [closing(_near(affine.apply(s.matrix, sub.curves))) for s in shapes for sub in s.subpaths]
        evenodd = len(shapes) == 1 and shapes[0].style.get("clip-rule") == "evenodd"
        return Area(tuple(rings), evenodd)

    def _moved(self, style: Style, place: _Place) -> affine.Affine:
        """Return the map to the page with the element's own transform."""
        text = style.get("transform", "none")
        if text.lower() == "none":
            return place.matrix
        own = transform_of(text, *place.user)
        if own is None:
            self.left["transform"] += 1
            return place.matrix
        if not (np.abs(own) < FARTHEST).all():
            return np.full((2, 3), np.inf)
        x, y = origin_of(style, place.user)
        return affine.compose(place.matrix, affine.translation(x, y), own, affine.translation(-x, -y))

    def _inside(self, node: Node, place: _Place | None) -> None:
        if place is not None:
            for child in node.children:
                self._element(child, place)

    def _switch(self, node: Node, place: _Place) -> None:
        """Draw the first that a plain viewer understands."""
        known = [c for c in node.children if c.tag in self._drawers and c.tag != "foreignObject"]
        for child in known[:1]:
            self._element(child, place)

    def _use(self, node: Node, place: _Place) -> None:
        """Draw the copy of another element."""
        target = self.ids.get(href(node)[1:]) if href(node).startswith("#") else None
        if target is None:
            self.left["use"] += 1
        elif target in place.copies or _holds(target, node):
            self.left["circle"] += 1
        else:
            x, y = (_measured(node, place)(key, key) for key in "xy")
            moved = affine.compose(place.matrix, affine.translation(x, y))
            within = replace(place, matrix=moved, copies=(*place.copies, target))
            if target.tag in ("symbol", "svg"):
                styled = self._styled(target, within)
                if styled is not None:
                    self._view(target, styled, (node, target))
            else:
                self._element(target, within)

    def _svg(self, node: Node, place: _Place) -> None:
        self._view(node, place, (node,))

    def _view(self, node: Node, place: _Place, sized_by: tuple[Node, ...]) -> None:
        """Draw what has a window of its own; the first of `sized_by` that says its size decides."""
        measure = _measured(node, place)
        x, y = (measure(key, key) for key in "xy") if node.tag == "svg" else (0.0, 0.0)
        sides = []
        for key, of in zip(("width", "height"), place.user, strict=True):
            said = [pixels(one.attributes.get(key), of=of) for one in sized_by]
            sides.append(next((side for side in said if side is not None), of))
        box = view_box(node)
        window: Box = (x, y, sides[0], sides[1])
        inner = affine.translation(x, y)
        if box is not None:
            inner = fitted(box, node.attributes.get("preserveAspectRatio", ""), window)
        user = (sides[0], sides[1]) if box is None else box[2:]
        if min(sides) > 0:
            within = place.within
            if place.style.get("overflow", "hidden") not in ("visible", "auto"):
                within = (*within, len(self.windows))
                self.windows.append(Area((_near(affine.apply(place.matrix, rectangle(window))),)))
            matrix = affine.compose(place.matrix, inner)
            self._inside(node, replace(place, matrix=matrix, user=user, within=within))

    def _shape(self, node: Node, place: _Place) -> None:
        if _unseen(place.style):
            return
        outline = outline_of(node, _measured(node, place))
        self.left["broken"] += not outline.whole
        self.left["wild"] += outline.wild
        self.left["marker"] += any(
            place.style.get(f"marker-{k}", "none") != "none" for k in ("start", "mid", "end")
        )
        if outline.subpaths:
            percent = diagonal(*place.user)
            seen = place.matrix, place.style, place.opacity, percent, place.within
            self.shapes.append(Shape(outline.subpaths, *seen, node))

    def _cannot(self, node: Node, place: _Place) -> None:
        """Count what is seen but cannot be followed."""
        if not _unseen(place.style):
            self.left[node.tag] += 1

    _drawers: Mapping[str, Callable[["Walk", Node, _Place], None]] = {
        **dict.fromkeys(("g", "a"), _inside),
        **dict.fromkeys(SHAPES, _shape),
        **dict.fromkeys(("text", "image", "foreignObject"), _cannot),
        "svg": _svg,
        "switch": _switch,
        "use": _use,
    }


def _all(root: Node) -> Iterator[Node]:
    """Yield an element and all in it, in the order of the file."""
    waiting = [root]
    while waiting:
        node = waiting.pop()
        yield node
        waiting.extend(reversed(node.children))


def _holds(target: Node, node: Node) -> bool:
    """Say whether an element lies inside another."""
    above: Node | None = node
    while above is not None and above is not target:
        above = above.parent
    return above is target


def _unseen(style: Style) -> bool:
    return style.get("visibility", "visible").lower() in ("hidden", "collapse")


def _measured(node: Node, place: _Place) -> Measure:
    """Return what measures the lengths of an element, in its user units."""
    width, height = place.user
    of = {"x": width, "y": height, "d": diagonal(width, height)}
    em = pixels(place.style.get("font-size"), of=EM, default=EM) or EM

    def measure(key: str, axis: str) -> float:
        return pixels(node.attributes.get(key), of=of[axis], em=em, default=0.0) or 0.0

    return measure


def _near(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a window's ring with its far corners brought near enough to be reckoned with."""
    return np.clip(ring, -FAR, FAR)


def pointed(text: str, ids: Mapping[str, Node]) -> Node | None:
    """Return the element that "url(#name)" points to, None where there is none in the file."""
    match = _POINTER.match(text)
    return ids.get(match[1]) if match else None


def href(node: Node) -> str:
    """Return what an element points to."""
    return node.attributes.get("href", "").strip()


def part(text: str | None, default: float) -> float:
    """Return a part 0..1, written as a number or in percent."""
    value = pixels(text, of=1.0, default=default)
    return min(max(default if value is None else value, 0.0), 1.0)
