"""`tracer size`: how large it must be for nothing to be lost, and what other sizes and bits would do."""

import json
from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.options import job_options, said
from tracer.job import Job


@job_options
def size(
    job: Job,
    as_json: Annotated[bool, typer.Option("--json", help="The answers as JSON, in millimetres.")] = False,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Also draw the chart of losses, as an SVG file.")
    ] = None,
) -> None:
    """Say from which size on nothing is lost, the largest on the board, and which bit and depth hold most."""
    from tracer.pipeline import Work
    from tracer.sheets.size_chart import write_chart
    from tracer.sheets.size_words import size_lines, size_record

    sizes = Work(say=said).sizes(job)
    if as_json:
        typer.echo(json.dumps(size_record(sizes), indent=1, ensure_ascii=False))
    else:
        typer.echo("\n".join(size_lines(sizes)))
    if output is not None:
        write_chart(sizes, output)
        said(f"wrote {output}")
