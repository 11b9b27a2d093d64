"""`tracer job`: a new job file to fill in."""

import datetime
from pathlib import Path
from typing import Annotated

import typer


def job(
    new: Annotated[Path, typer.Option("--new", metavar="FILE", help="Where to write the new job file.")],
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a job file with every setting explained, to fill in and use with --job."""
    from tracer.job_file import write_new_job

    write_new_job(new, date=datetime.date.today(), force=force)
    typer.echo(f"Wrote {new}. Take the # off the lines you want to say, then use it with --job {new}")
