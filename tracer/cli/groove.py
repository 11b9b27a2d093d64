"""`tracer groove`: how wide at this depth, how deep for this width."""

import json
from typing import Annotated

import typer

from tracer.errors import JobError
from tracer.lengths import Units, format_length, parse_length, units_of
from tracer.shop import said as read
from tracer.shop.bit_setting import BitSetting
from tracer.shop.bits import Bit
from tracer.shop.groove_words import groove_data, groove_lines
from tracer.shop.router import FASTEST_ROUTER, MOST_DEPTH_A_PASS, SLOWEST_ROUTER
from tracer.shop.settings import bit_called

DEFAULT_BIT = "V 60deg 1/2in"
_OFF = 25.4 / 64  # mm; about as near as a depth stop is set by hand (common practice, no source)


def groove(
    *,
    bit: Annotated[
        str,
        typer.Option(
            help='As "V 90deg 1/4in flat 0.5mm", "round 1/4in", "straight 1/8in", or one by its name.'
        ),
    ] = DEFAULT_BIT,
    depth: Annotated[str | None, typer.Option(help="Depth of the groove; answers with its width.")] = None,
    width: Annotated[
        str | None, typer.Option(help="Width of the line when all is done; answers with the depth.")
    ] = None,
    sanded: Annotated[
        str | None, typer.Option(help="What will be sanded off the face after carving.")
    ] = None,
    out_of_flat: Annotated[
        str | None, typer.Option(help="How far the board's face is high or low in places.")
    ] = None,
    limit: Annotated[str, typer.Option(help="Most depth that one pass may add.")] = format_length(
        MOST_DEPTH_A_PASS, "in"
    ),
    rpm: Annotated[
        str | None,
        typer.Option(help="Turns a minute; answers with the speed of the bit's rim and its limit."),
    ] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units to answer in; those of the question if not said.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON, in millimetres.")] = False,
) -> None:
    """Say how wide a bit cuts at a depth, or how deep it must go for a width."""
    asked = depth if width is None else width
    if asked is None or (depth is not None and width is not None):
        raise JobError(
            "a groove is asked for by its depth or by its width, and the other is the answer: "
            "give --depth or --width, one of the two, such as --depth 1/8in"
        )
    off = 0.0 if sanded is None else parse_length(sanded, unit=units, what="sanded", allow_zero=True)
    flat = None if out_of_flat is None else parse_length(out_of_flat, unit=units, what="out of flat")
    cutter = bit_called(bit)
    answer = BitSetting(
        cutter,
        _depth(cutter, depth, width, sanded=off, units=units),
        sanded=off,
        limit=parse_length(limit, unit=units, what="limit"),
        off=_OFF,
        out_of_flat=flat,
        rpm=None if rpm is None else _rpm(rpm),
    )
    shown = units or units_of(asked) or "in"
    data, lines = groove_data(answer), groove_lines(answer, shown)
    typer.echo(json.dumps(data, indent=2) if as_json else "\n".join(lines))


def _depth(bit: Bit, depth: str | None, width: str | None, *, sanded: float, units: Units | None) -> float:
    if width is not None:
        return bit.depth_for(parse_length(width, unit=units, what="width")) + sanded
    return parse_length(depth or "", unit=units, what="depth")


def _rpm(text: str) -> float:
    number = text.strip().casefold().removesuffix("rpm").strip()
    return read.number(read.Said(number, "--rpm", ""), low=SLOWEST_ROUTER, high=FASTEST_ROUTER)
