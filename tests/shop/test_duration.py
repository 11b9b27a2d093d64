import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.shop.duration import format_duration, parse_duration


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("48 min", 2880),
        ("48min", 2880),
        ("48 Minutes", 2880),
        ("1 h 20 min", 4800),
        ("1h20m", 4800),
        ("1.5 h", 5400),
        ("1,5 hours", 5400),
        ("90 s", 90),
        ("1 h 2 min 3 sec", 3723),
        ("2 min. 30 s", 150),
    ],
)
def test_is_read(text: str, seconds: float) -> None:
    assert parse_duration(text) == pytest.approx(seconds)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "48",
        "1:20",
        "20 min 1 h",
        "1 h 20",
        "5 min 3 min",
        "an hour",
        "-5 min",
        "3 weeks",
        "5 mm",
        "1e3 s",
    ],
)
def test_is_refused(text: str) -> None:
    with pytest.raises(JobError, match=r'--took .* cannot be read: write it like "48 min" or "1 h 20 min"'):
        parse_duration(text, what="--took")


@pytest.mark.parametrize("text", ["0 min", "9999 h"])
def test_cannot_be_right(text: str) -> None:
    with pytest.raises(JobError, match="cannot be right"):
        parse_duration(text)


@given(st.floats(1, 360_000))
def test_words_read_back(seconds: float) -> None:
    """To half a second below ten minutes, to half a minute above."""
    assert parse_duration(format_duration(seconds)) == pytest.approx(
        seconds, abs=0.5 if seconds < 600 else 30
    )


@pytest.mark.parametrize(
    ("seconds", "words"), [(90, "90 s"), (2880, "48 min"), (4800, "1 h 20 min"), (7200, "2 h")]
)
def test_words(seconds: float, words: str) -> None:
    assert format_duration(seconds) == words
