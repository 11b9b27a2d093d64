"""Options that say how words are set."""

import inspect
from collections.abc import Sequence
from typing import Annotated, Any

import typer

from tracer.errors import JobError
from tracer.lengths import parse_size, quoted
from tracer.lettering import LOWEST

TEXTS = {
    "font": "A face that comes with tracer, or a font file: TTF, OTF or a collection of them.",
    "instance": "Of a variable font or a collection, by its name.",
    "height": "Height of the capitals on the wood, between the middles of their strokes.",
    "fit": 'Instead of --height: "W x H" that the words fill on the wood between outermost stroke middles, '
    "or board.",
    "cut": "middle: one groove along each stroke; outline: along the edge; cleared: the area, too.",
    "align": "Of lines shorter than the longest: left, centre or right.",
    "tracking": "Added between letters, in capital heights.",
    "pitch": "From baseline to baseline, in capital heights.",
    "arc": 'Radius of the first baseline on the wood: on a hill; with a minus, as "-300 mm", in a bowl.',
}
"""What is said in words, and its help."""

_WORDS = "The words; each further one is a line of its own, and so is what stands behind a \\n."
_RAISED = "The letters stand and the ground goes; with --cut outline or cleared."

BOARD = "board"
"""What --fit says for the largest on the board, which is what happens where nothing is said."""


def parameters() -> list[inspect.Parameter]:
    """Return the words and the options of a command that sets them."""
    keyword = inspect.Parameter.KEYWORD_ONLY
    words = Annotated[list[str] | None, typer.Argument(help=_WORDS, show_default=False)]
    raised = Annotated[bool | None, typer.Option("--raised/--incised", help=_RAISED, show_default=False)]
    said = [
        inspect.Parameter(
            name, keyword, default=None, annotation=Annotated[str | None, typer.Option(help=text)]
        )
        for name, text in TEXTS.items()
    ]
    return [
        inspect.Parameter("words", keyword, default=None, annotation=words),
        *said,
        inspect.Parameter("raised", keyword, default=None, annotation=raised),
    ]


def take_given(given: dict[str, Any]) -> dict[str, Any]:
    """Take these options out of what a command was given; return them as a job's settings.

    Raises
    ------
    JobError
        For two sizes, or one that cannot be read.
    """
    settings = {name: given.pop(name) for name in (*TEXTS, "raised")}
    settings["words"] = _lines(given.pop("words"))
    settings["cap-height"], fit = settings.pop("height"), settings.pop("fit")
    if fit is None:
        return settings
    if settings["cap-height"] is not None:
        raise JobError("--height and --fit both say how large the words are: leave one out")
    if fit.strip().casefold() != BOARD:
        width, height = parse_size(fit, what="--fit")
        if min(width, height) < LOWEST:
            raise JobError(f"--fit is {quoted(fit)}; {LOWEST:g} mm and more are expected both ways")
        settings |= {"width": f"{width!r} mm", "height": f"{height!r} mm"}
    elif given.get("board") is None and given.get("job_file") is None:
        raise JobError('--fit board needs to know the board: say --board, as "600 x 200 x 19 mm"')
    return settings


def _lines(words: Sequence[str] | None) -> str | None:
    """Return the words in lines; None where nobody said any."""
    return "\n".join(words).replace("\\n", "\n") if words else None
