import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.shop.printer import Printer, doubts

BARS = st.floats(80.0, 120.0)


@given(BARS, BARS)
def test_correction_makes_the_bar_true(across: float, down: float) -> None:
    printer = Printer(across, down, measured=True)
    assert [bar * by for bar, by in zip((across, down), printer.correction, strict=True)] == pytest.approx(
        [100] * 2
    )


@pytest.mark.parametrize(
    ("bars", "words"),
    [
        ((100.0, 100.0), []),
        ((99.2, 99.2), []),
        ((99.2, 99.5), []),
        ((99.2, 99.6), ["slipping"]),
        ((94.07, 94.07), ["fit to page"]),
        ((97.27, 99.0), ["fit to page", "slipping"]),
        (
            (95.0, 105.0),
            ["95 mm along the sheet's short edge and 105 mm along its long edge, off", "slipping"],
        ),
        (
            (100.0, 106.0),
            ["fit to page", "100 mm along the sheet's short edge and 106 mm along its long edge:"],
        ),
    ],
)
def test_doubts(bars: tuple[float, float], words: list[str]) -> None:
    found = doubts(Printer(*bars, measured=True))
    assert len(found) == len(words)
    assert all(word in doubt for word, doubt in zip(words, found, strict=True))
