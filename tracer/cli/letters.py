"""`tracer letters`: words in, a template pack out."""

from typing import Annotated, Literal

import typer

from tracer.cli.finding_lines import tell_paper, tell_words
from tracer.cli.making import leave, make_pack
from tracer.cli.options import word_options
from tracer.cli.template import Force, OutFolder
from tracer.errors import LengthError
from tracer.job import Job
from tracer.lengths import parse_size, quoted

Cards = Annotated[
    str | None,
    typer.Option(help='Each letter on a card of its own, too: smallest, or "W x H" that your holder takes.'),
]


@word_options
def letters(job: Job, output: OutFolder, force: Force = False, cards: Cards = None) -> None:
    """Make the template pack of words in any font: sheets, the place of each letter, job sheet, report.

    Exit status 0 it can be cut, maybe with losses, 1 it is written but cannot be cut, 2 nothing is written.
    """
    size = None if cards is None else card_size(cards)
    plan = make_pack(job, output, force=force, cards=size)
    typer.echo(f"The pack is in {output}: open report.html first, then print template.pdf at actual size.")
    tell_paper(plan)
    tell_words(plan)
    leave(plan)


def card_size(said: str) -> Literal["smallest"] | tuple[float, float]:
    """Return (width, height) of cards, mm, or "smallest".

    Raises
    ------
    LengthError
        For what is neither.
    """
    if said.strip().casefold() == "smallest":
        return "smallest"
    if not any(map(str.isdigit, said)):
        raise LengthError(
            f"--cards is {quoted(said)}; smallest is expected, or the size that your holder takes, "
            "as 100 x 150 mm"
        )
    width, height = parse_size(said, what="--cards")
    return width, height
