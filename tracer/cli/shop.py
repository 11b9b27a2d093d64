"""`tracer shop`: what lasts from job to job, shown and changed."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(help="Show and change what stands in the workshop: linkage, bits, printer, hand.")


@app.callback(invoke_without_command=True)
def shop(context: typer.Context) -> None:
    """Show the settings, each with whether it was measured, said or assumed; change one with `set`."""
    if context.invoked_subcommand is not None:
        return
    from tracer.shop.printer import doubts
    from tracer.shop.settings import load_shop, shop_path
    from tracer.shop.shop_words import shop_lines

    path, found = shop_path(), load_shop()
    typer.echo(f"Shop file: {path}{'' if path.exists() else ' (not there yet)'}")
    lines = shop_lines(found)
    key, known = max(len(line.key) for line in lines), max(len(line.known) for line in lines)
    for line in lines:
        typer.echo(f"  {line.key:<{key}}  {line.known:<{known}}  {line.value}")
    for doubt in doubts(found.printer):
        typer.echo(doubt)
    typer.echo("Change one with: tracer shop set linkage.ratio 59.5% --measured 2026-11-01")
    typer.echo("What ratio, bits and printer really are: tracer test-sheet -o test-sheet.pdf")


@app.command("set")
def set_value(
    key: Annotated[str, typer.Argument(help="The setting, as linkage.ratio, or bits.NAME for a bit.")],
    value: Annotated[str, typer.Argument(help='Its value, as 59.5%, "99.2 mm" or "V 60deg 1/2in".')],
    measured: Annotated[
        str | None,
        typer.Option(
            "--measured", metavar="DATE", help="The day the ratio, or the bit, was measured, as 2026-11-01."
        ),
    ] = None,
) -> None:
    """Change one setting; comments in the file stay, and a bad value changes nothing."""
    from tracer.errors import JobError
    from tracer.shop.settings import shop_path
    from tracer.shop.shop_file import save_shop
    from tracer.shop.shop_words import shop_lines

    changes: dict[str, str | None] = {key: value}
    if key == "linkage.ratio":
        changes["linkage.measured"] = measured  # a new ratio was not measured on the old one's day
    elif measured is not None and not key.startswith("bits."):
        raise JobError(
            f"--measured goes with linkage.ratio or a bit, and the setting is {key}: leave --measured out"
        )
    found = save_shop(changes, bits_measured=measured)
    shown = "linkage.ratio" if key == "linkage.measured" else key.casefold()
    for line in shop_lines(found):
        if line.key.casefold() == shown:
            typer.echo(f"{line.key}, {line.known}: {line.value}")
    if key == "linkage.ratio" and measured is None:
        typer.echo("Trace a long line, measure it in the wood, and say so with --measured DATE.")
    typer.echo(f"Saved in {shop_path()}")


@app.command("learn")
def learn(
    reports: Annotated[
        list[Path],
        typer.Argument(metavar="REPORT", help="The report.json of a job that was cut; several are better."),
    ],
    took: Annotated[
        list[str],
        typer.Option(help='How long it took to cut, as "48 min", without setting up; one a report.'),
    ],
) -> None:
    """Learn the hand's speed from a timed job; from two or more, the time of a plunge too."""
    from tracer.errors import JobError
    from tracer.shop.duration import parse_duration
    from tracer.shop.learn import changes_of, pace_of_one, pace_of_several, read_cut_job
    from tracer.shop.settings import load_shop, shop_path
    from tracer.shop.shop_file import save_shop
    from tracer.shop.shop_words import shop_lines

    if len(reports) != len(took):
        raise JobError(
            f"{len(reports)} reports and {len(took)} times do not go together: give each report its --took"
        )
    times = [parse_duration(one, what="--took") for one in took]
    jobs = [read_cut_job(path, time) for path, time in zip(reports, times, strict=True)]
    before, several = load_shop(), len(jobs) > 1
    plunge = (before.plunge_low + before.plunge_high) / 2
    pace = pace_of_several(jobs) if several else pace_of_one(jobs[0], plunge)
    changes = changes_of(pace, with_plunge=several)
    was = {line.key: line.value for line in shop_lines(before)}
    for job in jobs:
        typer.echo(
            f"{job.name}: {job.followed / 1000:.1f} m followed, {job.plunges} plunges, all passes counted"
        )
    found = save_shop(changes)
    for line in shop_lines(found):
        if line.key in changes:
            typer.echo(f"{line.key}: {line.value} (was {was[line.key]})")
    if not several:
        typer.echo(f"A plunge was taken as {plunge:.3g} s; a second, different job tells that too.")
    typer.echo(f"Saved in {shop_path()}")


@app.command("path")
def show_path() -> None:
    """Print where the shop file is, or will be."""
    from tracer.shop.settings import shop_path

    typer.echo(shop_path())
