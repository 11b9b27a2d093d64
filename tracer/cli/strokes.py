"""`tracer strokes`: just the recovered strokes as an SVG file."""

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.options import said
from tracer.cli.template import KeepSteps


def strokes(
    art: Annotated[Path, typer.Argument(help="The picture.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The SVG file to write.")],
    dpi: Annotated[float | None, typer.Option(min=1, max=10_000, help="Dots per inch of the art.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over an existing file.")] = False,
    keep_steps: KeepSteps = None,
) -> None:
    """Recover the strokes of a picture, in the art's own millimetres where its dpi is known."""
    from tracer.pipeline import trace
    from tracer.sheets.pack import check_file, save_strokes

    check_file(output, force=force)
    drawing = trace(art, dpi=dpi, keep_steps=keep_steps, say=said)
    save_strokes(drawing, output, force=force)
    typer.echo(f"{len(drawing.strokes)} strokes are in {output}.")
