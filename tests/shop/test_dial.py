"""A dial read both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import LengthError
from tracer.shop.dial import comes_out, parse_dial

PERCENTS = st.floats(2, 98)


@pytest.mark.parametrize("text", ["60", "60%", " 60 % ", "60 per cent", "60.0", "60,0"])
def test_is_read(text: str) -> None:
    dial = parse_dial(text)
    assert (dial.to, dial.by) == pytest.approx((0.6, 0.4))


@pytest.mark.parametrize("text", ["", "0", "1", "99", "100", "sixty", "-60", "1:2", "60 mm", "٦٠"])
def test_is_refused(text: str) -> None:
    with pytest.raises(LengthError, match=r"^--dial “.*” is no per cent from 2 to 98: say the number"):
        parse_dial(text, what="--dial")


@given(PERCENTS, st.floats(1, 2000))
def test_the_two_muddles_undo_each_other(percent: float, wanted: float) -> None:
    dial = parse_dial(f"{percent:.6f}")
    assert dial.to + dial.by == pytest.approx(1)
    wrong = comes_out(wanted, printed_for=dial.to, true=dial.by)
    assert comes_out(wrong, printed_for=dial.by, true=dial.to) == pytest.approx(wanted)
    assert comes_out(wanted, printed_for=dial.to, true=dial.to) == pytest.approx(wanted)
