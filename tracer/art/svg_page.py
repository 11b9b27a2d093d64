"""The page of an SVG file: how large it is, and how view boxes fit their places."""

import re
from dataclasses import dataclass

import numpy as np

from tracer.art.svg_units import PHYSICAL, parts_of, pixels
from tracer.art.svg_xml import Node
from tracer.geometry import affine

FARTHEST = 1e9
"""Sides and places of pages from here on are mistakes."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Page:
    """What the root element says.

    Attributes
    ----------
    width, height : CSS pixels, or None where the file does not say how large its page is.
    matrix : from the root's user units to CSS pixels of the page.
    user : (width, height) in the root's user units: what percentages are of.
    physical : "210 mm wide" and the like where the size is in units of paper, else "".
    """

    width: float | None
    height: float | None
    matrix: affine.Affine
    user: tuple[float, float]
    physical: str

    @property
    def box(self) -> Box | None:
        """The page (x0, y0, x1, y1) in CSS pixels, None where its size is unknown."""
        return None if self.width is None or self.height is None else (0.0, 0.0, self.width, self.height)

    @property
    def longer(self) -> float:
        """The longer side in CSS pixels, 0 where it is unknown."""
        return max(self.width or 0.0, self.height or 0.0)


def page_of(root: Node) -> Page:
    """Return the page of a file; its size is the view box where it does not say another."""
    box = view_box(root)
    wide, high = (_side(root.attributes.get(key)) for key in ("width", "height"))
    if box is not None and box[2] > 0 and box[3] > 0:
        if wide is None and high is None:
            wide, high = box[2], box[3]
        wide = high * box[2] / box[3] if wide is None and high is not None else wide
        high = wide * box[3] / box[2] if high is None and wide is not None else high
    physical = _physical(root)
    if wide is None or high is None:
        return Page(None, None, affine.scaling(1.0), (wide or 300.0, high or 150.0), physical)
    if box is None:
        return Page(wide, high, affine.scaling(1.0), (wide, high), physical)
    matrix = fitted(box, root.attributes.get("preserveAspectRatio", ""), (0.0, 0.0, wide, high))
    return Page(wide, high, matrix, box[2:], physical)


def _side(text: str | None) -> float | None:
    """Return a side of the root in CSS pixels; a part of a window that is not known is no size."""
    side = pixels(text, of=float("nan"))
    return side if side is not None and 0 < side < FARTHEST else None


def _physical(root: Node) -> str:
    """Return which side has a unit of paper, in words, the width before the height."""
    for key, word in (("width", "wide"), ("height", "high")):
        parts = parts_of(root.attributes.get(key, ""))
        if parts is not None and parts[1] in PHYSICAL and parts[0] > 0:
            return f"{parts[0]:g} {parts[1]} {word}"
    return ""


def view_box(node: Node) -> Box | None:
    """Return the view box (x, y, width, height) of an element, None where it has none that makes sense."""
    parts = re.split(r"[\s,]+", node.attributes.get("viewBox", "").strip())
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        return None
    if len(numbers) != 4 or not (np.abs(numbers) < FARTHEST).all() or min(numbers[2:]) < 0:
        return None
    return numbers[0], numbers[1], numbers[2], numbers[3]


def fitted(box: Box, fit: str, place: Box) -> affine.Affine:
    """Return the map of a view box into its place, both (x, y, width, height) (SVG 1.1, 7.8).

    `fit` is the value of preserveAspectRatio. A box without width or height shows nothing:
    the map then sends all to one point.
    """
    if not (box[2] > 0 and box[3] > 0):
        return affine.scaling(0.0)
    words = [word for word in fit.split() if word != "defer"] or ["xMidYMid"]
    scale = np.array([place[2] / box[2], place[3] / box[3]])
    if words[0] != "none":
        scale[:] = scale.max() if "slice" in words else scale.min()
    spare = np.array(place[2:]) - scale * box[2:]
    part = np.array([_part(words[0], "x"), _part(words[0], "Y")])
    shift = np.array(place[:2]) - scale * box[:2] + part * (spare if words[0] != "none" else 0.0)
    return np.array([[scale[0], 0.0, shift[0]], [0.0, scale[1], shift[1]]])


def _part(words: str, axis: str) -> float:
    """Return which part of the room to spare lies before the picture."""
    return 0.0 if f"{axis}Min" in words else 1.0 if f"{axis}Max" in words else 0.5
