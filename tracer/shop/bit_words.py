"""Bits in words: reading them as written on the bench, and reading them back so that a slip shows."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from tracer.errors import BitError, LengthError
from tracer.lengths import NUMBER, UNIT, Units, both, normalise, parse_length, quoted
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

_EXAMPLES = {
    "V": "V 60deg 1/2in, V 60deg 1/2in flat 0.5mm or V 60deg 1/2in worn 0.25mm",
    "round": "round 1/4in",
    "straight": "straight 1/8in",
    "ball": "ball tip-radius 1mm taper 5deg/side 1/4in",
}
_KINDS = {
    "V": r"(?:v|vee)(?:[- ]?(?:bit|groove))?",
    "round": r"(?:round(?:[- ]?nose)?|core[- ]?box)(?: bit)?",
    "straight": r"straight(?: bit)?",
    "ball": r"(?:taper(?:ed)?[- ]?)?ball(?:[- ]?nose)?(?: bit)?",
}
_KIND = {kind: re.compile(rf"{words}(?![a-z])", re.IGNORECASE) for kind, words in _KINDS.items()}
_NAMES = {"flat": "flat", "worn": "tip radius", "cutting": "cutting length", "diameter": "diameter"}
_ANGLE = re.compile(
    r"(?P<taper>taper(?:ed)? ?)?(?P<number>[0-9]+(?:[.,][0-9]+)?) ?(?:deg(?:rees?)?\.?(?![a-z])|°|º)"
    r"(?: ?(?P<side>/ ?side|(?:a|per|each) side)| ?(?P<included>included(?: angle)?|incl\.?(?![a-z])))?",
    re.IGNORECASE,
)
_LENGTH = re.compile(
    r"(?:(?P<name>flat|worn|tip[- ]radius|cutting(?:[- ]length)?|dia(?:m(?:eter)?)?\.?) ?)?"
    rf"(?P<length>{NUMBER} ?{UNIT}(?![a-z]))",
    re.IGNORECASE,
)
_GAP = re.compile(r"\A(?:[ ;]|,(?![0-9]))+")  # a comma before a digit may be a decimal comma


@dataclass
class _Words:
    """What has been understood so far."""

    kind: str
    text: str
    lengths: dict[str, float] = field(default_factory=dict)  # mm, by the names of _NAMES
    angle_deg: float | None = None
    per_side: bool | None = None  # None: not said
    said: list[str] = field(default_factory=list)

    def refuse(self, why: str, *, show: bool = False) -> BitError:
        """The error to raise; `show` adds how to write such a bit."""
        understood = ", ".join([self.kind, *self.said])
        example = f": write it like {_EXAMPLES[self.kind]}" if show else ""
        return BitError(f"bit {quoted(self.text)}: {why} (understood: {understood}){example}")

    def pop(self, name: str) -> float | None:
        return self.lengths.pop(name, None)

    def need(self, name: str) -> float:
        if name not in self.lengths:
            raise self.refuse(f"the {name} is missing", show=True)
        return self.lengths.pop(name)


def parse_bit(text: str) -> Bit:
    """Read a bit: its kind first, then its measures in any order.

    Parameters
    ----------
    text : str
        Such as ``V 60deg 1/2in``, ``V 60deg 1/2in flat 0.5mm``, ``V 90° 1/4" worn 0.25mm``,
        ``round 1/4in``, ``straight 1/8in``, ``ball tip-radius 1mm taper 5deg/side 1/4in``;
        with ``cutting 3/4in`` where the cutting length is known. A length alone is the diameter;
        ``worn`` is the radius of a tip that was sharp. A V's angle is the included one unless
        it says ``/side``; a taper must say ``/side`` or ``included``.

    Raises
    ------
    BitError
        For words that are not understood or do not fit the kind, measures that are missing or
        said twice, and a bit that cannot exist.
    """
    words = _read(text)
    bit = _BUILDERS[words.kind](words)
    if words.lengths or (words.angle_deg is not None and words.kind in ("round", "straight")):
        extra = next(iter(words.lengths), "angle")
        raise words.refuse(f"a {bit.name} has no {extra}: leave it out, or name another kind of bit")
    return bit


def spec(bit: Bit) -> str:
    """The short form that `parse_bit` reads back as exactly the same bit."""
    words: list[str]
    match bit:
        case VBit():
            words = ["V", f"{_plain(bit.angle_deg)}deg", _exact(bit.diameter)]
            words += [f"flat {_exact(bit.flat)}"] if bit.flat else []
            words += [f"worn {_exact(bit.tip_radius)}"] if bit.tip_radius else []
        case TaperedBall():
            taper = f"taper {_plain(bit.taper_deg)}deg/side"
            words = ["ball", f"tip-radius {_exact(bit.tip_radius)}", taper, _exact(bit.diameter)]
        case RoundNose():
            words = ["round", _exact(bit.diameter)]
        case _:
            words = ["straight", _exact(bit.diameter)]
    return " ".join(words + ([f"cutting {_exact(bit.cutting_length)}"] if bit.cutting_length else []))


def describe(bit: Bit, units: Units) -> str:
    """The bit in full words, both units, so that a misreading shows."""
    across = f"{both(bit.diameter, units)} across"
    match bit:
        case VBit():
            angle = f"{bit.angle_deg:g} deg included angle ({bit.angle_deg / 2:g} deg a side)"
            shape = f"{angle}, {across}, {_tip(bit, units)}"
        case TaperedBall():
            taper = f"{bit.taper_deg:g} deg a side ({2 * bit.taper_deg:g} deg included)"
            shape = f"tip radius {both(bit.tip_radius, units)}, taper {taper}, {across}"
        case RoundNose():
            shape = f"{across} (radius {both(bit.diameter / 2, units)})"
        case _:
            shape = f"{across} at any depth"
    return "; ".join([f"{bit.name}, {shape}", *_limits(bit, units)])


def _tip(bit: VBit, units: Units) -> str:
    if bit.flat:
        return f"tip flat {both(bit.flat, units)} wide"
    return f"tip worn to a radius of {both(bit.tip_radius, units)}" if bit.tip_radius else "sharp tip"


def _limits(bit: Bit, units: Units) -> list[str]:
    full = bit.section.full_depth
    words = []
    if bit.width_follows_depth and (bit.max_depth is None or full <= bit.max_depth):
        words.append(f"full width at {both(full, units)} deep")
    if bit.cutting_length is not None:
        words.append(f"cutting length {both(bit.cutting_length, units)}")
    return words


def _read(text: str) -> _Words:
    plain = normalise(text)
    for kind, pattern in _KIND.items():
        if found := pattern.match(plain):
            words = _Words(kind, text)
            break
    else:
        raise BitError(
            f"bit {quoted(text)} does not begin with its kind, V, round, straight or ball: "
            f"write it like {'; '.join(_EXAMPLES.values())}"
        )
    rest = _GAP.sub("", plain[found.end() :])
    while rest:
        rest = _GAP.sub("", rest[_take(words, rest) :])
    return words


def _take(words: _Words, rest: str) -> int:
    """Read the measure that the text begins with; return its length."""
    if found := _ANGLE.match(rest):
        _take_angle(words, found)
    elif found := _LENGTH.match(rest):
        _take_length(words, found)
    else:
        word = rest.split(" ", maxsplit=1)[0]
        unit = " (a number needs a unit)" if re.fullmatch(NUMBER, word) else ""
        raise words.refuse(f"{quoted(word)} is not understood{unit}", show=True)
    return found.end()


def _take_angle(words: _Words, found: re.Match[str]) -> None:
    if words.angle_deg is not None:
        raise words.refuse(f"a second angle, {quoted(found.group())}: give one")
    if found["taper"] and words.kind != "ball":
        raise words.refuse(f"{quoted(found.group())} belongs to a ball bit")
    words.angle_deg = float(found["number"].replace(",", "."))
    words.per_side = True if found["side"] else False if found["included"] else None
    words.said.append(found.group())


def _take_length(words: _Words, found: re.Match[str]) -> None:
    said = (found["name"] or "dia").lower()
    name = next((n for word, n in _NAMES.items() if said.startswith(word)), None)
    name = name or ("tip radius" if said.startswith("tip") else "diameter")
    if name in words.lengths:
        raise words.refuse(f"a second {name}, {quoted(found.group())}: give one")
    try:
        words.lengths[name] = parse_length(
            found["length"], what=name, allow_zero=name in ("flat", "tip radius")
        )
    except LengthError as error:
        raise words.refuse(str(error)) from error
    words.said.append(f"{name} {found['length']}")


def _v_bit(words: _Words) -> Bit:
    if words.angle_deg is None:
        raise words.refuse("the angle is missing", show=True)
    return VBit(
        angle_deg=words.angle_deg * (2 if words.per_side else 1),
        diameter=words.need("diameter"),
        flat=words.pop("flat") or 0.0,
        tip_radius=words.pop("tip radius") or 0.0,
        cutting_length=words.pop("cutting length"),
    )


def _ball(words: _Words) -> Bit:
    if words.angle_deg is None:
        raise words.refuse("the taper is missing", show=True)
    if words.per_side is None:
        angle = f"{words.angle_deg:g}deg"
        raise words.refuse(
            f"is the taper of {words.angle_deg:g} deg per side or included? "
            f"write {angle}/side, or {angle} included"
        )
    return TaperedBall(
        tip_radius=words.need("tip radius"),
        taper_deg=words.angle_deg / (1 if words.per_side else 2),
        diameter=words.need("diameter"),
        cutting_length=words.pop("cutting length"),
    )


def _round(words: _Words) -> Bit:
    return RoundNose(words.need("diameter"), words.pop("cutting length"))


def _straight(words: _Words) -> Bit:
    return Straight(words.need("diameter"), words.pop("cutting length"))


_BUILDERS: dict[str, Callable[[_Words], Bit]] = {
    "V": _v_bit,
    "round": _round,
    "straight": _straight,
    "ball": _ball,
}


def _plain(number: float) -> str:
    """Every digit of a float, without an exponent."""
    return f"{Decimal(repr(float(number))):f}".removesuffix(".0")


def _exact(mm: float) -> str:
    """A length that reads back as the same float: inches where it is a whole number of 1/64."""
    sixty_fourths = Fraction(round(mm / 25.4 * 64), 64)
    if sixty_fourths and float(sixty_fourths * Fraction(254, 10)) == mm:
        whole, rest = divmod(sixty_fourths, 1)
        return f"{whole} {rest}in" if whole and rest else f"{sixty_fourths}in"
    return f"{_plain(mm)}mm"
