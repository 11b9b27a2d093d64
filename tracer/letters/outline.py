"""The outline of a glyph as closed cubics, drawn by HarfBuzz."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.errors import LetterError
from tracer.geometry import bezier

Array = NDArray[np.float64]
Point = tuple[float, float]

FINER = 1024
"""HarfBuzz counts in whole numbers: its font is made so many times finer than the font's units."""

FARTHEST = 64.0
"""em; no letter's outline reaches farther from its origin."""

MOST = 10_000
"""Curves of a glyph: ornaments have a few thousand."""


class _Pen:
    """Takes down what HarfBuzz draws: `contours` are lists of cubics, four points each."""

    def __init__(self) -> None:
        self.contours: list[list[tuple[Point, Point, Point, Point]]] = []
        self._start = self._at = (0.0, 0.0)

    def moveTo(self, point: Point) -> None:  # noqa: N802 - the names of these are HarfBuzz's
        self.contours.append([])
        self._start = self._at = point

    def lineTo(self, point: Point) -> None:  # noqa: N802
        if point != self._at:
            self.curveTo(_part(self._at, point, 1 / 3), _part(point, self._at, 1 / 3), point)

    def qCurveTo(self, handle: Point, point: Point) -> None:  # noqa: N802
        self.curveTo(_part(self._at, handle, 2 / 3), _part(point, handle, 2 / 3), point)

    def curveTo(self, first: Point, second: Point, point: Point) -> None:  # noqa: N802
        if not self._at == first == second == point:
            self.contours[-1].append((self._at, first, second, point))
        self._at = point

    def closePath(self) -> None:  # noqa: N802
        self.lineTo(self._start)


def _part(a: Point, b: Point, share: float) -> Point:
    """Return the point at a share of the way from `a` to `b`."""
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def rings_of(font: Any, glyph: int) -> list[Array]:
    """Return the closed contours (n, 4, 2) of a glyph as the font has them, font units, y up.

    Quadratics are raised to cubics and lines made cubics, both exactly. `font` is HarfBuzz's, at a
    scale FINER than its units.

    Raises
    ------
    LetterError
        For an outline of points that no letter has: a broken font.
    """
    pen = _Pen()
    font.draw_glyph_with_pen(glyph, pen)
    rings = [np.array(contour, float) / FINER for contour in pen.contours if contour]
    if sum(map(len, rings)) > MOST:
        raise LetterError(
            f"the outline of a letter has {sum(map(len, rings))} curves, more than {MOST}: "
            "the font is broken or no face for letters; take another"
        )
    reach = max((float(np.abs(ring).max()) for ring in rings), default=0.0) / font.face.upem
    if not reach <= FARTHEST:
        raise LetterError(
            f"the outline of a letter reaches {reach:.0f} em from its origin, more than {FARTHEST:.0f}: "
            "the font is broken; take another"
        )
    return rings


def area_of(ring: Array) -> float:
    """Return the area that a closed chain (n, 4, 2) goes round, exactly, positive anticlockwise with y up."""
    around = _NODES[:, None] * np.ones(len(ring))
    every = np.tile(ring, (len(_NODES), 1, 1))
    point, slope = bezier.evaluate(every, around.ravel()), bezier.derivative(every, around.ravel())
    swept = (point[:, 0] * slope[:, 1] - point[:, 1] * slope[:, 0]).reshape(around.shape)
    return float(_WEIGHTS @ swept.sum(axis=1)) / 2


_NODES, _WEIGHTS = (np.polynomial.legendre.leggauss(3)[0] + 1) / 2, np.polynomial.legendre.leggauss(3)[1] / 2
"""Three Gauss points integrate the swept area of cubics, of degree 5, exactly."""
