"""What `tracer groove --measured` answers: the bit that cut the test grooves, kept where that is wanted."""

import json

import typer

from tracer.errors import JobError
from tracer.lengths import Units, parse_length
from tracer.shop.bit_words import spec
from tracer.shop.measured_bit import CutGroove, TrueBit, true_bit
from tracer.shop.measured_words import measured_data, measured_lines
from tracer.shop.settings import named_bit, shop_path


def grooves_of(
    measured: list[str], depths: list[str], *, width: str | None, units: Units | None
) -> list[CutGroove]:
    """The test grooves: each width with the depth of the same place in the order."""
    if width is not None:
        raise JobError("--width asks for a depth, --measured for the bit: give one of the two")
    if len(measured) != len(depths):
        raise JobError(
            f"{len(measured)} measured widths and {len(depths)} depths do not go together: give each groove "
            "its --measured and its --depth, both as found in the wood"
        )
    return [
        CutGroove(
            parse_length(wide, unit=units, what="--measured"), parse_length(deep, unit=units, what="--depth")
        )
        for wide, deep in zip(measured, depths, strict=True)
    ]


def tell_bit(
    words: str, grooves: list[CutGroove], units: Units, *, as_json: bool, save: bool, date: str | None
) -> None:
    """Say what bit cut the grooves, and keep it where that was asked for."""
    if date is not None and not save:
        raise JobError("--date is the day of a measurement that is kept: give --save with it")
    name, said = named_bit(words)
    found = true_bit(said, grooves)
    kept = _saved(name, found, date) if save else None
    if as_json:
        data = measured_data(said, grooves, found)
        typer.echo(json.dumps(data if kept is None else data | {"saved": name}, indent=2))
        return
    typer.echo("\n".join(measured_lines(said, grooves, found, units)))
    if kept:
        typer.echo(kept)


def _saved(name: str, found: TrueBit, date: str | None) -> str:
    """Put the bit in the shop file under its name; say so, and when a plan takes it."""
    import datetime

    from tracer.shop.shop_file import save_shop

    day = date or datetime.date.today().isoformat()
    shop = save_shop({f"bits.{name}": spec(found.bit)}, bits_measured=day)
    first = shop.bits[0][0].casefold() == name.casefold()
    when = "which plans take where no other is said" if first else f'which a plan takes with --bit "{name}"'
    how = "as said, measured" if found.as_marked else "measured"
    return f'Saved as "{name}", {how} {day}, {when}; in {shop_path()}'
