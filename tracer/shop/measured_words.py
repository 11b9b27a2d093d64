"""What test grooves tell of a bit, in words, and as JSON holds it."""

from collections.abc import Iterator, Sequence

from tracer.lengths import MM_PER_INCH, Units
from tracer.shop.bit_words import describe, spec
from tracer.shop.bits import Bit
from tracer.shop.measured_bit import CutGroove, Told, TrueBit

_LABEL = 10  # characters
_ANGLES = ("angle", "taper")


def measured_lines(said: Bit, grooves: Sequence[CutGroove], found: TrueBit, units: Units) -> list[str]:
    """The answer for reading, in the user's units first; `said` is what the bit was thought to be."""
    return [f"{label:<{_LABEL}} {line}" for label, line in _lines(said, grooves, found, units)]


def measured_data(said: Bit, grooves: Sequence[CutGroove], found: TrueBit) -> dict[str, object]:
    """The answer as JSON; each key ends in its unit."""
    data: dict[str, object] = {
        "bit": spec(said),
        "grooves": [{"width_mm": one.width, "depth_mm": one.depth} for one in grooves],
        "true_bit": spec(found.bit),
        "told": [_told_data(one) for one in found.told],
        "misread": list(found.misread),
    }
    return data if found.other is None else data | {"or": _told_data(found.other)}


def _told_data(told: Told) -> dict[str, object]:
    unit = "deg" if told.what in _ANGLES else "mm"
    return {
        "what": told.what,
        f"value_{unit}": told.value,
        f"said_{unit}": told.marked,
        f"doubt_{unit}": told.doubt,
        "as_said": told.as_marked,
    }


def _lines(
    said: Bit, grooves: Sequence[CutGroove], found: TrueBit, units: Units
) -> Iterator[tuple[str, str]]:
    yield "Said", describe(said, units)
    for n, groove in enumerate(grooves, 1):
        yield "Measured" if n == 1 else "", _groove(said, groove, units)
    for told in found.told:
        yield told.what.capitalize(), _told(told, units)
    if len(grooves) == 1:
        yield from _of_one(found, units)
    elif not found.as_marked and any(told.what in _ANGLES and told.as_marked for told in found.told):
        yield "", "to keep the angle as said, give one groove alone, near the depth that you carve at"
    for n in found.misread:
        yield "Check", f"groove {n} does not lie with the others: measure it again, or leave it out"
    yield "True bit", describe(found.bit, units)
    if found.as_marked:
        yield "", "kept as said: the grooves do not part from it by more than can be read"


def _groove(said: Bit, groove: CutGroove, units: Units) -> str:
    """One groove beside what the bit as said would have left."""
    measured = f"{_fine(groove.width, units)} wide at {_fine(groove.depth, units)} deep"
    if said.max_depth is not None and groove.depth > said.max_depth:
        return f"{measured}; deeper than the bit as said can be set"
    return f"{measured}; the bit as said leaves {_fine(said.width_at(groove.depth), units)}"


def _told(told: Told, units: Units) -> str:
    value = f"{_measure(told, told.value, units)}, sure to {_measure(told, told.doubt, units)} either way"
    was = "sharp" if told.what == "tip flat" and not told.marked else _measure(told, told.marked, units)
    if told.as_marked:
        return f"{value}: as said ({was}), as nearly as it can be read"
    return f"{value}; it was said to be {was}"


def _of_one(found: TrueBit, units: Units) -> Iterator[tuple[str, str]]:
    """What one groove takes for granted, and what it would tell otherwise."""
    told, other = found.told[0], found.other
    if told.what in _ANGLES:
        yield "", "for a sharp tip, which would be too wide here at the angle that was said"
    elif other is not None:
        yield "", f"if the {other.what} is {_measure(other, other.marked, units)}, as said"
        tip = "sharp" if told.what == "tip flat" and not told.marked else _measure(told, told.marked, units)
        yield f"Or {other.what}", f"{_measure(other, other.value, units)}, if the tip is {tip}, as said"
    if told.what != "diameter":
        yield "", "two grooves at two depths tell both: say --measured and --depth once for each"


def _measure(told: Told, value: float, units: Units) -> str:
    return f"{round(value, 1):g} deg" if told.what in _ANGLES else _fine(value, units)


def _fine(mm: float, units: Units) -> str:
    """A length as calipers show it, in both units: 1/64 in is too coarse for a tip."""
    metric, inches = f"{mm:.2f} mm", f"{mm / MM_PER_INCH:.3f} in"
    return f"{inches} ({metric})" if units == "in" else f"{metric} ({inches})"
