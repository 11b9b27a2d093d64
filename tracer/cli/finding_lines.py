"""Findings, and what the clean-up changed, as they are printed in a terminal."""

import shutil
import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import typer

from tracer.lengths import quoted
from tracer.model.finding import Finding

if TYPE_CHECKING:
    from tracer.model.drawing import Drawing
    from tracer.model.plan import Plan

_SIGNS = {"loss": "LOST", "risk": "RISK", "note": "note"}

_INDENT = "      "

_NARROWEST, _WIDEST = 40, 100
"""Columns: lines are no shorter however narrow the window, and no longer than can be read at a glance."""


def columns() -> int:
    """Return how long lines may be in this terminal."""
    return min(_WIDEST, max(_NARROWEST, shutil.get_terminal_size().columns))


def wrapped(text: str, *, first: str = "", rest: str = "") -> str:
    """Return a text in lines that fit, the first of them and the others after what they begin with."""
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def finding_lines(finding: Finding) -> Iterator[str]:
    """Return a finding: its sign and what was found, then what cures it."""
    yield wrapped(finding.message, first=f"{_SIGNS[finding.severity]:6}", rest=_INDENT)
    if finding.remedy:
        yield wrapped(finding.remedy, first=f"{_INDENT}-> ", rest=f"{_INDENT}   ")


def tell_words(plan: "Plan") -> None:
    """Print of each piece of words its face and licence, and how high its capitals are."""
    from tracer.lengths import both
    from tracer.sheets.letter_words import face_words

    for piece in plan.layout.pieces:
        if (marks := piece.drawing.marks) is None:
            continue
        high = both(marks.cap_height * piece.scale, plan.job.units)
        typer.echo("")
        typer.echo(wrapped(f"{quoted(piece.name)}: capitals {high} high, in {face_words(marks)}."))


def tell_paper(plan: "Plan") -> None:
    """Print what is to be known of the print: the bars, and whether the template lies flat."""
    from tracer.sheets.paper_words import paper_sentences

    for sentence in paper_sentences(plan):
        typer.echo(wrapped(sentence))


def tell_art(drawings: Sequence["Drawing"], where: str) -> None:
    """Print how each picture was read and what was changed in it; `where` says what shows the places."""
    from tracer.sheets.mend_words import mend_line

    for drawing in drawings:
        typer.echo("")
        said = [f"{note[:1].upper()}{note[1:]}." for note in drawing.notes]
        typer.echo(wrapped(" ".join([f"{drawing.name}, scale: {drawing.scale_source}.", *said])))
        if line := mend_line(drawing.mends, where):
            typer.echo(wrapped(line))
