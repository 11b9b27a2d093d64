"""`tracer letters`: words in, a template pack out."""

import typer

from tracer.cli.finding_lines import tell_words
from tracer.cli.options import said, word_options
from tracer.cli.template import Force, OutFolder
from tracer.job import Job


@word_options
def letters(job: Job, output: OutFolder, force: Force = False) -> None:
    """Make the template pack of words in any font: sheets, the place of each letter, job sheet, report."""
    from tracer.pipeline import Work, write
    from tracer.sheets.pack import check_free
    from tracer.sheets.page import verdict

    check_free(output, force=force)
    work = Work(say=said)
    plan = work.plan(job)
    write(plan, output, force=force, art=work.pictures(job), say=said)
    typer.echo(verdict(plan))
    typer.echo(f"The pack is in {output}: open report.html first, then print template.pdf at actual size.")
    tell_words(plan)
