"""The answers about sizes in words: what holds, what never does, the table's bars, the choice."""

from dataclasses import replace
from itertools import takewhile
from xml.etree import ElementTree

import pytest

from tracer.job import Job
from tracer.lengths import Units
from tracer.model.sizes import Choice, Least, Losses, SizeRow, Sizes
from tracer.sheets.size_chart import chart
from tracer.sheets.size_words import size_lines, size_record
from tracer.shop.bits import VBit

NOTHING = Losses(0, 0, 0, 0)


def made(**more: object) -> Sizes:
    job = Job(name="hare", units="mm")
    rows = (
        SizeRow(100.0, 50.0, Losses(3, 2, 10, 1, all_thin=True)),
        SizeRow(200.0, 100.0, Losses(0, 0, 36, 0)),
        SizeRow(400.0, 200.0, NOTHING),
    )
    sizes = Sizes(
        job=job,
        width=200.0,
        height=100.0,
        side="wide",
        strokes=12,
        rows=rows,
        nothing_thin=Least(150.2, 151.0, (7,)),
        nothing_merged=Least(120.5, 121.0, (3, 9)),
        all_holds=Least(260.3, 261.0, (3, 9)),
    )
    return replace(sizes, **more)  # type: ignore[arg-type]


def answer(sizes: Sizes, name: str) -> str:
    """The line that begins so, with those that go on with it."""
    lines = size_lines(sizes)
    first = next(k for k, line in enumerate(lines) if line.strip().startswith(name))
    more = takewhile(lambda line: line.startswith(" " * 27), lines[first + 1 :])
    return " ".join([lines[first], *(line.strip() for line in more)])


def test_the_greatest_of_the_three_is_that_from_which_nothing_is_lost() -> None:
    sizes = made()
    last = "(strokes 3 and 9 to the last)"
    assert f"from 261 mm (10 9/32 in) wide on {last}" in answer(sizes, "Nothing is lost")
    assert "from 151 mm" in answer(sizes, "no stroke too thin")
    assert "(stroke 7 to the last)" in answer(sizes, "no stroke too thin")


@pytest.mark.parametrize(
    ("least", "words"),
    [
        (Least(None, None, (3, 9), 4, 900.0), "4 places still fail there, the last up to about 900 mm"),
        (Least(None, None, (3, 9), 1, 9e5), "1 place still fails there; strokes 3 and 9 all but touch"),
        (Least(None, None, (3, 9), 1, None), "strokes 3 and 9 all but touch in the drawing"),
        (Least(0.0, 0.0), "at any size"),
        (Least(12.5, 13.0), "at any size, from 13 mm (33/64 in) wide on"),
    ],
)
def test_what_never_holds_and_what_always_does(least: Least, words: str) -> None:
    sizes = made(all_holds=least)
    line = answer(sizes, "all wood between holds")
    assert words in line
    assert ("at no size up to 400 mm" in line) == (least.size is None)
    assert ("at no size" in answer(sizes, "Nothing is lost")) == (least.size is None)
    assert any("tracer check" in line for line in size_lines(sizes)) == (least.size is None)


def test_the_bars_are_as_long_as_the_losses() -> None:
    lines = size_lines(made(largest=400.0))
    table = lines[lines.index(next(line for line in lines if "too thin  run together" in line)) + 1 :][:3]
    assert [line[:2] for line in table] == [" *", "> ", "# "]
    assert [line.split()[-1] for line in table] == ["tttrrwwwwwwwwwwb", "w" * 36, "0"]


def test_the_largest_on_the_board_is_never_said_too_large() -> None:
    line = answer(made(largest=123.49), "Largest on this board")
    assert "123.4 mm" in line
    assert "less than you ask for" in line


@pytest.mark.parametrize("units", ["mm", "in"])
def test_lengths_come_in_both_units(units: Units) -> None:
    sizes = made(job=Job(name="hare", units=units))
    first = {"mm": "200 mm (7 7/8 in) wide", "in": "7 7/8 in (200 mm) wide"}[units]
    assert first in size_lines(sizes)[0]


def test_the_choice_that_holds_most_is_said_with_what_to_type() -> None:
    own, fine = VBit(60.0, 12.7), VBit(30.0, 6.35)
    depth = made().job.depth
    choices = (
        Choice("", own, depth, own.width_at(depth), 8, 0.651, Losses(4, 1, 2, 0)),
        Choice("fine", fine, 1.0, fine.width_at(1.0), 12, 1.0, Losses(0, 0, 1, 0), best=True),
    )
    lines = size_lines(made(choices=choices))
    assert any(line.startswith("> fine") and "100 %" in line for line in lines)
    assert any(" 65 %" in line for line in lines)
    first = next(k for k, line in enumerate(lines) if line.startswith("> holds most"))
    said = " ".join(line.strip() for line in lines[first : first + 2])
    assert "12 of 12 strokes" in said
    assert "the wood fails in 1 place; as you ask: 8, and the wood fails in 3 places" in said
    assert 'Ask for it with --bit "fine" --depth "1 mm".' in lines


def test_the_record_holds_what_the_words_say() -> None:
    record = size_record(made())
    assert record["nothing_lost"] == record["all_wood_holds"]
    assert record["sizes"][1] == {  # type: ignore[index]
        "width_mm": 200.0,
        "height_mm": 100.0,
        "strokes_too_thin": 0,
        "grooves_run_together": 0,
        "wood_too_thin": 36,
        "standing_wood_breaks_out": 0,
        "typical_line_too_thin": False,
    }


@pytest.mark.parametrize(
    ("largest", "names"),
    [
        (None, ["asked for"]),
        (200.0, ["asked for, the largest on the board"]),
        (300.0, ["asked for", "largest on the board"]),
        (900.0, ["asked for"]),
    ],
)
def test_the_chart_marks_the_size_asked_for_and_what_the_board_takes(
    largest: float | None, names: list[str]
) -> None:
    texts = [text.text or "" for text in ElementTree.fromstring(chart(made(largest=largest))).iter()]
    assert [text for text in texts if "asked" in text or "board" in text] == names


def test_the_chart_escapes_the_name_and_bears_a_row_alone() -> None:
    sizes = made(job=Job(name='<a & "b">', units="mm"))
    drawn = chart(sizes)
    assert "&lt;a &amp; " in drawn
    alone = chart(replace(sizes, rows=sizes.rows[1:2]))
    assert "nan" not in alone


def test_words_are_told_by_their_capitals_too() -> None:
    sizes = made(capitals=40.0, largest=400.0)
    assert size_lines(sizes)[0].startswith("hare, 200 mm (7 7/8 in) wide, 100 mm")
    assert ", capitals 40 mm (1 37/64 in) high: 12 strokes." in size_lines(sizes)[0]
    # 261 of 200 mm wide, and 400 of them on the board: capitals grow alike.
    assert "wide on, capitals 52.2 mm (2 1/16 in) high (strokes 3" in answer(sizes, "Nothing is lost")
    assert "wide, capitals 80 mm (3 5/32 in) high, inside" in answer(sizes, "Largest on this board")
    assert "capitals" not in "".join(size_lines(made()))
    assert (size_record(sizes)["capitals_mm"], size_record(made())["capitals_mm"]) == (40.0, None)
