"""Names of letters outside the pages' font. Names: the Unicode Standard's character names, without LETTER."""

from dataclasses import replace
from pathlib import Path

import pytest
from sheets import pages
from sheets.words import word_plan

from tracer.sheets.placement_sheet import write_placement
from tracer.sheets.said_names import letter_name, words_said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("e\u0301", "é"),
        ("a\u0308", "ä"),
        ("ß", "ß"),
        ("A", "A"),
        ("\u05e9", "\u05e9"),
        ("\u0416", "\u0416"),
        ("\u0644\u0627", "\u0644\u0627"),
        ("\u05e9\u05b0", "\u05e9"),
        ("\u0915", "ka"),
        ("\u0916\u0939", "kha + ha"),
        ("\U00010400", "Long i"),
        ("\u6c34", "letter 7"),
        ("", "letter 7"),
    ],
)
def test_letters_are_called_as_they_look_or_by_their_name(text: str, said: str) -> None:
    assert letter_name(text, 7) == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("\u05e9\u05dc\u05d5\u05dd", "\u05e9\u05dc\u05d5\u05dd"),
        ("\u0915\u0916\u0917\u0918", "words, 4 letters"),
        ("\u0915", "words, 1 letter"),
        ("\U0001f989\U0001f3a8 owl", "?? owl"),
        ("Cafe\u0301?", "Café?"),
        ("MOOR", "MOOR"),
    ],
)
def test_words_that_cannot_be_written_are_counted(words: str, said: str) -> None:
    assert words_said(words) == said


def test_pages_tell_words_of_another_script_by_number_and_name(tmp_path: Path) -> None:
    plan = word_plan("EMMA")
    piece = plan.layout.pieces[0]
    assert piece.drawing.marks is not None
    letters = tuple(replace(one, text="\u0915") for one in piece.drawing.marks.letters)
    lettering = replace(piece.drawing.marks.lettering, words="\u0915" * 4)
    marks = replace(piece.drawing.marks, letters=letters, lettering=lettering)
    layout = replace(plan.layout, pieces=(replace(piece, drawing=replace(piece.drawing, marks=marks)),))
    other = replace(plan, layout=layout, job=replace(plan.job, name="\u0915" * 4))
    write_placement(other, tmp_path / "placement.pdf")
    said = " ".join(pages.texts(tmp_path / "placement.pdf"))
    assert "Line 1: words, 4 letters" in said
    assert "words, 4 letters: placing the letters" in said
    assert "ka" in said
    assert "??" not in said
