"""`tracer ratio`: what the linkage makes of a length, and how to find that out."""

import json
from dataclasses import dataclass, replace
from typing import Annotated

import typer

from tracer.errors import JobError
from tracer.lengths import Units, parse_length, parse_size, units_of
from tracer.shop.dial import Dial, parse_dial
from tracer.shop.linkage import Linkage, parse_ratio
from tracer.shop.ratio_words import (
    USUAL_SIZE,
    Answer,
    dial_answer,
    edge_answer,
    hand_answer,
    how_to_measure,
    ratio_answer,
    sides,
    size_answer,
    traced_answers,
)
from tracer.shop.settings import Shop, bit_called, load_shop
from tracer.shop.traced import Traced

Said = str | None
ASSUMED = "assumed"


def ratio(
    *,
    traced: Annotated[
        Said, typer.Option(help='Length traced on the template, or both sides: "200 mm", "200 x 150 mm".')
    ] = None,
    cut: Annotated[
        Said, typer.Option(help='The same in the wood, groove middle to groove middle: "119 x 118.5 mm".')
    ] = None,
    read_to: Annotated[
        Said, typer.Option(help="How near both are read; 0.5 mm traced and 0.25 mm cut if not said.")
    ] = None,
    save: Annotated[bool, typer.Option("--save", help="Keep the measured ratio in the shop file.")] = False,
    date: Annotated[
        Said, typer.Option(help="Day of the measurement, as 2026-11-01; today if not said.")
    ] = None,
    ratio: Annotated[
        Said, typer.Option(help='Ratio to answer for instead of the shop\'s: "50%", "0.5", "1:2".')
    ] = None,
    dial: Annotated[
        Said, typer.Option(help="What the linkage's dial says in per cent, read both ways.")
    ] = None,
    size: Annotated[Said, typer.Option(help="Finished size of a piece.")] = None,
    groove: Annotated[
        Said, typer.Option(help="Groove that follows an edge; answers with the stylus.")
    ] = None,
    bit: Annotated[Said, typer.Option(help="Bit of that groove instead, with --depth.")] = None,
    depth: Annotated[Said, typer.Option(help="Depth of that groove.")] = None,
    stylus: Annotated[Said, typer.Option(help="Diameter of the stylus you have.")] = None,
    hand: Annotated[Said, typer.Option(help="How far the stylus strays from the line.")] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units to answer in; those of the question if not said.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON, in millimetres.")] = False,
) -> None:
    """Say what the linkage's ratio is, how to measure it, and what it does to sizes and errors."""
    shop = load_shop()
    trace = _trace(traced, cut, read_to, units)
    linkage, known = _linkage(shop, trace, ratio)
    asked = _Asked(
        linkage,
        known,
        trace=trace,
        dial=None if dial is None else parse_dial(dial, what="--dial"),
        groove=_groove(groove, bit, depth, units),
        **_lengths(units, size=size, hand=hand, stylus=stylus),
    )
    said = next((one for one in (cut, size, groove, depth, stylus, hand) if one), None)
    answers = [
        *_answers(asked, units or (said and units_of(said)) or shop.units),
        *_saved(trace, save=save, date=date),
    ]
    typer.echo(_json(answers) if as_json else "\n".join(_shown(answers)))


@dataclass(frozen=True)
class _Asked:
    """What was asked of a linkage, lengths mm; None where it was not."""

    linkage: Linkage
    known: str
    trace: Traced | None
    size: float | None
    dial: Dial | None
    groove: float | None
    stylus: float | None
    hand: float | None


def _answers(asked: _Asked, units: Units) -> list[Answer]:
    linkage, trace, dial = asked.linkage, asked.trace, asked.dial
    shown_on = asked.size or USUAL_SIZE
    found = [] if dial and asked.known == ASSUMED else [ratio_answer(linkage, asked.known)]
    if trace is not None:
        found += traced_answers(trace, shown_on, units)
    if asked.size is not None:
        found.append(size_answer(linkage, asked.size, units))
    if dial is not None:
        measured = linkage.ratio if trace or linkage.measured_on else None
        found.append(dial_answer(dial, shown_on, units, measured))
    if asked.groove is not None:
        found.append(edge_answer(linkage, asked.groove, asked.stylus, units))
    elif asked.stylus is not None:
        raise JobError("--stylus is for a groove that follows an edge: give --groove, or --bit and --depth")
    if asked.hand is not None:
        found.append(hand_answer(linkage, asked.hand, units))
    if len(found) == 1 and trace is None and dial is None:
        found.append(how_to_measure(sides(units), units))
    return found


def _lengths(units: Units | None, **said: Said) -> dict[str, float | None]:
    """Lengths by the names of their options, mm; only the hand may stray by nothing."""
    return {
        name: None
        if text is None
        else parse_length(text, unit=units, what=f"--{name}", allow_zero=name == "hand")
        for name, text in said.items()
    }


def _trace(traced: Said, cut: Said, read_to: Said, units: Units | None) -> Traced | None:
    """The test cut; one length traced and two cut is a square."""
    if traced is None and cut is None:
        if read_to is not None:
            raise JobError("--read-to is how near a test cut was read: give --traced and --cut with it")
        return None
    if traced is None or cut is None:
        raise JobError(
            "a ratio is found from a length traced and the same length cut: give both, "
            "as --traced 200mm --cut 119mm"
        )
    drawn = parse_size(traced, unit=units, parts=(1, 2), what="--traced")
    found = parse_size(cut, unit=units, parts=(1, 2), what="--cut")
    if len(drawn) > len(found):
        raise JobError('--traced has two sides and --cut has one: give both sides cut, as "119 x 118.5 mm"')
    drawn *= len(found) // len(drawn)
    if read_to is None:
        return Traced(drawn, found)
    near = parse_length(read_to, unit=units, what="--read-to")
    return Traced(drawn, found, traced_off=near, cut_off=near)


def _linkage(shop: Shop, trace: Traced | None, said: Said) -> tuple[Linkage, str]:
    """The linkage to answer for, and how its ratio is known."""
    stands = shop.linkage or Linkage(0.5)
    if trace is not None and said is not None:
        raise JobError("the ratio is either measured or said: give --traced and --cut, or --ratio")
    if trace is not None:
        return replace(stands, ratio=trace.ratio), "from what was traced and cut"
    if said is not None:
        return replace(stands, ratio=parse_ratio(said, what="--ratio"), measured_on=None), "as said"
    if stands.measured_on:
        return stands, f"measured {stands.measured_on.isoformat()}"
    return stands, "said in the shop file, not measured" if "linkage.ratio" in shop.said else ASSUMED


def _groove(groove: Said, bit: Said, depth: Said, units: Units | None) -> float | None:
    if groove is not None and (bit is not None or depth is not None):
        raise JobError("the groove is either said or cut by a bit: give --groove, or --bit and --depth")
    if groove is not None:
        return parse_length(groove, unit=units, what="--groove")
    if bit is None and depth is None:
        return None
    if bit is None or depth is None:
        raise JobError("a bit and its depth make the groove: give both --bit and --depth, or --groove alone")
    return bit_called(bit).width_at(parse_length(depth, unit=units, what="--depth"))


def _saved(trace: Traced | None, *, save: bool, date: Said) -> list[Answer]:
    """Save the measured ratio where that was asked for, and say so."""
    if not save:
        if date is not None:
            raise JobError("--date is the day of a ratio that is kept: give --save with it")
        return []
    if trace is None:
        raise JobError("only a measured ratio is kept: give --traced and --cut with --save")
    if trace.unequal:
        raise JobError(
            f"the axes are {100 * trace.apart:.2g} % apart, more than reading explains, and no one ratio "
            "fits both: set the linkage square and cut again, or keep one with tracer shop set linkage.ratio"
        )
    import datetime

    from tracer.shop.settings import shop_path
    from tracer.shop.shop_file import save_shop

    day = date or datetime.date.today().isoformat()
    said = f"{100 * trace.ratio:.4f}".rstrip("0").rstrip(".")
    save_shop({"linkage.ratio": f"{said}%", "linkage.measured": day})
    return [Answer("Saved", (f"{said} %, measured {day}, in {shop_path()}",), "saved", {"measured": day})]


def _shown(answers: list[Answer]) -> list[str]:
    wide = max(len(answer.label) for answer in answers)
    return [
        f"{answer.label if n == 0 else '':<{wide}}  {line}"
        for answer in answers
        for n, line in enumerate(answer.lines)
    ]


def _json(answers: list[Answer]) -> str:
    return json.dumps({answer.key: answer.data for answer in answers}, indent=2)
