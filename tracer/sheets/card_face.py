"""One letter's card: its track, baseline and origin, and where each letter that follows it begins. True mm.

A card's frame on paper has the letter's origin at (0, 0), x right and y down.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.model.plan import Plan
from tracer.sheets import marks
from tracer.sheets.card_letters import CardLetter, Follower
from tracer.sheets.island_names import taken_by_marks
from tracer.sheets.labels import Spot, place_clear
from tracer.sheets.marks import WORK_SIZE
from tracer.sheets.pdf import BLACK, GREY, POINT, Pdf
from tracer.sheets.run_marks import draw_numbers, draw_ways, run_numbers
from tracer.sheets.track import Track, track_of
from tracer.shop.linkage import ratio_words

Array = NDArray[np.float64]
Reach = tuple[float, float, float, float]

PAD = 5.0
"""mm kept free at a card's edges."""

TITLE = 16.0
"""mm for the words at its top."""

TICK = 0.15
"""mm: thickness of the marks."""

_ARM, _LONG = 3.5, 6.0  # mm of a follower's tick, and of the origin's, to either side of the baseline
_PITCH = 3.7  # mm from one line of names to the next
_GAP = 3.0  # mm between names
_BREAKS = (1e3, 24.0, 15.0, 9.0)  # mm at which rows of names are broken into lines, the widest that will do
_LEAD = 5.0  # mm from what is lowest to the names, for the lines that lead to them
_LEVEL = 1e-9  # radians from which a baseline is turned
_ROUND_TICK = np.array([-1.6, 0.0, 1.6, 0.0])  # mm kept clear beside a tick


@dataclass(frozen=True)
class CardSize:
    """The size of all cards, and where (x, y) the origin lies on them, from the top left."""

    width: float
    height: float
    x: float
    y: float
    foot: float
    """mm at the bottom for the names of what follows."""


@dataclass(frozen=True, eq=False)
class Mark:
    """Where a letter begins on a card, (2,) from the origin; `way` (2,) is the direction of its baseline."""

    name: str
    at: Array
    way: Array

    @property
    def tick(self) -> Array:
        """The ends (2, 2) of its tick, the lower one on paper last."""
        up = np.array([self.way[1], -self.way[0]]) * _ARM
        ends = np.array([self.at + up, self.at - up])
        return ends[np.argsort(ends[:, 1], kind="stable")]


@dataclass(frozen=True, eq=False)
class Card:
    """One letter's card: the letter, and the plan of it alone as `card_letters.alone` lays it out."""

    letter: CardLetter
    plan: Plan

    @cached_property
    def origin(self) -> Array:
        """The letter's origin (2,), template mm."""
        return affine.apply(self.plan.to_template, np.array(self.letter.first.origin))

    @cached_property
    def track(self) -> Track:
        """Its lines and runs, template mm."""
        return track_of(self.plan)

    @cached_property
    def followers(self) -> tuple[Mark, ...]:
        """The marks of what follows."""
        return tuple(self._mark(one) for one in self.letter.followers)

    def _mark(self, one: Follower) -> Mark:
        """Bring a follower from the wood to the card."""
        linear = self.plan.to_template[:, :2]
        way = linear @ (math.cos(one.turn), math.sin(one.turn)) * self.plan.job.ratio
        return Mark(one.name, linear @ (one.x, one.y), way)

    @cached_property
    def reach(self) -> Reach:
        """How far track and marks reach left of, above, right of and below the origin."""
        corners = np.array(self.track.extent).reshape(2, 2) - self.origin
        points = [np.array([[0.0, _LONG], [0.0, -_LONG]]), *(mark.tick for mark in self.followers)]
        points += [corners] if self.track.lines else []
        (left, top), (right, bottom) = np.vstack(points).min(axis=0), np.vstack(points).max(axis=0)
        return -float(left), -float(top), float(right), float(bottom)


def names_room(pdf: Pdf, card: Card, width: float) -> float:
    """Return how high the names at the foot of a card stand: in a row, or upended where it is too short."""
    names = [name for name, _ in _named(card)]
    lines = _broken(pdf, names, width - 2 * PAD)
    if lines is None:
        return _LEAD + 2.0 + max(pdf.measure(name, WORK_SIZE, bold=True) for name in names)
    return _LEAD + 1.0 + _PITCH * max(map(len, lines))


def draw_card(pdf: Pdf, card: Card, size: CardSize, at: tuple[float, float]) -> None:
    """Draw a card with its top left at a place on the page, its edge as the line to cut along."""
    pdf.box(*at, size.width, size.height, line=0.15, colour=GREY)
    _draw_title(pdf, card, size, at)
    corner = card.origin - (size.x, size.y)
    x0, y0 = (float(value) for value in corner)
    view = (x0, y0, x0 + size.width, y0 + size.height)
    room = (view[0] + 1.0, view[1] + TITLE, view[2] - 1.0, view[3] - size.foot)
    spots = run_numbers(pdf, card.track, room)
    with pdf.window(*at, (size.width, size.height), (x0, y0)):
        paths = marks.paths_of(pdf, card.track.lines)
        marks.draw_bands(pdf, card.track.lines, paths)
        _draw_marks(pdf, card, size)
        _draw_baseline(pdf, card, size, spots)
        marks.draw_lines(pdf, card.track.lines, paths)
        draw_ways(pdf, card.track, view)
        draw_numbers(pdf, card.track.ways, spots, view)


def _draw_title(pdf: Pdf, card: Card, size: CardSize, at: tuple[float, float]) -> None:
    """Write which letter it is and for which places, the ratio, and which way is up."""
    x, y = at[0] + 2.5, at[1] + 7.0
    letter, room = card.letter, size.width - 20.0
    size_pt = pdf.shrunk(letter.name, (18.0, 9.0), room / 2)
    name = pdf.fit(letter.name, size_pt, room / 2, bold=True)
    pdf.text(x, y, name, size_pt, bold=True)
    wide = pdf.measure(name, size_pt, bold=True) + 2.5
    places = ", ".join(str(one.number) for one in letter.places)
    said = f"× {len(letter.places)}: no. {places}"
    if pdf.measure(said, WORK_SIZE) > room - wide:
        said = f"× {len(letter.places)}"
    pdf.text(x + wide, y, said, WORK_SIZE)
    ratio = ratio_words(card.plan.job.ratio)
    for row, words in enumerate(pdf.wrap(ratio[0].upper() + ratio[1:], WORK_SIZE, room)[:2]):
        pdf.text(x, y + 3.8 + 3.6 * row, words, WORK_SIZE)
    turned = card.plan.job.linkage.turned
    right, up = at[0] + size.width - 4.0, math.pi / 2 if turned else -math.pi / 2
    marks.draw_axis(pdf, (right, at[1] + 6.0), angle=up, heads=1, length=8.0)
    upright = abs(letter.first.turn) < _LEVEL
    for row, words in enumerate(("top of", "board" if upright else "letter")):
        pdf.text(right - 2.2, at[1] + 5.2 + 3.6 * row, words, WORK_SIZE, anchor="right")


def _draw_marks(pdf: Pdf, card: Card, size: CardSize) -> None:
    """Draw baseline, origin and the followers' ticks, each led to its name at the foot of the card."""
    left, right = _sides(card, size)
    x, y = (float(value) for value in card.origin)
    top = y - size.y + size.height - size.foot + _LEAD - 1.0
    named = _named(card)
    lines = _broken(pdf, [name for name, _ in named], size.width - 2 * PAD)
    widths = [WORK_SIZE * POINT for _ in named] if lines is None else [_wide(pdf, each) for each in lines]
    middles = apart(widths, [float(tick[1, 0]) + x for _, tick in named], (left + 1.0, right - 1.0))
    for place, ((name, tick), middle) in enumerate(zip(named, middles, strict=True)):
        ends = tick + card.origin
        pdf.line(ends, width=TICK)
        pdf.line([ends[1], (middle, top)], width=0.1, colour=GREY)
        if lines is None:
            pdf.text(middle + 1.1, top + 0.8, name, WORK_SIZE, bold=place > 0, anchor="right", angle_deg=90.0)
            continue
        for row, said in enumerate(lines[place]):
            pdf.text(middle, top + 3.2 + _PITCH * row, said, WORK_SIZE, bold=place > 0, anchor="middle")
    pdf.polygon([(x, y), (x - 1.3, y + 2.6), (x + 1.3, y + 2.6)], fill=BLACK)
    for mark in card.followers:
        if abs(mark.way[1]) > _LEVEL:
            ends = np.array([mark.at - _ARM * mark.way, mark.at + _ARM * mark.way])
            pdf.line(ends + card.origin, width=0.12, colour=GREY)


def _draw_baseline(pdf: Pdf, card: Card, size: CardSize, spots: Sequence[Spot | None]) -> None:
    """Draw the baseline through the whole card, and name it where there is room."""
    left, right = _sides(card, size)
    y = float(card.origin[1])
    pdf.line([(left, y), (right, y)], width=0.12, colour=GREY)
    wide, high = pdf.measure("baseline", WORK_SIZE), 3.2
    across = np.arange(right - wide / 2, left + wide / 2, -1.0)
    middles = np.vstack([np.column_stack([across, np.full(len(across), y + side * 2.0)]) for side in (-1, 1)])
    ticks = np.vstack([tick for _, tick in _named(card)]).reshape(-1, 2, 2) + card.origin
    taken = np.vstack(
        [taken_by_marks(card.track, spots), np.hstack([ticks.min(axis=1), ticks.max(axis=1)]) + _ROUND_TICK]
    )
    clear = card.track.band / 2
    (spot,) = place_clear([middles], [(wide, high)], taken=taken, lines=card.track.busy, clear=clear)
    if spot is not None:
        pdf.text(spot.x, spot.y + 1.15, "baseline", WORK_SIZE, anchor="middle")


def _sides(card: Card, size: CardSize) -> tuple[float, float]:
    """Return how far the baseline reaches on the card, template mm."""
    left = float(card.origin[0]) - size.x
    return left + 1.5, left + size.width - 1.5


def _named(card: Card) -> list[tuple[str, Array]]:
    """Return the names at the foot with their ticks: the origin first."""
    origin = np.array([[0.0, -_LONG], [0.0, _LONG]])
    return [("origin", origin), *((mark.name, mark.tick) for mark in card.followers)]


def _broken(pdf: Pdf, names: Sequence[str], room: float) -> list[list[str]] | None:
    """Return the names in lines such that all stand beside one another; None where they have no room."""
    for most in _BREAKS:
        lines = [pdf.wrap(name, WORK_SIZE, most, bold=True) for name in names]
        whole = all(" ".join(each) == name for each, name in zip(lines, names, strict=True))
        if whole and sum(_wide(pdf, each) for each in lines) + _GAP * (len(lines) - 1) <= room:
            return lines
    return None


def _wide(pdf: Pdf, lines: Sequence[str]) -> float:
    return max(pdf.measure(said, WORK_SIZE, bold=True) for said in lines)


def apart(widths: Sequence[float], wanted: Sequence[float], sides: tuple[float, float]) -> list[float]:
    """Return middles between two sides, near those wanted, of words that do not touch where there is room."""
    gap = min(_GAP, (sides[1] - sides[0] - sum(widths)) / max(1, len(widths) - 1))
    order = sorted(range(len(widths)), key=lambda k: wanted[k])
    middles, edge = [0.0] * len(widths), sides[0]
    for k in order:
        middles[k] = max(edge + widths[k] / 2, wanted[k])
        edge = middles[k] + widths[k] / 2 + gap
    edge = sides[1]
    for k in reversed(order):
        middles[k] = min(middles[k], edge - widths[k] / 2)
        edge = middles[k] - widths[k] / 2 - gap
    return middles
