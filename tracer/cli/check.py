"""`tracer check`: what will happen in the wood, before anything is written."""

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from tracer.cli.finding_lines import finding_lines, tell_art, tell_words, wrapped
from tracer.cli.options import job_options, said
from tracer.cli.template import KeepSteps
from tracer.errors import JobError
from tracer.job import Job

_FIX = "Propose which strokes to leave out and to thin out, and show what that cures and costs."
_WRITE = "Write what --fix proposes into the job file."


@job_options
def check(
    job: Job,
    *,
    job_file: Path | None,
    as_json: Annotated[bool, typer.Option("--json", help="The whole report as JSON.")] = False,
    fix: Annotated[bool, typer.Option("--fix", help=_FIX)] = False,
    write: Annotated[bool, typer.Option("--write", help=_WRITE)] = False,
    keep_steps: KeepSteps = None,
) -> None:
    """Say what the bit will hold; exit status 0 cuts as drawn, 1 with losses, 2 nothing could be done."""
    from tracer.pipeline import Work
    from tracer.sheets.verdict import uncuttable

    _together(fix, write, as_json=as_json, job_file=job_file)
    work = Work(keep_steps=keep_steps, say=said)
    plan = work.plan(job)
    if as_json:
        from tracer.sheets.record import record

        typer.echo(json.dumps(record(plan), indent=1, ensure_ascii=False))
    else:
        _tell(plan)
    if fix:
        proposed = work.fix(job)
        _show(proposed)
        if write and job_file is not None and proposed.helps:
            plan = _written(proposed, job_file)
    lost = uncuttable(plan) or any(finding.severity == "loss" for finding in plan.findings)
    raise typer.Exit(1 if lost else 0)


def _together(fix: bool, write: bool, *, as_json: bool, job_file: Path | None) -> None:
    """Refuse options that do not go together."""
    if write and not fix:
        raise JobError("--write is for what --fix proposes: say --fix, too")
    if write and job_file is None:
        raise JobError(
            "--write needs a job file to write into: name it with --job, or make one (tracer job --new)"
        )
    if fix and as_json:
        raise JobError("--json does not go with --fix: say one of them")


def _tell(plan: Any) -> None:
    """Print the whole first, then each finding."""
    from tracer.sheets.verdict import verdict

    whole = verdict(plan)
    typer.echo(wrapped(whole))
    for finding in plan.findings:
        if finding.message in whole:
            continue
        typer.echo("")
        for line in finding_lines(finding):
            typer.echo(line)
    tell_art(plan.layout.pictures, "the report of tracer template shows where")
    tell_words(plan)


def _show(fix: Any) -> None:
    """Print what is proposed, before and after, and the table that says it."""
    from tracer.act_words import acts_text

    typer.echo("")
    typer.echo(wrapped(" ".join(fix.sentences())))
    if not fix.helps:
        return
    typer.echo("")
    for what, before, after in [("", "before", "after"), *fix.rows()]:
        typer.echo(f"{what:26}{before:>12}{after:>12}".rstrip())
    typer.echo("\nFor the job file:\n")
    typer.echo(acts_text(fix.acts))


def _written(fix: Any, job_file: Path) -> Any:
    """Write the proposal into the job file; return the plan that now holds."""
    from tracer.job_file import write_acts

    write_acts(job_file, fix.acts)
    typer.echo(f"Written into {job_file}; take numbers out of its [strokes] to have them back.")
    return fix.after
