"""What a ratio means at the bench, in words and in numbers: one answer a question."""

from collections.abc import Mapping
from dataclasses import dataclass

from tracer.lengths import MM_PER_INCH, Units, both, format_length
from tracer.shop.dial import Dial, comes_out
from tracer.shop.linkage import SHARED, Linkage, drift, ratio_words, set_ups
from tracer.shop.traced import Traced

USUAL_SIZE = 300.0  # mm; a piece to show errors on where the user named none
_NEITHER = 0.05  # a dial further off than this part of the template is not believed: our own limit
_TRUE = 0.005  # mm; nearer to the edge than this is on it, as lengths are shown
_DEGREE = 0.017453292519943295  # radians


@dataclass(frozen=True)
class Answer:
    """One answer: its label, what it says line by line, and the same as JSON under a key."""

    label: str
    lines: tuple[str, ...]
    key: str
    data: Mapping[str, object]


def ratio_answer(linkage: Linkage, known: str) -> Answer:
    """The ratio itself; `known` says how, as "assumed"."""
    ratio = linkage.ratio
    return Answer(
        "Ratio",
        (f"{ratio_words(ratio)}, {known}", f"print at {100 / ratio:.2f} % of the finished size"),
        "ratio",
        {"value": ratio, "known": known, "template_percent": 100 / ratio},
    )


def how_to_measure(side: float, units: Units) -> Answer:
    """How to find the ratio by a test cut of a square, `side` mm on the template."""
    square = format_length(side, units)
    cut = "119 x 118.5 mm" if units == "mm" else "4 3/4 x 4 23/32 in"
    example = f'tracer ratio --traced "{square}" --cut "{cut}" --save'
    return Answer(
        "Measure",
        (
            f"Print a square of {square} at 100 %, check it with a rule, and trace it on scrap;",
            "tracer test-sheet -o test-sheet.pdf makes one.",
            "Measure the groove from middle to middle, across and down, and say what you found:",
            f"  {example}",
            'Never go by "reduction": tracer ratio --dial 60 shows the two ways to read a dial.',
        ),
        "measure",
        {"traced_mm": side},
    )


def traced_answers(trace: Traced, size: float, units: Units) -> list[Answer]:
    """How sure a test cut is, and whether its axes agree."""
    doubt = trace.doubt
    sure = Answer(
        "Sure to",
        (
            f"{100 * doubt:.2g} % either way, as nearly as a rule is read:",
            f"{both(size * doubt, units)} on a piece of {format_length(size, units)}; a longer line is surer",
        ),
        "trace",
        {
            "traced_mm": list(trace.traced),
            "cut_mm": list(trace.cut),
            "ratios": list(trace.ratios),
            "doubt_percent": 100 * doubt,
            "size_mm": size,
            "size_doubt_mm": size * doubt,
            "apart_percent": 100 * trace.apart,
            "unequal": trace.unequal,
        },
    )
    return [sure, *([_axes(trace, size, units)] if len(trace.cut) > 1 else [])]


def _axes(trace: Traced, size: float, units: Units) -> Answer:
    across, down = trace.ratios
    found = f"across {100 * across:.4g} %, down {100 * down:.4g} %"
    if not trace.unequal:
        lines: tuple[str, ...] = (f"{found}: the same as nearly as rules are read",)
    else:
        other = format_length(size * down / across, units)
        lines = (
            f"{found}: {100 * trace.apart:.2g} % apart, more than reading explains.",
            "The linkage is out of square or sprung: set it right and cut the square again.",
            f"Until then a circle {format_length(size, units)} wide comes out {other} high.",
        )
    return Answer("Axes", lines, "axes", {"across": across, "down": down})


def size_answer(linkage: Linkage, size: float, units: Units) -> Answer:
    """The template for a finished size, and the set-ups where the reach is known and shorter."""
    template = linkage.on_template(size)
    data: dict[str, object] = {"size_mm": size, "template_mm": template}
    lines = [f"{both(size, units)} finished needs a template of {both(template, units)}"]
    reach = linkage.reach[0] if linkage.reach else None
    if reach is not None and reach < size and reach > SHARED:
        count = set_ups(size, reach, overlap=SHARED)
        askew = drift(size, _DEGREE)
        data |= {"set_ups": count, "overlap_mm": SHARED, "drift_at_1_deg_mm": askew}
        lines += [
            f"{count} set-ups of {both(reach, units)}, sharing {format_length(SHARED, units)}",
            f"a board 1 deg askew is {both(askew, units)} off at the far end",
        ]
    return Answer("Size", tuple(lines), "size", data)


def dial_answer(dial: Dial, size: float, units: Units, measured: float | None) -> Answer:
    """Both readings of a dial, and what a piece becomes where the other is true; `measured` settles it."""
    readings = (dial.to, dial.by)
    others = tuple(
        comes_out(size, printed_for=one, true=two) for one, two in zip(readings, readings[::-1], strict=True)
    )
    rows = (
        ("", [f"to {dial.percent:g} %", f"by {dial.percent:g} %"]),
        ("the carving is", [f"{100 * one:.4g} %" for one in readings]),
        ("print the sheet at", [f"{100 / one:.2f} %" for one in readings]),
        ("so wide is the sheet", [format_length(size / one, units) for one in readings]),
        ("comes out, if wrong", [format_length(one, units) for one in others]),
        ("of the width wanted", [f"{100 * one / size:.0f} %" for one in others]),
    )
    lines = (
        f'"{dial.percent:g}" can be read two ways. For a piece {format_length(size, units)} wide:',
        *(f"  {name:<22}{first:<14}{second}" for name, (first, second) in rows),
        _settled(dial, measured),
    )
    data = {
        "percent": dial.percent,
        "size_mm": size,
        "reduced_to": _reading_data(dial.to, size, others[0]),
        "reduced_by": _reading_data(dial.by, size, others[1]),
    }
    return Answer("Dial", lines, "dial", data)


def _reading_data(ratio: float, size: float, other: float) -> dict[str, float]:
    return {
        "ratio": ratio,
        "template_percent": 100 / ratio,
        "template_mm": size / ratio,
        "comes_out_if_other_mm": other,
        "comes_out_if_other_percent": 100 * other / size,
    }


def _settled(dial: Dial, measured: float | None) -> str:
    if abs(dial.to - dial.by) < 1e-9:
        return "50 is safe: both are the same."
    if measured is None:
        cuts = (format_length(200 * one, "mm") for one in (dial.to, dial.by))
        return 'To settle it trace a square of 200 mm: it cuts {} if "to" is right, {} if "by" is.'.format(
            *cuts
        )
    far, word = min((abs(measured - one), word) for one, word in ((dial.to, "to"), (dial.by, "by")))
    meant = f'"{word}" is right' if far < _NEITHER else "neither is right"
    return f"You measured {100 * measured:.4g} %: {meant}. Go by what you measured, not by the dial."


def edge_answer(linkage: Linkage, groove: float, stylus: float | None, units: Units) -> Answer:
    """The stylus that follows an edge to size, and what another does."""
    right = linkage.on_template(groove)
    lines = [
        f"a groove of {both(groove, units)} following an edge needs a stylus {both(right, units)} across;",
        "a point that follows a line needs none: its groove lies on the line",
    ]
    data = {"groove_mm": groove, "stylus_diameter_mm": right}
    if stylus is not None:
        over = linkage.edge_overrun(groove, stylus)
        way = "runs past" if over > 0 else "stays short of"
        ends = f"{way} the edge by {both(abs(over), units)}" if abs(over) > _TRUE else "follows it to size"
        lines.append(f"with one {both(stylus, units)} across it {ends}")
        data |= {"stylus_mm": stylus, "overrun_mm": over}
    return Answer("Stylus", tuple(lines), "edge", data)


def hand_answer(linkage: Linkage, hand: float, units: Units) -> Answer:
    """What the hand's error and the linkage's play become on the wood, and what the hand feels."""
    error, share = linkage.error_on_wood(hand), linkage.force_felt(1.0)
    play = (
        f"play of {format_length(linkage.play, units)} at the router is in it, and is not made smaller"
        if linkage.play
        else "no play at the router is counted: say yours with tracer shop set linkage.play"
    )
    return Answer(
        "Hand",
        (
            f"{both(hand, units)} off on the template is {both(error, units)} on the wood;",
            play,
            f"the hand feels {100 * share:.3g} % of the bit's pull, friction apart",
        ),
        "hand",
        {"on_template_mm": hand, "play_mm": linkage.play, "on_wood_mm": error, "force_share": share},
    )


def sides(units: Units) -> float:
    """Side of the square to trace, mm: a round number in the user's units."""
    return 200.0 if units == "mm" else 8 * MM_PER_INCH
