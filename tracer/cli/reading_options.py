"""Options that say how a picture is to be read."""

import inspect
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any

import typer

from tracer.reading import Reading

TEXTS = {
    "follow": "line for the middle of lines, edge for the outline of all ink: lettering, silhouettes.",
    "dpi": "Dots per inch of the art, where the file does not know.",
    "art-width": "Or: width of the whole picture on its own paper.",
    "known": 'Or: two places in the picture, in pixels, and the length between: "120,340 560,340 = 85 mm".',
    "page": "Which page of a file that has several, from 1.",
    "photo-of": "The sheet in a photo: A4, Letter, another paper, any (whichever fits best), or no.",
    "corners": 'The sheet\'s corners in a photo, in pixels, clockwise from the top left: "x,y x,y x,y x,y".',
    "open-gaps": 'Numbers of closed gaps to leave open: "2, 5-7".',
}
"""What is said in words, and its help."""

SWITCHES = {
    "deskew": ("--deskew/--no-deskew", "Turn a scan straight that lies a little askew."),
    "close-gaps": ("--close-gaps/--no-close-gaps", "Close small gaps in lines; each has a number."),
    "insist": ("--insist/--no-insist", "Go on though the picture does not look like line art."),
}
"""What is said by yes or no."""


def parameters() -> list[inspect.Parameter]:
    """Return the parameters of a command that reads a picture."""
    words = [_parameter(name, str | None, typer.Option(help=text)) for name, text in TEXTS.items()]
    return words + [
        _parameter(name, bool | None, typer.Option(spelled, help=text, show_default=False))
        for name, (spelled, text) in SWITCHES.items()
    ]


def give(command: Callable[..., None]) -> None:
    """Give a command that takes `**given` these options by name."""
    own = [p for p in inspect.signature(command).parameters.values() if p.kind is not p.VAR_KEYWORD]
    command.__signature__ = inspect.Signature(own + parameters())  # type: ignore[attr-defined]  # typer reads it
    command.__annotations__ = {p.name: p.annotation for p in own + parameters()}


def _parameter(name: str, kind: Any, option: Any) -> inspect.Parameter:
    """Return one option that nobody has to say."""
    keyword = inspect.Parameter.KEYWORD_ONLY
    return inspect.Parameter(
        name.replace("-", "_"), keyword, default=None, annotation=Annotated[kind, option]
    )


def take_given(given: dict[str, Any]) -> dict[str, Any]:
    """Take these options out of what a command was given; return them by their names."""
    return {name: given.pop(name.replace("-", "_")) for name in (*TEXTS, *SWITCHES)}


def reading_from(art: Path, settings: Mapping[str, Any]) -> Reading:
    """Settle how a picture is to be read from these options alone."""
    from tracer.settle import resolve
    from tracer.shop.settings import load_shop

    return resolve({**settings, "art": str(art)}, shop=load_shop()).pieces[0].reading
