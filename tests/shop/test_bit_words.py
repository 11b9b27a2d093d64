"""Bits in words, read and read back."""

import pytest
from bit_strategies import BITS
from hypothesis import example, given
from hypothesis import strategies as st

from tracer.errors import BitError
from tracer.shop.bit_words import describe, parse_bit, spec
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

READ = {
    "V 60deg 1/2in": VBit(60, 12.7),
    "V 60deg 1/2in flat 0.5mm": VBit(60, 12.7, flat=0.5),
    "V flat 0,5 mm 60 deg 12,7 mm": VBit(60, 12.7, flat=0.5),
    'V 90° 1/4" worn 0.25mm': VBit(90, 6.35, tip_radius=0.25),
    "v-bit, 60 degrees, ½″": VBit(60, 12.7),
    "V60deg 1/2in": VBit(60, 12.7),
    "V 60deg included 1 1/2 in": VBit(60, 38.1),
    "V 30deg/side 1/2in": VBit(60, 12.7),
    "V 60deg 1/2in cutting 3/4in": VBit(60, 12.7, cutting_length=19.05),
    "V 60deg dia 1/2in cutting length 3/4in": VBit(60, 12.7, cutting_length=19.05),
    "round 1/4in": RoundNose(6.35),
    "round-nose bit 6mm cutting 20mm": RoundNose(6, cutting_length=20),
    "core box 1/4 in": RoundNose(6.35),
    "straight 1/8in": Straight(3.175),
    "Straight bit 1-1/8in": Straight(28.575),
    "ball tip-radius 1mm taper 5deg/side 1/4in": TaperedBall(1, 5, 6.35),
    "ball 1/4in taper 10deg included tip radius 1mm": TaperedBall(1, 5, 6.35),
    "tapered ball 5 deg a side 1/4in tip-radius 1/32in": TaperedBall(0.79375, 5, 6.35),
}

REFUSED = {
    "": "does not begin with its kind",
    "60deg 1/2in": "does not begin with its kind",
    "rounded 1/4in": "does not begin with its kind",
    "vandyke 1/4in": "does not begin with its kind",
    "V 60deg 1/2in shiny": r"“shiny” is not understood \(understood: V, 60deg, diameter 1/2in\): write",
    "V 60deg 1/2": r"“1/2” is not understood \(a number needs a unit\)",
    "V 60 1/2in": r"angle is missing \(understood: V, diameter 60 1/2in\)",
    "V 60deg": "diameter is missing",
    "V 1/2in": "angle is missing",
    "V -60deg 1/2in": "“-60deg” is not understood",
    "V 60deg ,5mm": "“,5mm” is not understood",
    "V 60deg 90deg 1/2in": "a second angle, “90deg”",
    "V 60deg 1/2in 1/4in": "a second diameter, “1/4in”",
    "V 60deg 1,500mm": "could be 1.500 or 1500",
    "V 60deg 0mm": "diameter “0mm” is 0",
    "V 5deg 1/2in": "10 to 170 deg are expected",
    "V taper 60deg 1/2in": "belongs to a ball bit",
    "V 60deg 1/2in flat 20mm": "does not fit",
    "V 100deg/side 1/2in": "200 deg cannot be right",
    "straight 1/8in 60deg": "a straight bit has no angle",
    "round 1/4in flat 1mm": "a round-nose bit has no flat",
    "ball tip-radius 1mm taper 5deg 1/4in": r"5 deg per side or included\? write 5deg/side, or 5deg included",
    "ball 1/4in taper 5deg/side": "tip radius is missing",
    "ball tip-radius 1mm 1/4in": "taper is missing",
    "ball 1mm taper 5deg/side 1/4in": "a second diameter",
}


@pytest.mark.parametrize(("text", "bit"), READ.items())
def test_reads(text: str, bit: Bit) -> None:
    assert parse_bit(text) == bit


@pytest.mark.parametrize(("text", "why"), REFUSED.items())
def test_refuses_with_what_was_understood(text: str, why: str) -> None:
    with pytest.raises(BitError, match=why):
        parse_bit(text)


@given(BITS)
@example(VBit(60, 12.7, flat=0.0001))
@example(VBit(100 / 3, 12.7 * 1.0000000000000002))
def test_the_short_form_reads_back_exactly(bit: Bit) -> None:
    assert parse_bit(spec(bit)) == bit


@pytest.mark.parametrize(
    ("bit", "short"),
    [
        (VBit(60, 12.7, flat=0.5), "V 60deg 1/2in flat 0.5mm"),
        (VBit(60, 38.1), "V 60deg 1 1/2in"),
        (RoundNose(6, cutting_length=19.05), "round 6mm cutting 3/4in"),
    ],
)
def test_the_short_form_is_what_a_person_would_write(bit: Bit, short: str) -> None:
    assert spec(bit) == short


def test_words_show_a_misreading() -> None:
    assert describe(VBit(60, 12.7), "in") == (
        "V bit, 60 deg included angle (30 deg a side), 1/2 in (12.7 mm) across, sharp tip; "
        "full width at 7/16 in (11.0 mm) deep"
    )
    assert describe(VBit(60, 12.7, flat=0.5, cutting_length=5), "mm") == (
        "V bit, 60 deg included angle (30 deg a side), 12.7 mm (1/2 in) across, "
        "tip flat 0.5 mm (1/64 in) wide; cutting length 5 mm (13/64 in)"
    )
    assert "tip worn to a radius of 0.25 mm" in describe(VBit(60, 12.7, tip_radius=0.25), "mm")
    assert describe(Straight(3.175), "in") == "straight bit, 1/8 in (3.18 mm) across at any depth"
    assert "taper 5 deg a side (10 deg included)" in describe(TaperedBall(1, 5, 6.35), "in")
    assert "full width at 1/8 in (3.18 mm) deep" in describe(RoundNose(6.35), "in")


WORDS = (
    "V",
    "round",
    "ball",
    "flat",
    "worn",
    "taper",
    "60deg",
    "5deg/side",
    "1/4in",
    "1mm",
    "12",
    ",",
    "-",
    "included",
)


@given(st.lists(st.sampled_from(WORDS), max_size=8))
def test_anything_at_all_is_a_bit_or_a_bit_error(words: list[str]) -> None:
    message = ""
    try:
        bit = parse_bit(" ".join(words))
    except BitError as error:
        message = str(error)
    else:
        assert parse_bit(spec(bit)) == bit
    assert "\n" not in message


@given(st.text(max_size=30))
def test_no_text_breaks_the_reader(text: str) -> None:
    with pytest.raises(BitError):
        parse_bit("V 60deg " + text + "§")
