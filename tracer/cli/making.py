"""A job's pack made whole: what the commands that write one share."""

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import typer

from tracer.cli.finding_lines import wrapped
from tracer.cli.options import said
from tracer.job import Job

if TYPE_CHECKING:
    from tracer.model.plan import Plan


def make_pack(
    job: Job,
    output: Path,
    *,
    force: bool,
    keep_steps: Path | None = None,
    cards: Literal["smallest"] | tuple[float, float] | None = None,
) -> "Plan":
    """Make the pack of a job and say what will come of it; return its plan."""
    from tracer.pipeline import Work, load_writers, write
    from tracer.sheets.pack import check_free
    from tracer.sheets.said_names import unshown
    from tracer.sheets.verdict import verdict

    check_free(output, force=force)
    work = Work(keep_steps=keep_steps, say=said, ahead=load_writers)
    with work.curve(job) as curve:
        plan = work.plan(job)
        if missing := unshown(plan):
            typer.echo(wrapped(missing), err=True)
        write(plan, output, force=force, art=work.pictures(job), cards=cards, curve=curve, say=said)
    typer.echo(verdict(plan))
    return plan


def leave(plan: "Plan") -> None:
    """End with status 1 where the pack is written and yet nothing can be cut, as `tracer check` does."""
    from tracer.sheets.verdict import uncuttable

    if uncuttable(plan):
        raise typer.Exit(1)
