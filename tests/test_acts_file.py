"""Decisions written into the user's job file: only these, whole or not at all."""

import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.act_words import acts_text
from tracer.acts import Acts, Join
from tracer.errors import JobError, OutputError
from tracer.job_file import new_job_text, write_acts
from tracer.settle import resolve

OURS = Acts(leave_out=(3, 7, 8, 9), thin_out=((14, 15, 16), (20, 22)))
TEXT = """\
# My sign
name = "Oak sign"   # for the porch

[strokes]   # what I decided
keep = [12]   # the long whisker
leave_out = [3]   # smudge
"""


def written(path: Path, text: str, acts: Acts = OURS) -> str:
    path.write_bytes(text.encode("utf-8"))
    write_acts(path, acts)
    return path.read_bytes().decode("utf-8")


def test_only_what_changes_is_written(tmp_path: Path) -> None:
    text = written(tmp_path / "my.toml", TEXT)
    head = TEXT.replace("leave_out = [3]   # smudge", 'leave_out = [3, "7-9"]   # smudge')
    assert text.startswith(head)
    assert text.removeprefix(head).strip() == 'thin-out = [["14-16"], [20, 22]]'
    job = resolve({}, job_file=tmp_path / "my.toml")
    assert job.acts == Acts(leave_out=(3, 7, 8, 9), keep=(12,), thin_out=OURS.thin_out)


def test_written_twice_is_written_once(tmp_path: Path) -> None:
    once = written(tmp_path / "my.toml", TEXT)
    assert written(tmp_path / "my.toml", once) == once


@pytest.mark.parametrize(
    "text",
    [
        "",
        "# nothing\n",
        'name = "x"',
        "[[bits]]\nname = 'a'\nspec = 'V 60deg 1/2in'\n",
        "[strokes]\n",
        "[strokes]\nside = {5 = 'inside'}\n[rules]\nstops = 2\n",
        "[strokes.side]\n5 = 'inside'\n\n[rules]\nstops = 2\n",
        "strokes = {keep = [12]}\n",
        "strokes.keep = [12]\nstrokes.thin_out = [['1-3']]\n",
        "\ufeff[strokes]\r\nleave-out = [\r\n  3, # smudge\r\n]\r\n[rules]\r\nstops = 1\r\n",
    ],
)
def test_whatever_the_file_looks_like(tmp_path: Path, text: str) -> None:
    path = tmp_path / "my.toml"
    path.write_bytes(text.encode("utf-8"))
    before = resolve({"date": "2026-11-01"}, job_file=path).acts
    after = written(path, text)
    found = resolve({"date": "2026-11-01"}, job_file=path).acts
    assert (found.leave_out, found.thin_out) == (OURS.leave_out, OURS.thin_out)
    assert (found.keep, found.sides) == (before.keep, before.sides)
    assert after.startswith("\ufeff") == text.startswith("\ufeff")
    for line in text.splitlines():
        if not any(word in line for word in ("leave", "thin", "strokes = {")):
            assert line in after.splitlines()
    assert ("\n" in after.replace("\r\n", "")) != ("\r\n" in text)


def test_a_new_job_file_with_decisions(tmp_path: Path) -> None:
    text = new_job_text(datetime.date(2026, 11, 1))
    assert written(tmp_path / "my.toml", text).startswith(text)


def test_what_is_no_job_file_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text("nmae = 'x'\n")
    with pytest.raises(JobError, match="“nmae” is not known"):
        write_acts(path, OURS)
    assert path.read_text() == "nmae = 'x'\n"
    with pytest.raises(JobError, match=r"gone.toml is not there"):
        write_acts(tmp_path / "gone.toml", OURS)


def test_a_full_disk_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "my.toml"
    path.write_text(TEXT)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tracer.shop.toml_file.os.fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        write_acts(path, OURS)
    assert path.read_text() == TEXT
    assert [one.name for one in tmp_path.iterdir()] == ["my.toml"]


numbers = st.sets(st.integers(1, 60), max_size=12)


@given(numbers, numbers, st.dictionaries(st.integers(1, 60), st.sampled_from([1, 2]), max_size=4))
def test_the_table_to_paste_says_the_same(
    tmp_path_factory: pytest.TempPathFactory, out: set[int], keep: set[int], stops: dict[int, int]
) -> None:
    acts = Acts(
        leave_out=tuple(sorted(out)),
        keep=tuple(sorted(keep - out)),
        join=(Join(61, "end", 62, "start"),),
        thin_out=((63, 64, 65), (66, 68)),
        stops=stops,
        sides={70: "inside"},
    )
    path = tmp_path_factory.getbasetemp() / "paste.toml"
    path.write_text(acts_text(acts), encoding="utf-8")
    assert resolve({"stops": "2"}, job_file=path).acts == acts


def test_three_numbers_that_follow_on_are_a_range() -> None:
    assert acts_text(Acts(leave_out=(7, 1, 2, 5, 6))) == '[strokes]\nleave-out = [1, 2, "5-7"]\n'
