"""Letters set anew, with another tracking, arc or pitch, to ask again how they would stand."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from tracer.model.marks import Letter
from tracer.report.letter_order import word_breaks
from tracer.report.lettered import Words

Figure = tuple[tuple[Any, float], ...]
"""Lines of what will be there of a letter, wood mm, each with how far it reaches to its sides, mm."""

_TOUCHING = 0.01
"""In capital heights; a face that leaves no more between two letters means them to touch (our own choice)."""


@dataclass(frozen=True)
class Setting:
    """Tracking and pitch in capital heights; radius of the first baseline, mm, None where it is straight."""

    tracking: float
    pitch: float
    arc: float | None


class Anew:
    """The letters of words, each as far along its line as it is set; wood mm, first baseline level.

    Parameters
    ----------
    words : the letters, as they are set now.
    figures : of each letter what is there of it; none for one of which nothing is.
    """

    def __init__(self, words: Words, figures: Sequence[Figure]):
        self.words, self.figures = words, figures
        own = words.marks.lettering
        times = words.height / own.height if own.height else 1.0
        self.now = Setting(own.tracking, own.pitch, None if own.arc is None else own.arc * times)
        self._along: dict[int, tuple[float, float]] = {}
        self._middle: dict[int, float] = {}
        letters = words.marks.letters
        for line in {letter.line for letter in letters}:
            row = [k for k, letter in enumerate(letters) if letter.line == line]
            self._along |= dict(zip(row, self._row([letters[k] for k in row]), strict=True))
            self._middle |= {k: place - (len(row) - 1) / 2 for place, k in enumerate(row)}

    def gap(self, pair: tuple[int, int], setting: Setting) -> float:
        """Return the gap, mm, between two letters in a setting; 0 or less where they meet.

        A space takes as much tracking as one letter; that is not counted, so that gaps there are no larger
        than is said where letters go apart.
        """
        import shapely

        one, other = (self._figure(k, setting) for k in pair)
        return min(float(shapely.distance(a, b)) - i - j for a, i in one for b, j in other)

    def joins(self) -> bool:
        """Say whether the face joins its letters: most touch as it sets them itself, straight, untracked."""
        plain, letters = self.as_set_plainly(), self.words.marks.letters
        breaks = word_breaks(self.words.marks) or set()
        pairs = [
            pair
            for pair in pairwise(range(len(letters)))
            if pair[1] not in breaks
            and len({letters[k].line for k in pair}) == 1
            and all(self.figures[k] for k in pair)
        ]
        return sum(self.touch(pair, plain) for pair in pairs) > len(pairs) / 2

    def touch(self, pair: tuple[int, int], setting: Setting) -> bool:
        """Say whether lines or edges of two letters, however wide the grooves, touch in a setting."""
        reach = sum(max(half for _, half in self.figures[k]) for k in pair)
        return self.gap(pair, setting) + reach <= _TOUCHING * self.words.height

    def as_set_plainly(self) -> Setting:
        """As the face itself sets the letters: straight, untracked."""
        return Setting(0.0, self.now.pitch, None)

    def _row(self, row: Sequence[Letter]) -> list[tuple[float, float]]:
        """Return how far along a line its letters' origins lie, and beyond those where each is upright."""
        words = self.words
        if self.now.arc is None:
            back = words.turn(row[0]) - row[0].turn
            places = [words.origin(letter) for letter in row]
            return [(x * math.cos(back) + y * math.sin(back), 0.0) for x, y in places]
        scale = words.height / words.marks.cap_height
        radius = self.now.arc - row[0].line * self.now.pitch * words.height
        along = radius * row[0].turn
        if len(row) > 1:
            dx, dy = np.subtract(row[1].origin, row[0].origin).tolist()
            along = radius * math.atan2(dy, dx) - row[0].advance * scale / 2
        found = []
        for letter in row:
            found.append((along, radius * letter.turn - along))
            along += letter.advance * scale
        return found

    def _figure(self, k: int, setting: Setting) -> Figure:
        """Return a letter's figure as it lies in a setting."""
        import shapely

        letter, (along, upright) = self.words.marks.letters[k], self._along[k]
        along += self._middle[k] * (setting.tracking - self.now.tracking) * self.words.height
        origin, turn = np.array([along, letter.line * setting.pitch * self.words.height]), 0.0
        if setting.arc is not None:
            radius = setting.arc - origin[1]
            angle, turn = along / radius, (along + upright) / radius
            rise = 2 * radius * math.sin(angle / 2) ** 2
            origin = np.array([radius * math.sin(angle), origin[1] + rise])
        by, old = turn - self.words.turn(letter), np.array(self.words.origin(letter))
        spin = np.array([[math.cos(by), math.sin(by)], [-math.sin(by), math.cos(by)]])
        return tuple(
            (shapely.transform(line, lambda xy: (xy - old) @ spin + origin), half)
            for line, half in self.figures[k]
        )
