"""Transforms of SVG elements, and chains made from boxes and open paths."""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tracer.art.svg_css import Style
from tracer.art.svg_page import Box
from tracer.art.svg_units import pixels
from tracer.geometry import affine, bezier


def origin_of(style: Style, user: tuple[float, float]) -> tuple[float, float]:
    """Return the point about which a transform is meant, the origin where none is said."""
    words = style.get("transform-origin", "").split()
    named = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
    sides = [pixels(named.get(w, w), of=of, default=0.0) or 0.0 for w, of in zip(words, user, strict=False)]
    return (sides[0], sides[1]) if len(sides) == 2 else (0.0, 0.0)


@lru_cache(maxsize=4096)
def transform_of(text: str, width: float, height: float) -> affine.Affine | None:
    """Return the map of a transform list, None where it cannot be read.

    `width` and `height` are what percentages in it are of.
    """
    from svgelements import Matrix

    try:
        matrix = Matrix(text)
        matrix.render(ppi=96.0, width=width, height=height)
        numbers = [float(getattr(matrix, key)) for key in "abcdef"]
    except (ValueError, TypeError, IndexError, AttributeError, ZeroDivisionError, OverflowError):
        return None
    a, b, c, d, e, f = (x if math.isfinite(x) else math.inf for x in numbers)
    result = np.array([[a, c, e], [b, d, f]])
    result.setflags(write=False)
    return result


def rectangle(box: Box) -> NDArray[np.float64]:
    """Return the closed chain (4, 4, 2) round a box (x, y, width, height)."""
    x, y, w, h = box
    return bezier.from_polyline(np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h], [x, y]]))


def closing(curves: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a chain that ends where it begins, by a straight line where it does not by itself."""
    if (curves[-1, 3] == curves[0, 0]).all():
        return curves
    return np.concatenate([curves, bezier.from_polyline(np.array([curves[-1, 3], curves[0, 0]]))])


def is_flat(curves: NDArray[np.float64]) -> bool:
    """Say whether a chain lies on one straight line and so has nothing inside, whatever fills it."""
    points = curves.reshape(-1, 2) - curves[0, 0]
    far = points[np.argmax((points**2).sum(axis=1))]
    off = np.abs(points[:, 0] * far[1] - points[:, 1] * far[0])
    return bool(off.max() <= 1e-9 * float(far @ far))
