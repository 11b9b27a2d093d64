"""Decisions about single strokes, as they are said in a job file or on the command line."""

import json
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeVar

from tracer.acts import Acts, End, Join, Side
from tracer.errors import JobError
from tracer.shop.said import Said

T = TypeVar("T")

ACT_KEYS = ("leave-out", "keep", "join", "thin-out", "stop", "side")
"""The decisions, as a job file's table [strokes] has them."""

HIGHEST = 99_999
"""Stroke number beyond which a slip of the key is likelier than a drawing (our own limit)."""

_ONE = re.compile(r"([0-9]{1,9})(?:\s*(?:-|–|to)\s*([0-9]{1,9}))?")
_END = re.compile(r"(?:stroke\s+)?([0-9]{1,9})\s+(start|end)", re.IGNORECASE)
_NUMBERS = 'stroke numbers are expected, as [3, 7, "10-12"]'
_JOIN = 'two ends are expected, as ["3 end", "7 start"]'
_BUNDLES = 'bundles of strokes are expected, as [["14-17"], [20, 22, 24]]'


def acts_of(said: Mapping[str, Said], *, stops: int) -> Acts:
    """Read the decisions among the settings of a job that uses so many depth `stops`.

    Raises
    ------
    JobError
        Where one cannot be read, or two contradict each other. Whether there are such strokes
        is known only with the drawing.
    """
    acts = Acts(
        leave_out=_take(said, "leave-out", numbers_in),
        keep=_take(said, "keep", numbers_in),
        join=_take(said, "join", _joins),
        thin_out=_take(said, "thin-out", _bundles),
        stops=dict(_take(said, "stop", lambda one: _by_stroke(one, "{8 = 2}", partial(_stop, stops=stops)))),
        sides=dict(_take(said, "side", lambda one: _by_stroke(one, '{5 = "inside"}', _side))),
    )
    _check(acts, said)
    return acts


def acts_table(acts: Acts) -> dict[str, object]:
    """Return what a table [strokes] says of these decisions; keys without any are left out."""
    table: dict[str, object] = {
        "leave-out": listed(acts.leave_out),
        "keep": listed(acts.keep),
        "join": [[f"{join.a} {join.a_end}", f"{join.b} {join.b_end}"] for join in acts.join],
        "thin-out": listed(acts.thin_out),
        "stop": {str(number): stop for number, stop in acts.stops.items()},
        "side": {str(number): side for number, side in acts.sides.items()},
    }
    return {key: value for key, value in table.items() if value}


def acts_text(acts: Acts) -> str:
    """Return these decisions as a table [strokes], to be put into a job file."""
    lines = ["[strokes]"]
    for key, value in acts_table(acts).items():
        if isinstance(value, dict):
            inside = ", ".join(f"{number} = {json.dumps(one)}" for number, one in value.items())
            lines.append(f"{key} = {{{inside}}}")
        else:
            lines.append(f"{key} = {json.dumps(value)}")
    return "\n".join(lines) + "\n"


def listed(numbers: Sequence[int | tuple[int, ...]]) -> list[object]:
    """Return stroke numbers in order, three and more that follow on as "10-12"; of bundles each a list."""
    runs: list[list[int]] = []
    for number in sorted(one for one in numbers if isinstance(one, int)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    found: list[object] = [listed(one) for one in numbers if not isinstance(one, int)]
    for run in runs:
        found += [f"{run[0]}-{run[-1]}"] if len(run) > 2 else run
    return found


def _take(said: Mapping[str, Said], key: str, reader: Callable[[Said], tuple[T, ...]]) -> tuple[T, ...]:
    return reader(said[key]) if key in said else ()


def numbers_in(said: Said, expected: str = _NUMBERS) -> tuple[int, ...]:
    """Numbers and ranges in a list, or in one text with commas; `expected` says what in an error.

    Raises
    ------
    JobError
        Where there is something else.
    """
    return tuple(dict.fromkeys(n for one in _each(said, expected) for n in _range(one, expected)))


def _each(said: Said, expected: str) -> Iterator[Said]:
    """What stands in a list, or between the commas of a text."""
    match said.value:
        case bool():
            raise said.refuse(expected)
        case list():
            values = said.value
        case str():
            values = said.value.split(",")
        case int():
            values = [said.value]
        case _:
            raise said.refuse(expected)
    yield from (replace(said, value=value) for value in values)


def _range(said: Said, expected: str) -> range:
    """One number, or all from one to another."""
    text = said.value.strip() if isinstance(said.value, str) else str(said.value)
    found = None if isinstance(said.value, bool) else _ONE.fullmatch(text)
    if not found:
        raise said.refuse(expected)
    first, last = int(found[1]), int(found[2] or found[1])
    if not 1 <= first <= last <= HIGHEST:
        raise said.refuse(f"numbers from 1 to {HIGHEST} are expected, the smaller of a range first")
    return range(first, last + 1)


def _joins(said: Said) -> tuple[Join, ...]:
    if not isinstance(said.value, list):
        raise said.refuse('a list of pairs is expected, as [["3 end", "7 start"]]')
    joins = tuple(_join(replace(said, value=pair)) for pair in said.value)
    taken: set[tuple[int, End]] = set()
    for join in joins:
        for end in ((join.a, join.a_end), (join.b, join.b_end)):
            if end in taken:
                raise JobError(f"{said.where} has the {end[1]} of stroke {end[0]} twice: join each end once")
            taken.add(end)
    return joins


def _join(said: Said) -> Join:
    pair = said.value
    if not (isinstance(pair, list) and len(pair) == 2):
        raise said.refuse(_JOIN)
    (a, a_end), (b, b_end) = (_end(replace(said, value=one)) for one in pair)
    return Join(a, a_end, b, b_end)


def _end(said: Said) -> tuple[int, End]:
    found = _END.fullmatch(said.value.strip()) if isinstance(said.value, str) else None
    if not found:
        raise said.refuse('a stroke and its end are expected, as "3 end" or "7 start"')
    stroke = _range(replace(said, value=found[1]), _NUMBERS)[0]
    return stroke, "start" if found[2].casefold() == "start" else "end"


def _bundles(said: Said) -> tuple[tuple[int, ...], ...]:
    if not isinstance(said.value, list):
        raise said.refuse(_BUNDLES)
    bundles = tuple(numbers_in(replace(said, value=one)) for one in said.value if isinstance(one, list | str))
    if len(bundles) < len(said.value):
        raise said.refuse(_BUNDLES)
    for bundle in bundles:
        if len(bundle) < 2:
            raise JobError(f"{said.where} has a bundle of {len(bundle)}: at least two strokes make one")
    everything = [stroke for bundle in bundles for stroke in bundle]
    for stroke in everything:
        if everything.count(stroke) > 1:
            raise JobError(f"{said.where} has stroke {stroke} in two bundles: leave it in one")
    return bundles


def _by_stroke(said: Said, example: str, reader: Callable[[Said], T]) -> tuple[tuple[int, T], ...]:
    """What a table says of each stroke; its keys are stroke numbers and ranges."""
    expected = f"a table by stroke number is expected, as {example}"
    if not isinstance(said.value, dict):
        raise said.refuse(expected)
    known: dict[int, T] = {}
    for key, value in said.value.items():
        read = reader(replace(said, value=value, where=f"{said.where}.{key}"))
        for stroke in _range(replace(said, value=key), expected):
            if stroke in known:
                raise JobError(f"{said.where} speaks of stroke {stroke} twice: say it once")
            known[stroke] = read
    return tuple(known.items())


def _stop(said: Said, stops: int) -> int:
    value = said.value
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise said.refuse("the whole number of a depth stop is expected, 1 the deepest")
    if value > stops:
        uses = "1 depth stop" if stops == 1 else f"{stops} depth stops"
        raise said.refuse(f"the job uses {uses}: say one of these, or more with rules.stops or --stops")
    return value


def _side(said: Said) -> Side:
    match said.value:
        case "on" | "inside" | "outside":
            return said.value
    raise said.refuse("on, inside or outside is expected")


def _check(acts: Acts, said: Mapping[str, Said]) -> None:
    """Refuse decisions that contradict each other."""
    _apart(acts.leave_out, acts.keep, said, ("leave-out", "keep"))
    joined = {number for join in acts.join for number in (join.a, join.b)}
    _apart(acts.leave_out, joined, said, ("leave-out", "join"))


def _apart(a: Collection[int], b: Collection[int], said: Mapping[str, Said], keys: tuple[str, str]) -> None:
    both = sorted(set(a) & set(b))
    if both:
        first, second = (said[key].where for key in keys)
        raise JobError(f"stroke {both[0]} stands in both {first} and {second}: take it out of one of them")
