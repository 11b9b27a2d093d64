"""Which way parts of a line run, against python-bidi (an outside library of the same Unicode algorithm)."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from letters.fonts import sans

from tracer.letters.bidi import levels_of, visual_order

ALPHABET = "abcאבגדلم 123٤٥.,-+%$!:/()[]"


@settings(max_examples=300)
@given(st.text(ALPHABET, min_size=1, max_size=14))
def test_characters_stand_where_an_outside_library_puts_them(line: str) -> None:
    bidi = pytest.importorskip("bidi")
    seen = "".join(line[k] for k in visual_order(levels_of(line)))
    outside = bidi.get_display(line, base_dir=None)
    # Rule L1 takes spaces at the line's end to its edge: they show nothing and are cut off in words.
    assert seen.strip() == outside.strip()


@pytest.mark.parametrize(
    ("line", "seen"),
    [
        ("", ""),
        ("hare 12", "hare 12"),
        ("אבג 12 abc", "abc 12 גבא"),
        ("abc אבג 12", "abc 12 גבא"),
        ("אבג abc-12 דה", "הד abc-12 גבא"),
    ],
)
def test_mixed_lines(line: str, seen: str) -> None:
    assert "".join(line[k] for k in visual_order(levels_of(line))) == seen


def test_glyphs_come_from_the_left_as_seen() -> None:
    glyphs = sans().shape("ab אבג 12")
    assert [glyph.cluster for glyph in glyphs] == [0, 1, 2, 7, 8, 6, 5, 4, 3]
