"""Options that several commands share: the settings of a job."""

import functools
import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from tracer.cli import reading_options
from tracer.job import Job

_TEXTS = {
    "width": "Finished width on the wood between outermost line middles; with --height it fits inside both.",
    "height": "Finished height on the wood, likewise.",
    "turn": "Turn of the figure on the board in degrees, clockwise.",
    "board": 'Board, "W x H x T": the figure becomes the largest that fits, groove included.',
    "thickness": "Thickness of the board where --board is not said.",
    "margin": "From the board's edge to the outermost groove.",
    "ratio": 'Size of the carving / size of the template: "50%", "0.5" or "1:2".',
    "bit": 'Such as "V 60deg 1/2in", "round 1/4in", "straight 1/8in", or the name of one in the shop file.',
    "depth": "Depth of the grooves.",
    "wood": "Kind of wood, such as pine or oak.",
    "grain": "Direction of the grain: along or across the board's width, or degrees from it.",
    "paper": 'A4, A3, Letter, Legal, Tabloid or "W x H".',
    "units": "mm or in.",
    "date": "Date for the sheets, as 2026-03-01; the same date gives the same bytes.",
    "retrace": "yes or no: grooves may be followed again rather than the router lifted.",
    "max-widening": "How many times its drawn width a line's groove may be.",
    "thin": "drop or keep lines thinner than that.",
    "stops": "How many depth settings of the router to use, 1 to 3: bold lines cut deep, fine ones shallow.",
    "leave-out": 'Strokes not to cut, by the numbers that the preview shows: "3, 7, 10-12".',
    "keep": "Strokes to cut though the bit will not hold them, likewise.",
    "land-along": "Least wood between grooves that run along the grain; else the rule of thumb for the wood.",
    "land-across": "Least wood between grooves across the grain, likewise.",
    "hand": "How far your hand strays on the template; the wood between grooves must bear it.",
    "read-from": "How far off words are to be read, such as 12 ft; else it is said how far they carry.",
    "name": "Title for the sheets.",
}


def job_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the art, --job and all settings; it gets them settled, as its first argument `job`.

    A command with an argument `job_file` gets the path of that file, too.
    """

    @functools.wraps(command)
    def run(art: Path | None, job_file: Path | None, **given: Any) -> None:
        settings = {name: given.pop(name.replace("-", "_")) for name in _TEXTS}
        settings |= reading_options.take_given(given)
        if wants_file:
            given["job_file"] = job_file
        command(settled(art, job_file, settings), **given)

    kept = list(inspect.signature(command).parameters.values())[1:]
    wants_file = any(parameter.name == "job_file" for parameter in kept)
    kept = [parameter for parameter in kept if parameter.name != "job_file"]
    own = [parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY) for parameter in kept]
    run.__signature__ = inspect.Signature(_shared() + own)  # type: ignore[attr-defined]  # typer reads it
    run.__annotations__ = {p.name: p.annotation for p in _shared() + own}
    del run.__wrapped__  # else typer would look through it
    return run


def settled(art: Path | None, job_file: Path | None, settings: dict[str, Any]) -> Job:
    """Settle the job from command line, job file and shop file."""
    from tracer.settle import resolve
    from tracer.shop.settings import load_shop

    flags = dict(settings, art=None if art is None else str(art))
    return resolve(flags, job_file=job_file, shop=load_shop())


def _shared() -> list[inspect.Parameter]:
    """Return the parameters that all job commands begin with."""
    art = Annotated[Path | None, typer.Argument(help="The picture.", show_default=False)]
    job_file = Annotated[Path | None, typer.Option("--job", help="Job file with the settings; options win.")]
    kind = inspect.Parameter.KEYWORD_ONLY
    settings = [(name.replace("-", "_"), typer.Option(help=text)) for name, text in _TEXTS.items()]
    texts = [
        inspect.Parameter(name, kind, default=None, annotation=Annotated[str | None, option])
        for name, option in settings
    ]
    return [
        inspect.Parameter("art", kind, default=None, annotation=art),
        inspect.Parameter("job_file", kind, default=None, annotation=job_file),
        *texts,
        *reading_options.parameters(),
    ]


def said(words: str) -> None:
    """Tell the user what is being done."""
    typer.echo(f"  {words} ...", err=True)
