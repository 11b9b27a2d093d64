"""`tracer groove`: how wide at this depth, how deep for this width, and what bit cut such a groove."""

import json
from collections.abc import Mapping
from typing import Annotated

import typer

from tracer.cli.measured_bit import grooves_of, tell_bit
from tracer.errors import JobError
from tracer.lengths import Units, format_length, parse_length, units_of
from tracer.shop import said as read
from tracer.shop.bit_setting import BitSetting
from tracer.shop.bits import Bit
from tracer.shop.groove_words import groove_data, groove_lines
from tracer.shop.router import FASTEST_ROUTER, MOST_DEPTH_A_PASS, SLOWEST_ROUTER
from tracer.shop.settings import bit_called

Said = str | None
DEFAULT_BIT = "V 60deg 1/2in"
_OFF = 25.4 / 64  # mm; about as near as a depth stop is set by hand (common practice, no source)
_BIT = 'As "V 90deg 1/4in flat 0.5mm", "round 1/4in", "straight 1/8in", or one by its name.'
_MEASURED = (
    "Width of a test groove in the wood, with its --depth there: answers with the bit's true tip, angle or "
    "diameter. Two grooves, both options for each, tell tip and angle."
)


def groove(
    *,
    bit: Annotated[str, typer.Option(help=_BIT)] = DEFAULT_BIT,
    depth: Annotated[
        list[str] | None, typer.Option(help="Depth of the groove; answers with its width.")
    ] = None,
    width: Annotated[
        Said, typer.Option(help="Width of the line when all is done; answers with the depth.")
    ] = None,
    measured: Annotated[list[str] | None, typer.Option(help=_MEASURED)] = None,
    save: Annotated[bool, typer.Option("--save", help="Keep the measured bit in the shop file.")] = False,
    date: Annotated[
        Said, typer.Option(help="Day of the measurement, as 2026-11-01; today if not said.")
    ] = None,
    sanded: Annotated[Said, typer.Option(help="What will be sanded off the face after carving.")] = None,
    out_of_flat: Annotated[
        Said, typer.Option(help="How far the board's face is high or low in places.")
    ] = None,
    limit: Annotated[str, typer.Option(help="Most depth that one pass may add.")] = format_length(
        MOST_DEPTH_A_PASS, "in"
    ),
    rpm: Annotated[
        Said, typer.Option(help="Turns a minute; answers with the speed of the bit's rim and its limit.")
    ] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units to answer in; those of the question if not said.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON, in millimetres.")] = False,
) -> None:
    """Say how wide a bit cuts at a depth, how deep it must go for a width, or what bit cut a groove."""
    if measured:
        _refuse_beside({"--sanded": sanded, "--out-of-flat": out_of_flat, "--rpm": rpm})
        grooves = grooves_of(measured, depth or [], width=width, units=units)
        shown = units or units_of(measured[0]) or "in"
        tell_bit(bit, grooves, shown, as_json=as_json, save=save, date=date)
        return
    if save or date is not None:
        raise JobError("only a measured bit is kept: give --measured and --depth with --save")
    asked = _asked(depth or [], width)
    off = 0.0 if sanded is None else parse_length(sanded, unit=units, what="sanded", allow_zero=True)
    flat = None if out_of_flat is None else parse_length(out_of_flat, unit=units, what="out of flat")
    cutter = bit_called(bit)
    answer = BitSetting(
        cutter,
        parse_length(asked, unit=units, what="depth")
        if width is None
        else _depth_for(cutter, asked, units) + off,
        sanded=off,
        limit=parse_length(limit, unit=units, what="limit"),
        off=_OFF,
        out_of_flat=flat,
        rpm=None if rpm is None else _rpm(rpm),
    )
    data, lines = groove_data(answer), groove_lines(answer, units or units_of(asked) or "in")
    typer.echo(json.dumps(data, indent=2) if as_json else "\n".join(lines))


def _refuse_beside(asked: Mapping[str, Said]) -> None:
    """Refuse what is asked of a groove to be cut, where one that was cut is told of."""
    for option in (option for option, value in asked.items() if value is not None):
        raise JobError(f"{option} asks of a groove to be cut, --measured tells of one: leave one out")


def _asked(depths: list[str], width: Said) -> str:
    """The one length of the question."""
    if len(depths) + (width is not None) != 1:
        raise JobError(
            "a groove is asked for by its depth or by its width, and the other is the answer: "
            "give --depth or --width, one of the two, such as --depth 1/8in"
        )
    return depths[0] if width is None else width


def _depth_for(bit: Bit, text: str, units: Units | None) -> float:
    return bit.depth_for(parse_length(text, unit=units, what="width"))


def _rpm(text: str) -> float:
    number = text.strip().casefold().removesuffix("rpm").strip()
    return read.number(read.Said(number, "--rpm", ""), low=SLOWEST_ROUTER, high=FASTEST_ROUTER)
