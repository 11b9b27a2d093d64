"""How dark the paints of an SVG file are."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from tracer.art.svg_css import Style, declarations
from tracer.art.svg_walk import href, part
from tracer.art.svg_xml import Node

LUMA = (0.299, 0.587, 0.114)
"""Weights of red, green and blue (ITU-R BT.601), as for pictures."""

_POINTER = re.compile(r"url\(\s*['\"]?([^'\")]*)['\"]?\s*\)\s*(.*)", re.DOTALL)
_SPACED = re.compile(
    r"(rgba?|hsla?)\(\s*([^,()\s]+)\s+([^,()\s]+)\s+([^,()\s]+)\s*(?:/\s*([^,()\s]+)\s*)?\)", re.I
)

_UNKNOWN = 255
"""What svgelements makes of a word that is no colour: opaque black."""

_BLACK = re.compile(r"black$|#|rgba?\(|hsla?\(")

_ALPHA = re.compile(r"(\([^,()]+,[^,()]+,[^,()]+),\s*([\d.]+)%\s*\)")
"""A fourth part in percent, which svgelements does not read."""


@dataclass(frozen=True)
class Paint:
    """What is put on: its darkness, 0 white to 1 black, and how opaque it is, 0 to 1."""

    darkness: float
    opacity: float

    def on(self, below: float) -> float:
        """Return the darkness where it lies on something as dark as `below` (Porter and Duff: over)."""
        return self.opacity * self.darkness + (1 - self.opacity) * below


def paint_of(key: str, style: Style, opacity: float, ids: Mapping[str, Node]) -> Paint | None:
    """Return the paint of "fill" or "stroke" of an element, None where it has none.

    Of a gradient it is the mean of its stops, of a pattern full ink.
    """
    text = style.get(key, "black" if key == "fill" else "none").strip()
    opacity *= part(style.get(f"{key}-opacity"), 1.0)
    pointer = _POINTER.match(text)
    if pointer:
        server = ids.get(pointer[1][1:]) if pointer[1].startswith("#") else None
        if server is not None:
            paint = _served(server, ids)
            return None if paint is None else Paint(paint.darkness, paint.opacity * opacity)
        text = pointer[2].strip() or "none"
    if text.lower() == "currentcolor":
        text = style.get("color", "black")
    colour = colour_of(text)
    if colour is None and key == "fill" and text.lower() not in ("none", "transparent"):
        colour = Paint(1.0, 1.0)  # CSS: what cannot be read is as not said, and nothing said fills black
    if colour is None or colour.opacity * opacity <= 0:
        return None
    return Paint(colour.darkness, colour.opacity * opacity)


@lru_cache(maxsize=4096)
def colour_of(text: str) -> Paint | None:
    """Return a colour's paint, None for "none" and for what is no colour."""
    from svgelements import Color

    plain = _SPACED.sub(lambda m: f"{m[1]}({m[2]},{m[3]},{m[4]}{f',{m[5]}' if m[5] else ''})", text)
    plain = _ALPHA.sub(lambda m: f"{m[1]},{float(m[2]) / 100:g})", plain)
    plain = re.sub(r"\s*icc-color\(.*\)", "", plain).strip().lower()
    if plain in ("", "none", "context-fill", "context-stroke") or plain.isdigit():
        return None
    try:
        colour = Color(plain)
        if colour.value is None or (colour.value == _UNKNOWN and not _BLACK.match(plain)):
            return None
        luma = sum(w * c / 255 for w, c in zip(LUMA, (colour.red, colour.green, colour.blue), strict=True))
    except (ValueError, TypeError, IndexError):
        return None
    return Paint(1.0 - luma, float(colour.opacity))


def _served(server: Node, ids: Mapping[str, Node]) -> Paint | None:
    """Return the mean paint of a gradient's stops; full ink for a pattern."""
    if server.tag not in ("linearGradient", "radialGradient"):
        return Paint(1.0, 1.0)
    stops = list(_stops(server, ids))
    if not stops:
        return None
    opacity = sum(stop.opacity for stop in stops) / len(stops)
    return Paint(sum(stop.on(0.0) for stop in stops) / len(stops) / max(opacity, 1e-9), opacity)


def _stops(server: Node, ids: Mapping[str, Node]) -> Iterator[Paint]:
    """Yield the paints of a gradient's stops, its own or those of the one it points to."""
    seen: list[Node] = []
    while server not in seen:
        seen.append(server)
        own = [child for child in server.children if child.tag == "stop"]
        for stop in own:
            yield _stop(stop)
        following = ids.get(href(server)[1:])
        if own or following is None:
            return
        server = following


def _stop(stop: Node) -> Paint:
    """Return the paint of one stop, from its attributes and its style."""
    said = {
        **stop.attributes,
        **{name: value for name, value, _ in declarations(stop.attributes.get("style", ""))},
    }
    colour = colour_of(said.get("stop-color", "black")) or Paint(1.0, 1.0)
    return Paint(colour.darkness, colour.opacity * part(said.get("stop-opacity"), 1.0))
