"""A groove in words, and as JSON holds it."""

from collections.abc import Iterator, Sequence

from tracer.lengths import MM_PER_INCH, Units, both
from tracer.shop.bit_setting import BitSetting
from tracer.shop.bit_words import describe, spec
from tracer.shop.router import CUTTING_NOISE, noise_hours
from tracer.shop.told_apart import ToldApart

_LABEL = 9  # characters
_SAME = 1e-6  # mm
_FOOT = 12 * MM_PER_INCH


def groove_lines(groove: BitSetting, units: Units) -> list[str]:
    """The answer for reading, in the user's units first."""
    bit = groove.bit
    said: list[tuple[str, str]] = [
        ("Bit", describe(bit, units)),
        ("Depth", both(groove.depth, units)),
        ("Width", f"{both(groove.width, units)}, at most {both(bit.max_width, units)} with this bit"),
    ]
    if groove.sanded:
        sanded = both(groove.sanded, units)
        said.append(
            ("Sanded", f"{both(groove.finished_width, units)} wide once {sanded} is sanded off the face")
        )
    said.append(("If off", f"{both(groove.off, units)} too deep: {_change(groove, groove.off, units)}"))
    if groove.out_of_flat is not None:
        said += [("Not flat" if n == 0 else "", line) for n, line in enumerate(_out_of_flat(groove, units))]
    said += [("Passes" if n == 0 else "", line) for n, line in enumerate(_passes(groove, units))]
    said.append(("Wood", _wood(groove)))
    said += [("Speed" if n == 0 else "", line) for n, line in enumerate(_speed(groove))]
    return [f"{label:<{_LABEL}} {line}" for label, line in said]


def groove_data(groove: BitSetting) -> dict[str, object]:
    """The answer as JSON; each key ends in its unit."""
    flat, speed = groove.out_of_flat, groove.rim_speed
    data: dict[str, object] = {
        "bit": spec(groove.bit),
        "bit_in_words": describe(groove.bit, "mm"),
        "depth_mm": groove.depth,
        "width_mm": groove.width,
        "max_depth_mm": groove.bit.max_depth,
        "max_width_mm": groove.bit.max_width,
        "sanded_mm": groove.sanded,
        "width_after_sanding_mm": groove.finished_width,
        "off_mm": groove.off,
        "wider_if_off_mm": groove.change(groove.off),
        "limit_a_pass_mm": groove.limit,
        "pass_depths_mm": list(groove.pass_depths),
        "pass_wood_percent": [100 * share for share in groove.pass_shares],
        "equal_wood_depths_mm": list(groove.equal_wood_depths),
        "wood_ml_per_m": groove.ml_per_metre,
    }
    if flat is not None:
        data |= {
            "out_of_flat_mm": flat,
            "wider_where_high_mm": groove.change(flat),
            "wider_where_low_mm": groove.change(-flat),
        }
    if speed is not None:
        data |= {
            "rpm": groove.rpm,
            "rim_speed_m_per_s": speed,
            "rim_speed_ft_per_min": speed / 0.3048 * 60,
            "rim_speed_mph": speed * 3600 / 1609.344,
            "usual_rpm_limit": groove.rpm_limit,
        }
    return data


def _change(groove: BitSetting, deeper: float, units: Units) -> str:
    wider = groove.change(deeper)
    if wider is None:
        return "deeper than this bit can cut"
    if wider == -groove.width:
        return "the line is gone"
    word = "wider" if wider > 0 else "narrower"
    return f"{both(abs(wider), units)} {word}" if wider else "no wider" if deeper > 0 else "no narrower"


def _out_of_flat(groove: BitSetting, units: Units) -> Iterator[str]:
    flat = groove.out_of_flat or 0.0
    yield f"{both(flat, units)} high: {_change(groove, flat, units)}"
    yield f"{both(flat, units)} low: {_change(groove, -flat, units)}"


def _passes(groove: BitSetting, units: Units) -> Iterator[str]:
    depths, limit = groove.pass_depths, both(groove.limit, units)
    yield f"{len(depths)}, at {_then(depths, units)} deep: at most {limit} a pass"
    if len(depths) > 1:
        yield _shares(groove, units)
    yield "what the bit's maker and the router's manual say comes first"


def _shares(groove: BitSetting, units: Units) -> str:
    depths, equal = groove.pass_depths, groove.equal_wood_depths
    parts = " then ".join(f"{100 * share:.0f} %" for share in groove.pass_shares)
    if max(abs(a - b) for a, b in zip(depths, equal, strict=True)) < _SAME:
        return f"{parts} of the wood: equal shares"
    return f"{parts} of the wood; equal shares, at {_then(equal, units)}, would pass that limit"


def _then(depths: Sequence[float], units: Units) -> str:
    return " then ".join(map(ToldApart.of(depths, units).own, depths))


def _wood(groove: BitSetting) -> str:
    ml = groove.ml_per_metre
    cubic_inches_a_foot = ml * 1000 / MM_PER_INCH**3 * _FOOT / 1000
    return (
        f"{ml:.3g} mL out of each metre ({cubic_inches_a_foot:.2g} cubic in a foot); filling it takes as much"
    )


def _speed(groove: BitSetting) -> Iterator[str]:
    speed, rpm = groove.rim_speed, groove.rpm
    if speed is None or rpm is None:
        return
    limit = groove.rpm_limit
    yield f"{speed:.1f} m/s ({speed / 0.3048 * 60:.0f} ft/min) at the bit's rim, at {rpm:g} turns a minute"
    if rpm > limit:
        yield f"TOO FAST for a bit so wide: usually at most {limit} turns a minute. Turn the router down."
    else:
        yield f"usually at most {limit} turns a minute for a bit so wide"
    yield "The bit's own marking comes first, whatever is said here."
    yield (
        f"Wear ear protection: a router cutting at {CUTTING_NOISE:g} dBA is too loud without it "
        f"for more than about {noise_hours(CUTTING_NOISE):.2g} h a day"
    )
