"""The board in small on the job sheet, and the facts beside and under it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracer.model.plan import Plan
from tracer.sheets.blocks import READ, SMALL, Block, Column, beside, gap, stack
from tracer.sheets.job_facts import Fact
from tracer.sheets.thumbnail import all_numbered, thumbnail

_HIGHEST = 120.0
"""mm of height that the picture takes at the most."""

_SHARES = (0.42, 0.48, 0.54, 0.6)
"""Parts of the page's width that it may take."""

_LEAST = 50.0
"""mm of height that the picture has at the least, unless its board is lower."""

_APART = 5.0
"""mm between the two columns."""

_ROUND = 3.0
"""mm above and under the picture."""


@dataclass(frozen=True, eq=False)
class _Split:
    """One way to part the facts: those that stand under the picture, those beside it.

    `natural` is how high the picture is where it is as wide as its column, mm.
    """

    left: Column
    under: Block
    beside: Block
    natural: float

    def picture(self, room: float) -> float:
        """Return how high the picture may be in `room` mm of height."""
        return min(self.natural, max(room - _ROUND - self.under.height, _LEAST))

    def height(self, picture: float) -> float:
        """Return how high all is with a picture at most so high, mm."""
        return max(min(picture, self.natural) + _ROUND + self.under.height, self.beside.height)


@dataclass(frozen=True)
class BoardAndFacts:
    """Board and facts to draw, and whether each run has its number on the board."""

    block: Block
    numbered: bool


class FactsAndBoard:
    """The board on the left, the facts about it beside and under it, in the way that the room allows."""

    def __init__(self, column: Column, plan: Plan, facts: Sequence[Fact]) -> None:
        self._plan, self._rule = plan, column.rule()
        self._splits = tuple(_splits(column, plan, facts))

    @property
    def least(self) -> float:
        """Height of what is least high, mm."""
        return self._rule.height + min(split.height(_LEAST) for split in self._splits)

    def within(self, room: float, *, elsewhere: str) -> BoardAndFacts:
        """Return the largest board that `room` mm of height allow; in too few, what is least high.

        Facts that would make the right column the higher stand under the board. `elsewhere` is where its
        runs are numbered if it is too small for all their numbers; "" where nowhere else.
        """
        room -= self._rule.height
        sized = [(split, split.picture(room)) for split in self._splits]
        fitting = [one for one in sized if one[0].height(one[1]) <= room]
        split, high = max(fitting, key=lambda one: (one[1], -one[0].height(one[1])), default=(None, 0.0))
        if split is None:
            split, high = min(self._splits, key=lambda split: split.height(_LEAST)), _LEAST
        numbered = all_numbered(split.left, self._plan, high)
        board = thumbnail(split.left, self._plan, high, elsewhere="" if numbered else elsewhere)
        picture = stack((gap(1.0), board, gap(_ROUND - 1.0), split.under))
        return BoardAndFacts(stack((self._rule, beside((picture, split.beside)))), numbered)


def _splits(column: Column, plan: Plan, facts: Sequence[Fact]) -> Iterator[_Split]:
    """Yield the ways to part page and facts."""
    for share in _SHARES:
        left = column.inner(right=column.width * (1.0 - share))
        right = column.inner(column.width * share + _APART)
        natural = thumbnail(left, plan, _HIGHEST).height
        under, by = ([_fact(side, fact) for fact in facts] for side in (left, right))
        for kept in range(len(facts) + 1):
            yield _Split(left, stack(under[kept:]), stack(by[:kept]), natural)


def _fact(column: Column, fact: Fact) -> Block:
    """Return one fact: its label and how it came in small type, and under them what it says."""
    pdf = column.pdf

    def label(y: float) -> None:
        pdf.text(column.left, y + 2.8, fact.label, SMALL, bold=True)
        free = column.width - 3.0 - pdf.measure(fact.label, SMALL, bold=True)
        trust = pdf.fit(fact.trust, SMALL, free)
        pdf.text(column.right, y + 2.8, trust, SMALL, anchor="right")

    return stack((Block(3.4, label), column.paragraph(fact.value, READ), gap(1.4)))
