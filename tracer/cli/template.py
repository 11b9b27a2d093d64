"""`tracer template`: a picture in, a template pack out."""

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.finding_lines import tell_art, tell_paper, tell_words
from tracer.cli.making import leave, make_pack
from tracer.cli.options import job_options
from tracer.job import Job

OutFolder = Annotated[Path, typer.Option("-o", "--output", help="Folder for the pack.", show_default=False)]
Force = Annotated[bool, typer.Option("--force", help="Write over an existing pack.")]
KeepSteps = Annotated[
    Path | None, typer.Option("--keep-steps", help="Folder that gets a picture of each stage.")
]


@job_options
def template(job: Job, output: OutFolder, force: Force = False, keep_steps: KeepSteps = None) -> None:
    """Make the template pack: true-scale sheets, job sheet, preview and report.

    Exit status 0 it can be cut, maybe with losses, 1 it is written but cannot be cut, 2 nothing is written.
    """
    plan = make_pack(job, output, force=force, keep_steps=keep_steps)
    typer.echo(f"The pack is in {output}: open report.html first, then print template.pdf at actual size.")
    tell_paper(plan)
    tell_art(plan.layout.pictures, "report.html shows where")
    tell_words(plan)
    leave(plan)
