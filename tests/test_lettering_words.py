from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import TracerError
from tracer.lettering import Lettering
from tracer.lettering_words import LETTERING_KEYS, MOST_CHARACTERS, font_beside, lettering_of
from tracer.shop.said import Said


def said(**values: object) -> dict[str, Said]:
    return {
        key.replace("_", "-"): Said(value, f"my.toml: {key.replace('_', '-')}", "from the job file", "mm")
        for key, value in values.items()
    }


def test_words_alone_take_the_defaults() -> None:
    assert lettering_of(said(words="EMMA")) == Lettering("EMMA")
    assert lettering_of({}) is None


def test_every_setting_is_read() -> None:
    found = lettering_of(
        said(
            words=["EMMA", "& TOM"],
            font="oak.ttf",
            instance="Bold",
            cap_height="2 in",
            cut="outline",
            raised=True,
            align="center",
            tracking=0.05,
            pitch="1.5",
            arc="-300 mm",
        )
    )
    assert found == Lettering(
        "EMMA\n& TOM", "oak.ttf", "Bold", 50.8, "outline", True, "centre", 0.05, 1.5, -300.0
    )
    assert set(LETTERING_KEYS) == {
        "words", "font", "instance", "cap-height", "cut", "raised", "align", "tracking", "pitch", "arc"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("  EMMA ", "EMMA"),
        ("\nEMMA\n\n  TOM\r\n", "EMMA\n\nTOM"),
        (["EMMA", "TOM"], "EMMA\nTOM"),
        ("a\tb", "a b"),
        ('</script><b>"&', '</script><b>"&'),
        ("שלום 🦉 \u200fx", "שלום 🦉 \u200fx"),
    ],
)
def test_lines_of_words(value: Any, words: str) -> None:
    found = lettering_of(said(words=value))
    assert found is not None
    assert found.words == words


@pytest.mark.parametrize(
    ("settings", "why"),
    [
        ({"words": "  "}, r"my.toml: words has nothing to cut in it: say what is to be carved, as \"EMMA\""),
        ({"words": []}, "words has nothing to cut in it"),
        ({"words": 7}, "words is 7; words are expected"),
        ({"words": ["a", 7]}, "words is a list; words are expected, as .* or a list of lines"),
        (
            {"words": "a" * 10_000},
            f"my.toml: words has 10000 characters, and at most {MOST_CHARACTERS} are set",
        ),
        ({"words": "a\x07"}, r"the character U\+0007 in it is no letter"),
        ({"words": "a\ud800"}, r"the character U\+D800 in it is no letter"),
        ({"cap_height": "40 mm"}, "my.toml: cap-height is about words, and this piece has none"),
        ({"words": "A", "cap_height": "0.5 mm"}, "cap-height is “0.5 mm”; 1 mm to 5 m is expected"),
        ({"words": "A", "cap_height": "0 mm"}, "cap-height “0 mm”"),
        ({"words": "A", "font": " "}, "font is “”; words are expected, as"),
        ({"words": "A", "cut": "edge"}, r"cut is “edge”; middle \(.*outline \(.*cleared \("),
        ({"words": "A", "raised": "perhaps"}, "raised is “perhaps”; yes or no"),
        (
            {"words": "A", "raised": "yes"},
            "raised: letters that stand .* say the cut outline or cleared",
        ),
        ({"words": "A", "align": "middle"}, "align is “middle”; left, centre or right is expected"),
        ({"words": "A", "tracking": "6"}, "tracking is “6”; -0.5 to 5 is expected"),
        ({"words": "A", "pitch": 0.1}, "pitch is 0.1; 0.5 to 20 is expected"),
        ({"words": "A", "arc": "300 mm"}, "arc is “300 mm”; an arc needs the capitals' height with it"),
        ({"words": "A", "cap_height": 9, "arc": "-1 mm"}, "arc is “-1 mm”; a radius of 5 mm to 100 m"),
        ({"words": "A", "cap_height": 9, "arc": True}, "arc is true; a length with its unit"),
        ({"words": "A", "cap_height": 9, "arc": "--9 mm"}, "arc “-9 mm” is negative"),
    ],
)
def test_settings_that_cannot_be(settings: dict[str, object], why: str) -> None:
    with pytest.raises(TracerError, match=why):
        lettering_of(said(**settings))


def test_an_arc_is_a_hill_or_with_a_minus_a_bowl() -> None:
    for value, radius in [("300 mm", 300.0), (-12, -12.0), ("− 1 ft", -304.8), (12.5, 12.5)]:
        found = lettering_of(said(words="A", cap_height=9, arc=value))
        assert found is not None
        assert found.arc == pytest.approx(radius)


@pytest.mark.parametrize(
    ("font", "found"),
    [
        ("plain", "plain"),
        ("round single", "round single"),
        ("oak.ttf", "jobs/oak.ttf"),
        ("fonts/oak", "jobs/fonts/oak"),
        ("/usr/oak.otf", "/usr/oak.otf"),
    ],
)
def test_a_font_file_is_found_from_the_job_files_folder(font: str, found: str) -> None:
    one = said(font=font)["font"]
    assert font_beside(one, Path("jobs")).value == str(Path(found))


@given(
    words=st.text(max_size=300),
    arc=st.one_of(st.text(max_size=9), st.integers(), st.floats()),
    tracking=st.one_of(st.text(max_size=5), st.floats(), st.booleans()),
)
def test_anything_is_read_or_refused(words: str, arc: object, tracking: object) -> None:
    with suppress(TracerError):
        found = lettering_of(said(words=words, arc=arc, tracking=tracking, cap_height="9 mm"))
        assert found is not None
        assert found.words.strip()
        assert "\r" not in found.words
        assert len(found.called) <= 40
        assert found.called.isprintable()
