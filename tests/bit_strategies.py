"""Bits of every kind, within what a hand router takes."""

from hypothesis import strategies as st

from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

_DIAMETERS = st.floats(2, 80)
_LENGTHS = st.one_of(st.none(), st.floats(1, 80))
_PARTS = st.floats(0.01, 0.9)


@st.composite
def _v_bits(draw: st.DrawFn) -> Bit:
    diameter = draw(_DIAMETERS)
    tip = draw(_PARTS) * diameter
    tips = {"sharp": {}, "flat": {"flat": tip}, "worn": {"tip_radius": tip / 2}}
    kind = draw(st.sampled_from(sorted(tips)))
    return VBit(draw(st.floats(10, 170)), diameter, **tips[kind], cutting_length=draw(_LENGTHS))


@st.composite
def _balls(draw: st.DrawFn) -> Bit:
    diameter = draw(_DIAMETERS)
    tip_radius = draw(_PARTS) * diameter / 2
    return TaperedBall(tip_radius, draw(st.floats(0.5, 45)), diameter, draw(_LENGTHS))


V_BITS = _v_bits()
ROUND_NOSES = st.builds(RoundNose, _DIAMETERS, _LENGTHS)
STRAIGHTS = st.builds(Straight, _DIAMETERS, _LENGTHS)
FOLLOWING = st.one_of(V_BITS, _balls(), ROUND_NOSES)  # the width follows the depth
BITS = st.one_of(FOLLOWING, STRAIGHTS)
