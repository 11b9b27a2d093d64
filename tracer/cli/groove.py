"""`tracer groove`: how wide at this depth, how deep for this width."""

import json
from dataclasses import dataclass
from typing import Annotated

import typer

from tracer.errors import BitError, JobError
from tracer.lengths import Units, both, format_length, parse_length, units_of
from tracer.shop.bit_words import describe, parse_bit, spec
from tracer.shop.bits import Bit
from tracer.shop.router import MOST_DEPTH_A_PASS, pass_depths

DEFAULT_BIT = "V 60deg 1/2in"
_OFF = 25.4 / 64  # mm; about as near as a depth stop is set by hand (common practice, no source)


@dataclass(frozen=True)
class _Answer:
    """One groove, as asked. Lengths mm; depths are below the face as it is when cut."""

    bit: Bit
    depth: float
    sanded: float
    limit: float  # most depth a pass

    @property
    def width(self) -> float:
        return self.bit.width_at(self.depth)

    @property
    def finished_width(self) -> float:
        """The line's width once the face is sanded."""
        if self.sanded >= self.depth:
            raise BitError(
                f"sanding {both(self.sanded, 'mm')} off takes the whole groove away, "
                f"which is {both(self.depth, 'mm')} deep: cut deeper, or sand less"
            )
        return self.bit.width_at(self.depth - self.sanded)

    @property
    def wider_if_off(self) -> float | None:
        """How much wider 1/64 in too deep is; None where the bit cannot go so deep."""
        deepest = self.bit.max_depth
        if deepest is not None and self.depth + _OFF > deepest:
            return None
        return self.bit.width_change(self.depth, _OFF)

    @property
    def pass_depths(self) -> tuple[float, ...]:
        return pass_depths(self.bit, self.depth, self.limit)


def groove(
    *,
    bit: Annotated[
        str,
        typer.Option(help='Such as "V 90deg 1/4in flat 0.5mm", "round 1/4in", "straight 1/8in".'),
    ] = DEFAULT_BIT,
    depth: Annotated[str | None, typer.Option(help="Depth of the groove; answers with its width.")] = None,
    width: Annotated[
        str | None, typer.Option(help="Width of the line when all is done; answers with the depth.")
    ] = None,
    sanded: Annotated[
        str | None, typer.Option(help="What will be sanded off the face after carving.")
    ] = None,
    limit: Annotated[str, typer.Option(help="Most depth that one pass may add.")] = format_length(
        MOST_DEPTH_A_PASS, "in"
    ),
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
    answer = _answer(parse_bit(bit), depth, width, sanded=sanded, limit=limit, units=units)
    shown = units or units_of(asked) or "in"
    typer.echo(json.dumps(_as_json(answer), indent=2) if as_json else "\n".join(_lines(answer, shown)))


def _answer(
    bit: Bit, depth: str | None, width: str | None, *, sanded: str | None, limit: str, units: Units | None
) -> _Answer:
    off = 0.0
    if sanded is not None:
        off = parse_length(sanded, unit=units, what="sanded", allow_zero=True)
    if width is not None:
        deep = bit.depth_for(parse_length(width, unit=units, what="width")) + off
    else:
        deep = parse_length(depth or "", unit=units, what="depth")
    return _Answer(bit, deep, off, parse_length(limit, unit=units, what="limit"))


def _lines(answer: _Answer, units: Units) -> list[str]:
    bit = answer.bit
    lines = [
        f"Bit     {describe(bit, units)}",
        f"Depth   {both(answer.depth, units)}",
        f"Width   {both(answer.width, units)}, at most {both(bit.max_width, units)} with this bit",
    ]
    if answer.sanded:
        sanded = both(answer.sanded, units)
        lines.append(
            f"Sanded  {both(answer.finished_width, units)} wide once {sanded} is sanded off the face"
        )
    return [*lines, f"If off  {_if_off(answer, units)}", f"Passes  {_passes(answer, units)}"]


def _if_off(answer: _Answer, units: Units) -> str:
    off = f"{both(_OFF, units)} too deep, or the board that much too high:"
    wider = answer.wider_if_off
    if wider is None:
        return f"{off} deeper than this bit can cut"
    return f"{off} {both(wider, units)} wider" if wider > 0 else f"{off} no wider"


def _passes(answer: _Answer, units: Units) -> str:
    depths = [format_length(depth, units) for depth in answer.pass_depths]
    listed = " then ".join(depths)
    return (
        f"{len(depths)}, at {listed} deep (at most {both(answer.limit, units)} a pass; "
        "what the bit's maker and the router's manual say comes first)"
    )


def _as_json(answer: _Answer) -> dict[str, object]:
    return {
        "bit": spec(answer.bit),
        "bit_in_words": describe(answer.bit, "mm"),
        "depth_mm": answer.depth,
        "width_mm": answer.width,
        "max_depth_mm": answer.bit.max_depth,
        "max_width_mm": answer.bit.max_width,
        "sanded_mm": answer.sanded,
        "width_after_sanding_mm": answer.finished_width,
        "off_mm": _OFF,
        "wider_if_off_mm": answer.wider_if_off,
        "limit_a_pass_mm": answer.limit,
        "pass_depths_mm": list(answer.pass_depths),
    }
