"""Accents above and below letters, drawn with single strokes on the grid of the letters they go with."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_RING = [(2, 0), (1, 2), (-1, 2), (-2, 0), (-1, -2), (1, -2), (2, 0)]

ABOVE: dict[str, list[list[tuple[float, float]]]] = {
    "\N{COMBINING GRAVE ACCENT}": [[(-2, 7), (1, 3)]],
    "\N{COMBINING ACUTE ACCENT}": [[(-1, 3), (2, 7)]],
    "\N{COMBINING CIRCUMFLEX ACCENT}": [[(-3, 3), (0, 6), (3, 3)]],
    "\N{COMBINING TILDE}": [[(-4, 4), (-3, 5), (-2, 5), (2, 4), (3, 4), (4, 5)]],
    "\N{COMBINING MACRON}": [[(-4, 4), (4, 4)]],
    "\N{COMBINING BREVE}": [[(-3, 6), (-2, 4), (0, 3), (2, 4), (3, 6)]],
    "\N{COMBINING DOT ABOVE}": [[(0, 5)]],
    "\N{COMBINING DIAERESIS}": [[(-3, 5)], [(3, 5)]],
    "\N{COMBINING RING ABOVE}": [[(x, y + 5) for x, y in _RING]],
    "\N{COMBINING DOUBLE ACUTE ACCENT}": [[(-4, 3), (-1, 7)], [(1, 3), (4, 7)]],
    "\N{COMBINING CARON}": [[(-3, 6), (0, 3), (3, 6)]],
}
"""Polylines of each accent (a single point is a dot), from the middle of the letter's top, y up."""

BELOW: dict[str, list[list[tuple[float, float]]]] = {
    "\N{COMBINING CEDILLA}": [[(0, 0), (0, -1), (2, -3), (2, -5), (0, -6), (-2, -5)]],
    "\N{COMBINING DOT BELOW}": [[(0, -4)]],
}
"""The same from the middle of its foot."""

MARKS = frozenset(ABOVE) | frozenset(BELOW)

STACKED = 6.0
"""From one accent to the one above it."""

MOST = 2
"""Accents to a letter: more than that is no language's."""


def with_accents(letter: list[Array], marks: str, slant: float) -> list[Array]:
    """Return the polylines of a letter with accents, placed over and under the middle of its extent.

    `slant` is how far to the right a stem leans for each step upwards.
    """
    points = np.concatenate(letter)
    upright = points[:, 0] - slant * points[:, 1]
    middle = (upright.min() + upright.max()) / 2
    top, foot = points[:, 1].max(), points[:, 1].min()
    figure = list(letter)
    for mark in marks:
        level, strokes = (top, ABOVE[mark]) if mark in ABOVE else (foot, BELOW[mark])
        for stroke in strokes:
            own = np.add(np.array(stroke, float), (0.0, level))
            figure.append(own + np.column_stack([middle + slant * own[:, 1], np.zeros(len(own))]))
        top += STACKED * (mark in ABOVE)
    return figure
