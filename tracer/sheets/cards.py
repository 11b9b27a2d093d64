"""letter-cards.pdf: each different letter on a card of its own, all alike, and the list of what to cut.

Cards are as large as the template's letters. The origin has the same place on every card, so that a
holder that stops a card's edges brings each letter to the same place under the stylus.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tracer.errors import JobError
from tracer.lengths import both
from tracer.model.plan import Plan
from tracer.sheets.card_face import PAD, TITLE, Card, CardSize, draw_card, names_room
from tracer.sheets.card_letters import card_letters
from tracer.sheets.card_list import draw_list
from tracer.sheets.legend import Legend, draw_legend, legend_of
from tracer.sheets.marks import WORK_SIZE, draw_bar
from tracer.sheets.pdf import Pdf
from tracer.sheets.said_names import title_of
from tracer.sheets.strip import ratio_trust

_LEAST = 56.0
"""mm: the narrowest card, for its words."""

_FOOT, _SIDE = 20.0, 8.0  # mm of each page for its words and bars


@dataclass(frozen=True)
class _Grid:
    """How cards lie on a page: paper as held, its stretch, and how many across and down."""

    paper: tuple[float, float]
    stretch: tuple[float, float]
    columns: int
    rows: int

    @property
    def count(self) -> int:
        return self.columns * self.rows


def write_cards(
    plan: Plan, path: Path, *, alone: Sequence[Plan], size: tuple[float, float] | None = None
) -> None:
    """Write letter-cards.pdf: the cutting list, then the cards, as many on a page as fit.

    The same plan gives the same bytes.

    Parameters
    ----------
    plan : of the words.
    path : the file.
    alone : the plan of each different letter, as `card_letters.alone` lays it out, in their order.
    size : (width, height) of the cards that the holder takes, mm; None: the smallest for the largest letter.

    Raises
    ------
    JobError
        Where there are no words, a letter is too large for cards of that size, or the cards for the paper.
    """
    letters = card_letters(plan)
    if not letters:
        raise JobError("letter cards are made of words, and there are none on this board: leave them out")
    cards = [Card(letter, own) for letter, own in zip(letters, alone, strict=True)]
    pdf = Pdf(path, title=f"{title_of(plan)}: letter cards", date=plan.job.date)
    common = _size(pdf, plan, cards, size)
    grid = _grid(plan, common)
    draw_list(pdf, plan, letters, common)
    for first in range(0, len(cards), grid.count):
        pdf.page(*grid.paper, stretch=grid.stretch)
        for place, card in enumerate(cards[first : first + grid.count]):
            row, column = divmod(place, grid.columns)
            margin = plan.job.printer.margin
            draw_card(pdf, card, common, (margin + column * common.width, margin + row * common.height))
        _draw_frame(pdf, plan, grid, common)
    pdf.save()


def _size(pdf: Pdf, plan: Plan, cards: Sequence[Card], wanted: tuple[float, float] | None) -> CardSize:
    """Return the size of all cards: the least that holds every letter, or as wanted."""
    left, top, right, bottom = (max(card.reach[side] for card in cards) for side in range(4))
    across = max(_LEAST, left + right + 2 * PAD, wanted[0] if wanted else 0.0)
    foot = max(names_room(pdf, card, across) for card in cards)
    least = (max(_LEAST, left + right + 2 * PAD), top + bottom + TITLE + foot + PAD)
    step = 25.4 / 16 if plan.job.units == "in" else 1.0
    width, height = wanted or (math.ceil(side / step - 1e-9) * step for side in least)
    if width < least[0] - 1e-9 or height < least[1] - 1e-9:
        largest = max(cards, key=lambda card: sum(card.reach)).letter.name
        raise JobError(
            f"cards of {_said(plan, width, height)} are too small for these letters, {largest} above all: "
            f"they need {_said(plan, *least)}; name larger cards, or set the words smaller"
        )
    return CardSize(
        width,
        height,
        x=PAD + left + (width - left - right - 2 * PAD) / 2,
        y=TITLE + top + (height - least[1]) / 2,
        foot=foot,
    )


def _grid(plan: Plan, card: CardSize) -> _Grid:
    """Hold the paper the way that takes more cards."""
    paper, margin = plan.job.paper, plan.job.printer.margin
    across, down = plan.job.printer.correction
    ways = (
        ((paper.width, paper.height), (across, down)),
        ((paper.height, paper.width), (down, across)),
    )
    grids = []
    for held, stretch in ways:
        room = (held[0] / stretch[0] - 2 * margin - _SIDE, held[1] / stretch[1] - 2 * margin - _FOOT)
        columns, rows = (int((a + 1e-6) // b) for a, b in zip(room, (card.width, card.height), strict=True))
        grids.append(_Grid(held, stretch, max(0, columns), max(0, rows)))
    best = max(grids, key=lambda grid: grid.count)
    if not best.count:
        raise JobError(
            f"letter cards of {_said(plan, card.width, card.height)} do not fit {paper.name} paper: use "
            "larger paper, set the words smaller, or take the whole word as one template"
        )
    return best


def _said(plan: Plan, width: float, height: float) -> str:
    return f"{both(width, plan.job.units)} x {both(height, plan.job.units)}"


def _draw_frame(pdf: Pdf, plan: Plan, grid: _Grid, card: CardSize) -> None:
    """Write what the page is, and draw the bars across and down."""
    margin = plan.job.printer.margin
    right, bottom = (side / stretch - margin for side, stretch in zip(grid.paper, grid.stretch, strict=True))
    across = 100.0 if right - margin >= 165.0 else 50.0
    draw_bar(pdf, right - across - 0.5, bottom - 5.0, length=across, upright=False)
    said = f"must measure {across:g} mm" + (": print at actual size" if across > 60 else "")
    pdf.text(right - across / 2, bottom - 1.2, said, WORK_SIZE, anchor="middle")
    down = 100.0 if bottom - margin >= 108.0 else 50.0
    draw_bar(pdf, right - 0.5, margin + 4.0, length=down, upright=True)
    words = f"must measure {down:g} mm too"
    pdf.text(right - _SIDE + 3.2, margin + 4.0 + down / 2, words, WORK_SIZE, anchor="middle", angle_deg=90.0)
    legend = Legend((), islands=False, breaks=False, hops=legend_of(plan).hops)
    draw_legend(pdf, legend, margin, (bottom - 17.3, bottom - 13.2), room=right - margin, joined=False)
    room = right - across - 4.0 - margin
    title = pdf.fit(f"{title_of(plan)}: letter cards", 10.0, room, bold=True)
    pdf.text(margin, bottom - 8.6, title, 10.0, bold=True)
    each = f"each {_said(plan, card.width, card.height)}"
    trust = f"{ratio_trust(plan)}; cut on grey lines"
    for up, words in ((4.9, each), (1.2, trust)):
        pdf.text(margin, bottom - up, pdf.fit(words, WORK_SIZE, room), WORK_SIZE)
