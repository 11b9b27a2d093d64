"""`tracer strokes`: just the recovered strokes as an SVG file."""

from pathlib import Path
from typing import Annotated, Any

import typer

from tracer.cli import reading_options
from tracer.cli.finding_lines import tell_art
from tracer.cli.options import said
from tracer.cli.template import KeepSteps


def strokes(
    art: Annotated[Path, typer.Argument(help="The picture.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The SVG file to write.")],
    force: Annotated[bool, typer.Option("--force", help="Write over an existing file.")] = False,
    keep_steps: KeepSteps = None,
    **given: Any,
) -> None:
    """Recover the strokes of a picture, in the art's own millimetres where its size is known."""
    from tracer.sheets.pack import check_file, save_strokes
    from tracer.tracing import trace

    check_file(output, force=force)
    reading = reading_options.reading_from(art, reading_options.take_given(given))
    drawing = trace(art, reading, keep_steps=keep_steps, say=said)
    save_strokes(drawing, output, force=force)
    n = len(drawing.strokes)
    typer.echo(f"{n} {'stroke is' if n == 1 else 'strokes are'} in {output}.")
    tell_art([drawing], "tracer template shows where in its report")


reading_options.give(strokes)
