"""Decisions about single strokes as they are said: what is read, and every slip named."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.act_words import acts_of
from tracer.acts import Acts, Join
from tracer.errors import JobError
from tracer.settle import resolve
from tracer.shop.said import Said


def acts(text: str, stops: int = 3) -> Acts:
    """What a table [strokes] says."""
    table = tomllib.loads(text)
    said = {key: Said(value, f"my.toml: strokes.{key}", "from the job file") for key, value in table.items()}
    return acts_of(said, stops=stops)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("[3, 7]", (3, 7)),
        ("[]", ()),
        ("5", (5,)),
        ("'3, 7,10-12'", (3, 7, 10, 11, 12)),
        ("[3, '5-6', '9 to 10', 3]", (3, 5, 6, 9, 10)),
    ],
)
def test_numbers_and_ranges(text: str, numbers: tuple[int, ...]) -> None:
    assert acts(f"leave-out = {text}").leave_out == numbers
    assert acts(f"keep = {text}").keep == numbers


def test_on_the_command_line() -> None:
    job = resolve({"leave_out": "3,7", "keep": "12"})
    assert job.acts == Acts(leave_out=(3, 7), keep=(12,))
    assert job.origin("leave-out") == "said on the command line"


def test_joins_bundles_stops_and_sides() -> None:
    assert acts("join = [['3 end', '7 start']]").join == (Join(3, "end", 7, "start"),)
    assert acts("thin-out = ['14-17', [20, 22, 24]]").thin_out == ((14, 15, 16, 17), (20, 22, 24))
    assert acts("stop = {8 = 2, 10-11 = 3}").stops == {8: 2, 10: 3, 11: 3}
    assert acts("[side]\n5 = 'outside'\n6 = 'on'").sides == {5: "outside", 6: "on"}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("leave-out = ['x']", r"strokes.leave-out is “x”; stroke numbers are expected, as \[3, 7"),
        ("leave-out = [2.5]", r"strokes.leave-out is 2.5; stroke numbers"),
        ("leave-out = [true]", r"is true; stroke numbers"),
        ("leave-out = {a = 1}", r"is a table; stroke numbers"),
        ("keep = ''", r"strokes.keep is “”; stroke numbers"),
        ("keep = [0]", r"is 0; numbers from 1 to 99999"),
        ("keep = ['9-3']", r"is “9-3”; .* the smaller of a range first"),
        ("keep = ['1-999999999']", r"is “1-999999999”; numbers from 1 to 99999"),
        ("leave-out = [3, 12]\nkeep = ['10-14']", r"stroke 12 stands in both .*leave-out and .*keep"),
        ("leave-out = [7]\njoin = [['3 end', '7 start']]", r"stroke 7 stands in both .*leave-out and .*join"),
        ("join = ['3 end']", r"join is “3 end”; two ends are expected, as \["),
        ("join = '3 end'", r"join is “3 end”; a list of pairs is expected"),
        ("join = [['3 end', '7']]", r"join is “7”; a stroke and its end are expected, as"),
        ("join = [['3 end', '3 end']]", r"has the end of stroke 3 twice: join each end once"),
        ("join = [['3 end', '4 end'], ['3 end', '5 end']]", r"has the end of stroke 3 twice"),
        ("thin-out = [14, 15]", r"thin-out is a list; bundles of strokes are expected"),
        ("thin-out = [[14]]", r"has a bundle of 1: at least two strokes"),
        ("thin-out = [[14, 15], ['15-16']]", r"has stroke 15 in two bundles"),
        ("stop = {8 = 4}", r"strokes.stop.8 is 4; the job uses 3 depth stops: say one of these, or more"),
        ("stop = {8 = 1.5}", r"stop.8 is 1.5; the whole number of a depth stop"),
        ("stop = {8 = 0}", r"stop.8 is 0; the whole number of a depth stop"),
        ("stop = {x = 1}", r"strokes.stop is “x”; a table by stroke number is expected, as \{8 = 2\}"),
        ("stop = {8 = 1, 7-9 = 2}", r"speaks of stroke 8 twice"),
        ("stop = [8]", r"stop is a list; a table by stroke number"),
        ("side = {5 = 'left'}", r"side.5 is “left”; on, inside or outside"),
        ("side = 5", r"strokes.side is 5; a table by stroke number is expected, as \{5"),
    ],
)
def test_every_slip_is_named(text: str, why: str) -> None:
    with pytest.raises(JobError, match=why):
        acts(text)


def test_a_stop_beyond_the_only_one() -> None:
    with pytest.raises(JobError, match=r"uses 1 depth stop: say one of these, or more with rules.stops"):
        acts("stop = {8 = 2}", stops=1)


@given(st.sets(st.integers(1, 99_999), max_size=6), st.sets(st.integers(1, 99_999), max_size=6))
def test_two_lists_go_together_just_where_they_share_nothing(leave_out: set[int], keep: set[int]) -> None:
    text = f"leave-out = {sorted(leave_out)}\nkeep = {sorted(keep)}"
    if leave_out & keep:
        with pytest.raises(JobError, match=f"stroke {min(leave_out & keep)} stands in both"):
            acts(text)
    else:
        assert acts(text) == Acts(leave_out=tuple(sorted(leave_out)), keep=tuple(sorted(keep)))
