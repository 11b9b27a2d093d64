"""`tracer test-sheet`: a sheet that finds the printer's, the linkage's and the bit's true measures."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from tracer.errors import OutputError
from tracer.job import Job
from tracer.lengths import parse_length

Said = str | None
_PLAIN = re.compile(r"[\w.:%/ -]+")
"""What can be typed between double quotes in any shell and means itself."""
_LONGEST = 60  # letters of a name that a page has room for


def make_test_sheet(
    *,
    output: Annotated[Path, typer.Option("-o", "--output", help="The PDF to write.", show_default=False)],
    bit: Annotated[
        Said, typer.Option(help="Bit to test, in words or by its name; else the shop's first.")
    ] = None,
    ratio: Annotated[
        Said, typer.Option(help="Ratio as far as it is known, for the room between test grooves.")
    ] = None,
    square: Annotated[
        Said,
        typer.Option(help="Side of the square to trace; a longer one is surer, and may take two pages."),
    ] = None,
    paper: Annotated[Said, typer.Option(help='A4, A3, Letter, Legal, Tabloid or "W x H".')] = None,
    units: Annotated[Said, typer.Option(help="mm or in.")] = None,
    date: Annotated[Said, typer.Option(help="Date for the sheet, as 2026-03-01.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over an existing file.")] = False,
) -> None:
    """Make a sheet of bars, a square to trace and grooves to cut in scrap, with what to type afterwards."""
    from functools import partial

    from tracer.cli.options import settled
    from tracer.sheets.pack import save_file
    from tracer.sheets.test_sheet import write_test_sheet

    if output.suffix.casefold() != ".pdf":
        raise OutputError(f"the test sheet is a PDF, and {output} does not end in .pdf: say -o {output}.pdf")
    said = {"bit": bit, "ratio": ratio, "paper": paper, "units": units}
    job = settled(None, said | {"date": date})
    side = None if square is None else parse_length(square, unit=job.units, what="--square")
    again = _again(output, said | {"square": square})
    write = partial(write_test_sheet, job, bit=_called(job, bit), again=again, side=side)
    save_file(output, write, force=force)
    typer.echo(f"The test sheet is in {output}: print it at actual size and begin with page 1.")


def _called(job: Job, words: Said) -> str:
    """What the bit is called at the command line: as it was said, else by its name in the shop."""
    from tracer.shop.bit_words import spec
    from tracer.shop.settings import load_shop

    own = (name for name, bit in load_shop().bits if bit == job.bit)
    name = next(own, spec(job.bit)) if words is None else " ".join(words.split())
    return name if _PLAIN.fullmatch(name) and len(name) <= _LONGEST else spec(job.bit)


def _again(output: Path, said: Mapping[str, Said]) -> str:
    """The command that makes the same sheet again."""
    name = output.name if _PLAIN.fullmatch(output.name) else "test-sheet.pdf"
    options = [f'--{key} "{value}"' for key, value in said.items() if value and _PLAIN.fullmatch(value)]
    file = f'"{name}"' if " " in name else name
    return " ".join(["tracer test-sheet -o", file, *options, "--force"])
