"""Lengths: read right or refused with a sentence, never misread."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from tracer.errors import LengthError
from tracer.lengths import (
    MM_PER_INCH,
    Units,
    both,
    format_length,
    normalise,
    parse_length,
    parse_size,
    quoted,
    units_of,
)

UNITS = st.sampled_from(["mm", "in"])
MM = st.floats(0.01, 100_000)

READ = {
    "2 3/8 in": 2.375 * 25.4,
    '2-3/8"': 2.375 * 25.4,
    "2–3/8″": 2.375 * 25.4,
    '3/8"': 0.375 * 25.4,
    "16in": 406.4,
    "16 Inches": 406.4,
    "1 in.": 25.4,
    "1''": 25.4,
    "1' 4\"": 406.4,
    "1’ 4”": 406.4,
    "1'-4 1/2\"": 16.5 * 25.4,
    "5 ft 3 in": 63 * 25.4,
    "1ft4in": 406.4,
    "2 feet": 609.6,
    "1 1/2 ft": 18 * 25.4,
    "400 mm": 400.0,
    "400MM": 400.0,
    "40cm": 400.0,
    "0.4 m": 400.0,
    "1,5 mm": 1.5,
    "1.500 mm": 1.5,
    "0,125 in": 3.175,
    "12,7 millimetres": 12.7,
    "2 centimeters": 20.0,
    "½ in": 12.7,
    "2½ in": 63.5,
    "2 ½″": 63.5,
    "2-½ in": 63.5,
    "1⁄2 in": 12.7,
    "½ mm": 0.5,
    "1 1/4 cm": 12.5,
    "2 1/3 in": 7 / 3 * 25.4,
    "9/8 in": 1.125 * 25.4,
    ".5 in": 12.7,
    "1\u20091/2\u202fin": 38.1,
    " 3 mm\n": 3.0,
}

REFUSED = {
    "": "empty",
    "   ": "empty",
    "5": "has no unit: say mm or in",
    "0": "is 0, and must be more",  # a unit would not mend it
    "3/8": "has no unit",
    "mm": "no number",
    "nan": "no number",
    "inf mm": "no number",
    "-3 mm": "negative",
    "−3 mm": "negative",
    "- 3 mm": "negative",
    "0 mm": "is 0",
    "0/4 in": "is 0",
    "1,500 mm": r"could be 1\.500 or 1500",
    "123,456 mm": r"could be 123\.456 or 123456",
    "2,375 in": r"could be 2\.375 or 2375",
    "1.500,5 mm": "more than one decimal mark",
    "1,500.5 mm": "more than one decimal mark",
    "1 500 mm": "numbers side by side",
    "½5 in": "numbers side by side",
    "½½ in": "numbers side by side",
    "1½/2 in": "numbers side by side",
    "5/½ in": "cannot be read",
    "1.½ in": "cannot be read",
    "3/0 in": "divides by 0",
    "2 9/8 in": "9/8 after a whole number",
    "2 8/8 in": "8/8 after a whole number",
    "1e3 mm": "exponent",
    "1E-3 in": "exponent",
    "3 mm in": "more than one unit",
    "3 mm 4 mm": "more than one unit",
    "3 mm (1/8 in)": "more than one unit",
    "1' 4": "after the feet that is not marked as inches",
    "5 ft 3": "after the feet that is not marked as inches",
    "1' 14\"": "14 inches after the feet",
    "1.5' 4\"": "more than one unit",
    "2 3/8 mm": r"2\.375 mm, and a rule in mm has no such marks",
    "1/3 mm": "no such marks",
    "2-3 in": "cannot be read",
    "2 - 3/8 in": "cannot be read",
    "1/2-3/4 in": "cannot be read",
    "1/2/3 in": "cannot be read",
    "2.5/8 in": "cannot be read",
    "5 miles": "cannot be read",
    "5 px": "cannot be read",
    "+5 mm": "cannot be read",
    "٣ mm": "no number",
    "1² mm": "cannot be read",
    "0.00000001 mm": r"under 0\.0001 mm",
    "2 km": "cannot be read",
    "2000 m": "over 1 km",
    "9" * 61 + " mm": "too long",
}


@pytest.mark.parametrize(("text", "mm"), READ.items())
def test_reads(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(("text", "why"), REFUSED.items())
def test_refuses_with_a_sentence(text: str, why: str) -> None:
    with pytest.raises(LengthError, match=why) as refused:
        parse_length(text, what="depth")
    assert str(refused.value).startswith(f"depth {quoted(text)}")
    assert "\n" not in str(refused.value)


def test_an_inch_is_exactly_25_4_mm() -> None:
    # Check value 114: the international inch, exactly (NIST, 1959) [S7].
    assert parse_length("1 in") == 25.4
    assert parse_length("12 in") == parse_length("1 ft")


def test_a_line_of_100_points() -> None:
    # Check value 119: 1/72 in a point (ISO 32000-1, read in documents that restate it) [S8].
    assert parse_length("100 pt") == pytest.approx(35.278, abs=5e-4)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 7.0), ("in", 177.8)])
def test_a_bare_number_takes_the_unit_that_was_said(unit: Units, mm: float) -> None:
    assert parse_length("7", unit=unit) == pytest.approx(mm)
    assert parse_length("7 cm", unit=unit) == 70


def test_a_bare_fraction_in_mm_is_doubted() -> None:
    assert parse_length("3/8", unit="in") == pytest.approx(9.525)
    with pytest.raises(LengthError, match="if inches are meant"):
        parse_length("3/8", unit="mm")


def test_zero_only_where_it_makes_sense() -> None:
    assert parse_length("0 mm", allow_zero=True) == 0
    with pytest.raises(LengthError, match="under"):
        parse_length("0.00001 mm", allow_zero=True)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("600 x 200 x 19 mm", (600, 200, 19)),
        ("24in x 12in x 3/4in", (609.6, 304.8, 19.05)),
        ("24 x 12 in", (609.6, 304.8)),
        ("24×12in", (609.6, 304.8)),
        ("24*12 in", (609.6, 304.8)),
        ("60 by 20 cm", (600, 200)),
        ("24 in x 300 mm", (609.6, 300)),
        ("1' 4\" x 1'", (406.4, 304.8)),
        ("7 1/2 x 2-1/4 in", (190.5, 57.15)),
    ],
)
def test_reads_sizes(text: str, mm: tuple[float, ...]) -> None:
    assert parse_size(text, parts=(2, 3)) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("24in x 12", "leaves a number without a unit"),
        ("24in x 12 x 19mm", "leaves a number without a unit"),
        ("2 x 1' 4\"", "leaves a number without a unit"),
        ("24 x 12", "leaves a number without a unit"),
        ("24 in", "has 1 length; 2 or 3 are needed"),
        ("1 x 2 x 3 x 4 mm", "has 4 lengths"),
        ("1 x  x 3 mm", "empty"),
        ("24 x -12 in", "negative"),
        ("1,500 x 200 mm", "could be"),
    ],
)
def test_refuses_sizes(text: str, why: str) -> None:
    with pytest.raises(LengthError, match=why):
        parse_size(text, parts=(2, 3))


def test_a_said_unit_never_overrides_one_inside_the_size() -> None:
    assert parse_size("24 x 12", unit="in") == pytest.approx((609.6, 304.8))
    with pytest.raises(LengthError, match="without a unit"):
        parse_size("24in x 12", unit="mm")


@pytest.mark.parametrize(
    ("text", "units"),
    [("3 mm", "mm"), ('3"', "in"), ("1' 4\"", "in"), ("2 ft", "in"), ("3", None), ("2 x 3 cm", "mm")],
)
def test_knows_the_units_of_a_text(text: str, units: Units | None) -> None:
    assert units_of(text) == units


@pytest.mark.parametrize(
    ("mm", "metric", "inches"),
    [
        (60.325, "60.3 mm", "2 3/8 in"),
        (10.998522628, "11.0 mm", "7/16 in"),
        (400, "400 mm", "15 3/4 in"),
        (1.8333, "1.83 mm", "5/64 in"),
        (3.175, "3.18 mm", "1/8 in"),
        (25.4 / 64, "0.40 mm", "1/64 in"),
        (1219.2, "1219 mm", "48 in"),
        (9.996, "10.00 mm", "25/64 in"),
        (0.1, "0.1 mm", "0 in"),
        (0, "0 mm", "0 in"),
        (-0.4, "-0.4 mm", "-1/64 in"),
        (-0.001, "0.00 mm", "0 in"),
    ],
)
def test_writes(mm: float, metric: str, inches: str) -> None:
    assert format_length(mm, "mm") == metric
    assert format_length(mm, "in") == inches
    assert both(mm, "in") == f"{inches} ({metric})"
    assert both(mm, "mm") == f"{metric} ({inches})"


def test_limits_are_rounded_down() -> None:
    assert both(10.998522628, "mm", down=True) == "10.9 mm (27/64 in)"
    assert both(25.4 - 1e-14, "in", down=True) == "1 in (25.4 mm)"


@given(MM)
def test_inches_read_back_within_half_a_mark(mm: float) -> None:
    assume(mm >= MM_PER_INCH / 128)
    assert abs(parse_length(format_length(mm, "in")) - mm) <= MM_PER_INCH / 128 + 1e-9


@given(MM)
def test_millimetres_read_back_within_half_the_last_digit(mm: float) -> None:
    half = 0.005 if mm < 10 else 0.05 if mm < 1000 else 0.5
    assert abs(parse_length(format_length(mm, "mm")) - mm) <= half + 1e-9


@given(MM, UNITS)
def test_rounding_down_never_passes_the_limit(mm: float, units: Units) -> None:
    shown = parse_length(format_length(mm, units, down=True), allow_zero=True)
    assert mm - MM_PER_INCH / 64 - 1 < shown <= mm + 1e-8


@given(
    st.integers(1, 500),
    st.integers(0, 63),
    st.sampled_from(["{w} {f} in", '{w}-{f}"', "{w}  {f}in", "{w} {f}″"]),
)
def test_every_mark_of_a_rule_reads_exactly(whole: int, mark: int, form: str) -> None:
    fraction = Fraction(mark, 64)
    text = form.format(w=whole, f=fraction) if mark else f"{whole} in"
    assert parse_length(text) == float((whole + fraction) * Fraction(254, 10))


TOKENS = st.sampled_from(
    [
        "1",
        "2",
        "3/8",
        "9/8",
        "1/2",
        "½",
        "1½",
        "500",
        "0",
        " ",
        "-",
        "/",
        ".",
        ",",
        "in",
        "mm",
        "cm",
        "m",
        "ft",
        "'",
        '"',
        "″",
        " x ",
    ]
)
LENGTH_LIKE = st.lists(TOKENS, max_size=7).map("".join)


@given(st.one_of(st.text(max_size=70), LENGTH_LIKE), st.one_of(st.none(), UNITS), st.booleans())
@example("9" * 5000, None, False)
@example("1/" + "9" * 400 + " in", None, False)
@example("½" * 30, "in", True)
def test_anything_at_all_is_a_length_or_a_length_error(text: str, unit: Units | None, zero: bool) -> None:
    for read in (
        lambda: parse_length(text, unit=unit, allow_zero=zero),
        lambda: min(parse_size(text, unit=unit)),
    ):
        message = ""
        try:
            mm = read()
        except LengthError as error:
            message = str(error)
        else:
            assert math.isfinite(mm)
            assert mm > 0 or (zero and mm == 0)
        assert "\n" not in message
        assert len(message) < 300


@given(LENGTH_LIKE)
@example("1 ft. 4 in.")
def test_what_is_read_is_what_was_written(text: str) -> None:
    """Another reader, which knows no grammar, must find the same number and unit wherever ours accepts."""
    try:
        mm = parse_length(text)
    except LengthError:
        return
    plain = re.sub(r"(?<=[a-z])\.", " ", normalise(text)).replace(",", ".").replace("-", " ")
    total, number = Fraction(0), ""
    for char in plain + "#":
        if char in "0123456789./ ":
            number += char
        elif number.strip():
            scale = {"m": 1, "c": 10, "i": 25.4, '"': 25.4, "f": 304.8, "'": 304.8}[char]
            if char == "m" and not plain.split("m", 1)[1].startswith(("m", "illi")):
                scale = 1000
            total += sum(Fraction(part) for part in number.split()) * Fraction(str(scale))
            number = ""
        else:
            number = ""
    assert mm == pytest.approx(float(total), rel=1e-12)
