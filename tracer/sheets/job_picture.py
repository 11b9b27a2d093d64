"""The board in small on the job sheet, and the facts beside and under it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracer.model.plan import Plan
from tracer.sheets.blocks import DARK, READ, SMALL, Block, Column, beside, gap, stack
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
    """One way to part the facts: those that stand under the picture, and those beside it."""

    left: Column
    under: Block
    beside: Block
    picture: float

    @property
    def height(self) -> float:
        return max(self.picture + _ROUND + self.under.height, self.beside.height)


@dataclass(frozen=True)
class BoardAndFacts:
    """Board and facts to draw, and whether each run has its number on the board."""

    block: Block
    numbered: bool


def board_and_facts(column: Column, plan: Plan, facts: Sequence[Fact], *, room: float) -> BoardAndFacts:
    """Return the board on the left, as large as `room` mm of height allow, and the facts about it.

    Facts that would make the right column the higher stand under the board. Where `room` is too
    little for anything, what is least high.
    """
    rule = column.rule()
    splits = list(_splits(column, plan, facts, room=room - rule.height))
    fitting = [split for split in splits if split.height <= room - rule.height]
    best = max(fitting, key=lambda split: (split.picture, -split.height), default=None)
    best = best or min(splits, key=lambda split: split.height)
    picture = stack((gap(1.0), thumbnail(best.left, plan, best.picture), gap(_ROUND - 1.0), best.under))
    block = stack((rule, beside((picture, best.beside))))
    return BoardAndFacts(block, all_numbered(plan, (best.left.width, best.picture)))


def _splits(column: Column, plan: Plan, facts: Sequence[Fact], *, room: float) -> Iterator[_Split]:
    """Yield the ways to part page and facts, each with the picture as high as `room` lets it be."""
    for share in _SHARES:
        left = column.inner(right=column.width * (1.0 - share))
        right = column.inner(column.width * share + _APART)
        natural = thumbnail(left, plan, _HIGHEST).height
        under, by = ([_fact(side, fact) for fact in facts] for side in (left, right))
        for kept in range(len(facts) + 1):
            below, at_right = stack(under[kept:]), stack(by[:kept])
            most = max(room - _ROUND - below.height, _LEAST)
            yield _Split(left, below, at_right, min(natural, most))


def _fact(column: Column, fact: Fact) -> Block:
    """Return one fact: its label and how it came in small type, and under them what it says."""
    pdf = column.pdf

    def label(y: float) -> None:
        pdf.text(column.left, y + 2.8, fact.label, SMALL, bold=True, colour=DARK)
        free = column.width - 3.0 - pdf.measure(fact.label, SMALL, bold=True)
        trust = pdf.fit(fact.trust, SMALL, free)
        pdf.text(column.right, y + 2.8, trust, SMALL, anchor="right", colour=DARK)

    return stack((Block(3.4, label), column.paragraph(fact.value, READ), gap(1.4)))
