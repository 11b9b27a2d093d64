"""The bit found again from grooves that it cut, for every kind; refusals where none can have cut them."""

import math
from dataclasses import replace

import pytest
from bit_strategies import BITS
from hypothesis import assume, given
from hypothesis import strategies as st

from tracer.errors import BitError
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit
from tracer.shop.measured_bit import DEPTH_OFF, WIDTH_OFF, CutGroove, Told, true_bit
from tracer.shop.measured_words import measured_data, measured_lines


def cut(bit: Bit, *depths: float) -> list[CutGroove]:
    """What the bit leaves in the wood."""
    return [CutGroove(bit.width_at(depth), depth) for depth in depths]


def told(bit: Bit, grooves: list[CutGroove]) -> dict[str, Told]:
    return {one.what: one for one in true_bit(bit, grooves).told}


# w = f + 2 d tan(angle / 2): 0.5 + 4 tan 30 deg = 2.809 mm is a value of check-values.md [D], #11;
# so is 5.000 mm of a 90 deg V with a flat of 1 mm, #13.
@pytest.mark.parametrize(
    ("said", "groove", "flat"),
    [
        (VBit(60.0, 12.7), CutGroove(2.809, 2.0), 0.5),
        (VBit(90.0, 12.7), CutGroove(5.0, 2.0), 1.0),
        (VBit(60.0, 12.7, flat=0.5), CutGroove(3.666, 3.175), 0.0),  # 1/8 in of a sharp one, #1
    ],
)
def test_one_groove_of_a_v_tells_its_flat(said: VBit, groove: CutGroove, flat: float) -> None:
    found = true_bit(said, [groove])
    assert [one.what for one in found.told] == ["tip flat"]
    assert found.told[0].value == pytest.approx(flat, abs=1e-3)
    assert found.bit == VBit(said.angle_deg, 12.7, flat=flat)


def test_or_its_angle_where_the_tip_is_believed() -> None:
    # A sharp V as wide as deep has tan(angle / 2) = 1/2: 53.13 deg, of the 3-4-5 triangle (derived).
    found = true_bit(VBit(60.0, 12.7), [CutGroove(3.0, 3.0)])
    assert found.bit == VBit(53.1, 12.7)
    assert [(one.what, round(one.value, 2)) for one in found.told] == [("angle", 53.13)]
    wide = true_bit(VBit(60.0, 12.7), [CutGroove(4.0, 2.0)])  # 4 = 2 x 2 tan 45 deg (derived)
    assert wide.other is not None
    assert (wide.other.what, wide.other.value) == ("angle", pytest.approx(90.0))
    flat = true_bit(VBit(60.0, 12.7, flat=0.5), [CutGroove(4.5, 2.0)])  # 4.5 = 0.5 + 4 tan 45 deg (derived)
    assert flat.other is not None
    assert flat.other.value == pytest.approx(90.0)


def test_a_worn_tip_tells_its_radius() -> None:
    # Worn to R 0.25 mm, 2 mm deep: 2.598 mm, check-values.md #32 [D].
    found = true_bit(VBit(60.0, 12.7, tip_radius=0.1), [CutGroove(2.598, 2.0)])
    assert found.told[0].what == "tip radius"
    assert found.bit == VBit(60.0, 12.7, tip_radius=0.25)


def test_a_round_nose_tells_its_diameter() -> None:
    # R 3.175 mm: 4.626 mm wide 1 mm deep, 5.899 at 2 mm, 6.350 at 5 mm, check-values.md #18, 19, 21 [S19].
    for width, depth in ((4.626, 1.0), (5.899, 2.0), (6.35, 5.0)):
        found = true_bit(RoundNose(6.0), [CutGroove(width, depth)])
        assert found.told[0].value == pytest.approx(6.35, abs=2e-3)
    assert true_bit(Straight(3.0), [CutGroove(3.175, 2.0)]).bit == Straight(3.17)


def test_a_groove_on_the_ball_of_a_tapered_bit() -> None:
    # Tip R 0.5 mm, 5 deg a side: 0.917 mm wide at 0.3 mm, on the ball; 1.441 at 3 mm, #29 and 30 [D].
    said = TaperedBall(1.0, 5.0, 6.35)
    for width, depth in ((0.917, 0.3), (1.441, 3.0)):
        assert true_bit(said, [CutGroove(width, depth)]).told[0].value == pytest.approx(0.5, abs=2e-3)


@given(BITS, st.floats(0.05, 0.9), st.floats(0.05, 0.9))
def test_two_grooves_give_any_bit_back(bit: Bit, low: float, high: float) -> None:
    """Cut by a bit, told of another of the same kind: the first comes back, whatever the second."""
    assume(abs(high - low) > 0.1)
    sloping = isinstance(bit, VBit | TaperedBall)
    start = 1.05 * bit.section.tip_depth if sloping else 0.0
    deepest = min(20.0, 0.98 * bit.section.full_depth if sloping or bit.width_follows_depth else 20.0)
    deepest = min(deepest, bit.max_depth or deepest)
    depths = [start + share * (deepest - start) for share in sorted((low, high))]
    assume(depths[1] - depths[0] > 0.6)
    found = told(another(bit), cut(bit, *depths))
    for what, value in true_of(bit).items():
        assert found[what].value == pytest.approx(value, abs=1e-6)


def another(bit: Bit) -> Bit:
    """A bit of the same kind, otherwise marked."""
    match bit:
        case VBit():
            return replace(bit, angle_deg=max(10.0, 0.9 * bit.angle_deg), flat=bit.flat / 2)
        case TaperedBall():
            return replace(bit, taper_deg=0.9 * bit.taper_deg)
    return replace(bit, diameter=0.95 * bit.diameter)  # type: ignore[type-var]


def true_of(bit: Bit) -> dict[str, float]:
    match bit:
        case VBit(tip_radius=0.0):
            return {"tip flat": bit.flat, "angle": bit.angle_deg}
        case VBit():
            return {"tip radius": bit.tip_radius, "angle": bit.angle_deg}
        case TaperedBall():
            return {"tip radius": bit.tip_radius, "taper": bit.taper_deg}
    return {"diameter": bit.diameter}


@given(
    st.floats(30, 120),
    st.floats(0, 1),
    st.lists(st.floats(-1, 1), min_size=4, max_size=4),
)
def test_the_doubt_covers_readings_as_wrong_as_was_said(
    angle: float, flat: float, slips: list[float]
) -> None:
    """Readings off by as much as was said: tip and angle are off by at most about twice their doubt."""
    bit = VBit(angle, 25.4, flat=flat)
    depths = (1.0, 3.0)
    grooves = [
        CutGroove(bit.width_at(d) + slips[n] * WIDTH_OFF, d + slips[n + 2] * DEPTH_OFF)
        for n, d in enumerate(depths)
    ]
    found = told(VBit(60.0, 25.4), grooves)
    assert abs(found["tip flat"].value - flat) <= 2 * found["tip flat"].doubt
    assert abs(found["angle"].value - angle) <= 2.3 * found["angle"].doubt


def test_the_fit_is_numpys() -> None:
    """Three grooves off the line: slope and flat of numpy's polynomial fit."""
    np = pytest.importorskip("numpy")
    grooves = [CutGroove(1.5, 1.0), CutGroove(2.6, 2.0), CutGroove(3.6, 3.0)]
    slope, flat = np.polyfit([g.depth for g in grooves], [g.width for g in grooves], 1)
    found = told(VBit(60.0, 12.7), grooves)
    assert found["tip flat"].value == pytest.approx(flat)
    assert found["angle"].value == pytest.approx(2 * math.degrees(math.atan(slope / 2)))


def test_a_groove_that_was_misread_is_named() -> None:
    grooves = cut(VBit(60.0, 12.7), 0.5, 1.0, 2.0, 3.0)
    assert true_bit(VBit(60.0, 12.7), grooves).misread == ()
    grooves[2] = replace(grooves[2], width=grooves[2].width + 1.0)
    assert true_bit(VBit(60.0, 12.7), grooves).misread == (3,)
    assert "groove 3 does not lie with the others" in " ".join(
        measured_lines(VBit(60.0, 12.7), grooves, true_bit(VBit(60.0, 12.7), grooves), "mm")
    )


@pytest.mark.parametrize(
    ("grooves", "why"),
    [
        ([(2.0, 2.0), (2.2, 2.3)], "0.3 mm .* apart in depth cannot tell the tip from the angle"),
        ([(3.0, 1.0), (2.0, 3.0)], "the deeper groove is no wider"),
        ([(0.5, 1.5), (3.0, 3.0)], r"a tip 2 mm \(5/64 in\) narrower than a sharp one"),
        ([(12.7, 9.0)], "as wide as the whole bit"),
        ([(0.1, 9.0)], "a V bit of .* deg cannot be right"),
    ],
)
def test_grooves_that_no_such_bit_cut(grooves: list[tuple[float, float]], why: str) -> None:
    with pytest.raises(BitError, match=why):
        true_bit(VBit(60.0, 12.7), [CutGroove(*groove) for groove in grooves])


@pytest.mark.parametrize(
    ("said", "grooves"),
    [
        # w = f + 2 d tan a: flat 0.2 mm and 61.9 deg, within what calipers leave open of a sharp 60 deg [D].
        (VBit(60.0, 12.7), [CutGroove(1.4, 1.0), CutGroove(3.8, 3.0)]),
        (VBit(60.0, 12.7, flat=0.3), [CutGroove(2.65, 2.0)]),
        (Straight(3.175), [CutGroove(3.2, 2.0)]),
        (RoundNose(6.35), [CutGroove(6.3, 5.0)]),
        (TaperedBall(0.5, 5.0, 6.35), [CutGroove(1.45, 3.0)]),
    ],
)
def test_a_reading_that_does_not_part_from_the_marking_leaves_the_bit_as_said(
    said: Bit, grooves: list[CutGroove]
) -> None:
    found = true_bit(said, grooves)
    assert found.as_marked
    assert any(one.value != one.marked for one in found.told)  # what was read is told all the same
    assert found.bit == said
    text = "\n".join(measured_lines(said, grooves, found, "mm"))
    assert "kept as said" in text
    assert "to keep the angle as said" not in text
    parted = true_bit(said, [replace(one, width=one.width + 1.0) for one in grooves])
    assert parted.bit != said
    assert not parted.as_marked


def test_says_what_was_believed_and_what_a_second_groove_would_tell() -> None:
    said, grooves = VBit(60.0, 12.7), [CutGroove(2.809, 2.0)]
    text = "\n".join(measured_lines(said, grooves, true_bit(said, grooves), "in"))
    assert "Measured   0.111 in (2.81 mm) wide at 0.079 in (2.00 mm) deep" in text
    assert "the bit as said leaves 0.091 in (2.31 mm)" in text
    assert "Tip flat   0.020 in (0.50 mm), sure to 0.006 in (0.15 mm) either way" in text
    assert "if the angle is 60 deg, as said" in text
    assert "Or angle   70.2 deg, if the tip is sharp, as said" in text
    assert "two grooves at two depths tell both" in text
    data = measured_data(said, grooves, true_bit(said, grooves))
    assert data["true_bit"] == "V 60deg 1/2in flat 0.5mm"
    both = true_bit(said, cut(VBit(58.0, 12.7, flat=0.3), 1.0, 3.0))
    assert both.bit == VBit(58.0, 12.7, flat=0.3)
    text = "\n".join(measured_lines(said, cut(both.bit, 1.0, 3.0), both, "mm"))
    assert "58 deg, sure to 4.6 deg either way: as said (60 deg), as nearly as it can be read" in text
    assert "two grooves" not in text
    assert "to keep the angle as said, give one groove alone" in text
