"""Options that several commands share: the settings of a job."""

import functools
import inspect
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any

import typer

from tracer.cli import lettering_options, reading_options
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
    "leave-out": 'Strokes not to cut, by the numbers that report.html shows: "3, 7, 10-12".',
    "keep": "Strokes to cut though the bit will not hold them, likewise.",
    "land-along": "Least wood between grooves that run along the grain; else the rule of thumb for the wood.",
    "land-across": "Least wood between grooves across the grain, likewise.",
    "hand": "How far your hand strays on the template; the wood between grooves must bear it.",
    "read-from": "How far off words are to be read, such as 12 ft; else it is said how far they carry.",
    "hold": "How the paper is held: portrait, landscape, or fewest, whichever takes fewest sheets.",
    "paper-margin": "Border of the paper that your printer leaves free.",
    "overlap": "What neighbouring sheets both show.",
    "bar": 'The 100 mm bars as measured along the print\'s short and long edge: "99.2mm", "99.2 x 99.4 mm".',
    "reach": 'What the bit reaches on the wood in one set-up, "W x H": larger figures get several.',
    "turned": "yes or no: the linkage turns the copy by 180 degrees.",
    "table": 'The largest template that lies flat under the stylus, "W x H".',
    "router-base": "Across the router's base: no clamp may stand under it.",
    "name": "Title for the sheets.",
    "revision": "Printed on the sheets beside the date.",
    "finish": "What you will finish it with, for the job sheet.",
    "art-from": "Where the art comes from, for the job sheet.",
    "allowed-by": "Who allowed you to carve it, for the job sheet.",
}


OF_A_FIGURE = ("width", "height")
"""Settings that words say in their own way."""


def job_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the art, --job and all settings; it gets them settled, as its first argument `job`.

    A command with an argument `job_file` gets the path of that file, too.
    """

    def flags(given: dict[str, Any]) -> dict[str, Any]:
        art = given.pop("art")
        own = {"art": None if art is None else str(art)}
        return _take(given, _TEXTS) | reading_options.take_given(given) | own

    art = Annotated[Path | None, typer.Argument(help="The picture.", show_default=False)]
    shared = [_parameter("art", art), *_settings(_TEXTS), *reading_options.parameters()]
    return _given(command, shared, flags)


def word_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the words, how they are set, --job and all settings, likewise."""
    texts = [name for name in _TEXTS if name not in OF_A_FIGURE]

    def flags(given: dict[str, Any]) -> dict[str, Any]:
        own = lettering_options.take_given(given)
        return _take(given, texts) | own

    words, *set_so = lettering_options.parameters()
    return _given(command, [words, *set_so, *_settings(texts, _OF_WORDS)], flags)


def _given(
    command: Callable[..., None],
    shared: list[inspect.Parameter],
    flags: Callable[[dict[str, Any]], dict[str, Any]],
) -> Callable[..., None]:
    """Give a command the parameters `shared`, of which `flags` takes the settings out, and --job."""

    @functools.wraps(command)
    def run(**given: Any) -> None:
        job_file = given["job_file"]
        settings = flags(given)
        if not wants_file:
            del given["job_file"]
        command(settled(job_file, settings), **given)

    file = Annotated[Path | None, typer.Option("--job", help="Job file with the settings; options win.")]
    kept = list(inspect.signature(command).parameters.values())[1:]
    wants_file = any(parameter.name == "job_file" for parameter in kept)
    own = [
        parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY)
        for parameter in kept
        if parameter.name != "job_file"
    ]
    whole = [shared[0], _parameter("job_file", file), *shared[1:], *own]
    run.__signature__ = inspect.Signature(whole)  # type: ignore[attr-defined]  # typer reads it
    run.__annotations__ = {p.name: p.annotation for p in whole}
    del run.__wrapped__  # else typer would look through it
    return run


def settled(job_file: Path | None, settings: dict[str, Any]) -> Job:
    """Settle the job from command line, job file and shop file."""
    from tracer.settle import resolve
    from tracer.shop.settings import load_shop

    return resolve(settings, job_file=job_file, shop=load_shop())


def _take(given: dict[str, Any], texts: Iterable[str]) -> dict[str, Any]:
    """Take settings out of what a command was given; return them by their names."""
    return {name: given.pop(name.replace("-", "_")) for name in texts}


_OF_WORDS = {
    "board": 'Board, "W x H x T": without --height the words become the largest that fit; with it they stay.'
}


def _settings(texts: Iterable[str], own: Mapping[str, str] = MappingProxyType({})) -> list[inspect.Parameter]:
    said_of = {**_TEXTS, **own}
    return [
        _parameter(name.replace("-", "_"), Annotated[str | None, typer.Option(help=said_of[name])])
        for name in texts
    ]


def _parameter(name: str, annotation: Any) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=annotation)


def said(words: str) -> None:
    """Tell the user what is being done."""
    typer.echo(f"  {words} ...", err=True)
