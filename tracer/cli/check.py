"""`tracer check`: what will happen in the wood, before anything is written."""

import json
from typing import Annotated

import typer

from tracer.cli.options import job_options, said
from tracer.cli.template import KeepSteps
from tracer.job import Job

_SIGNS = {"loss": "LOST", "risk": "RISK", "note": "note"}


@job_options
def check(
    job: Job,
    as_json: Annotated[bool, typer.Option("--json", help="The whole report as JSON.")] = False,
    keep_steps: KeepSteps = None,
) -> None:
    """Say what the bit will hold; exit status 0 cuts as drawn, 1 with losses, 2 nothing could be done."""
    from tracer.pipeline import Work
    from tracer.sheets.page import verdict
    from tracer.sheets.record import record

    plan = Work(keep_steps=keep_steps, say=said).plan(job)
    if as_json:
        typer.echo(json.dumps(record(plan), indent=1, ensure_ascii=False))
    else:
        typer.echo(verdict(plan))
        for finding in plan.findings:
            typer.echo(f"{_SIGNS[finding.severity]:5} {finding.message} {finding.remedy}".rstrip())
    raise typer.Exit(1 if any(f.severity == "loss" for f in plan.findings) else 0)
