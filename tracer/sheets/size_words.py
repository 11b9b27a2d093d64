"""The answers about sizes in words: a few plain lines, a table with bars, and the user's bits."""

import math
from collections.abc import Iterator
from itertools import chain
from textwrap import wrap

from tracer.lengths import both, format_length
from tracer.model.sizes import Choice, Least, Losses, Sizes
from tracer.shop.bit_words import describe, spec

COLUMNS = ("too thin", "run together", "thin wood", "breaks out")
"""What is counted, in the order of the bars' letters."""

LETTERS = "trwb"

_BAR = 36
"""Letters in the longest bar."""

_NAMED = 4
"""Strokes named in a line."""

_WIDE = 100
"""Letters in a line of words."""

_HINT = (
    "Leave out one of two strokes that all but touch, or join them: tracer check says where each place is."
)

_FARTHEST = 5000.0
"""mm; a size beyond says only that no size helps."""


def size_lines(sizes: Sizes) -> list[str]:
    """Return all that is said, line by line."""
    return [
        *_head(sizes),
        "",
        *_answers(sizes),
        "",
        *_curve(sizes),
        "",
        *_bits(sizes),
    ]


def _head(sizes: Sizes) -> list[str]:
    job = sizes.job
    asked = f"{_length(sizes, sizes.width)} wide, {_length(sizes, sizes.height)} high"
    groove = f"{describe(job.bit, job.units)}; {_length(sizes, job.depth)} deep"
    if job.stops > 1:
        groove += f" at the most, and the best {job.stops} depth stops at each size"
    else:
        groove += f", a groove {_length(sizes, job.groove)} wide"
    return [
        f"{job.name}, {asked}{_capitals(sizes, sizes.asked)}: {_count(sizes.strokes, 'stroke')}.",
        *wrap(f"Held fixed: {groove}.", _WIDE, subsequent_indent="  "),
        "Only the finished size changes. The ratio changes the printed sheet, and nothing here.",
    ]


def _answers(sizes: Sizes) -> list[str]:
    rows = [
        ("Nothing is lost", _from(sizes, sizes.nothing_lost, "place")),
        ("  no stroke too thin", _from(sizes, sizes.nothing_thin, "stroke")),
        ("  no grooves run together", _from(sizes, sizes.nothing_merged, "place")),
        ("  all wood between holds", _from(sizes, sizes.all_holds, "place")),
    ]
    if sizes.largest is not None:
        rows.append(("Largest on this board", _largest(sizes, sizes.largest)))
    hint = [] if sizes.nothing_lost.size is not None else [_HINT]
    lines = [wrap(f"{name:<27}{words}", _WIDE, subsequent_indent=" " * 27) for name, words in rows]
    return [*chain.from_iterable(lines), *hint]


def _from(sizes: Sizes, least: Least, what: str) -> str:
    """Say from which size on, and which strokes decide it."""
    if least.said is not None:
        said = f"{_length(sizes, least.said)} {sizes.side} on{_capitals(sizes, least.said)}"
        if least.strokes:
            return f"from {said} ({_strokes(least)} to the last)"
        return f"at any size, from {said}" if least.said else "at any size"
    top = _length(sizes, sizes.size_of_row(sizes.rows[-1]))
    words = f"at no size up to {top}: {_count(least.failing, what)} {_fail(least)} there"
    if least.last is not None and least.last <= _FARTHEST:
        return f"{words}, the last up to about {_length(sizes, least.last)} ({_strokes(least)})"
    return f"{words}; {_strokes(least)} all but touch in the drawing"


def _capitals(sizes: Sizes, size: float) -> str:
    """Say how high the capitals of words are at a size."""
    return f", capitals {_length(sizes, sizes.capitals_at(size))} high" if sizes.capitals else ""


def _fail(least: Least) -> str:
    return "still fails" if least.failing == 1 else "still fail"


def _strokes(least: Least) -> str:
    numbers = [str(number) for number in least.strokes[:_NAMED]]
    if len(numbers) == 1:
        return f"stroke {numbers[0]}"
    return f"strokes {', '.join(numbers[:-1])} and {numbers[-1]}"


def _largest(sizes: Sizes, largest: float) -> str:
    job = sizes.job
    margin = f"inside margins of {_length(sizes, job.margin)}, with the groove"
    words = f"{both(largest, job.units, down=True)} {sizes.side}{_capitals(sizes, largest)}, {margin}"
    if largest < sizes.asked * (1 - 1e-6):
        return f"{words}: less than you ask for"
    need = sizes.nothing_lost.size
    return words if need is None or need <= largest else f"{words}: too small for nothing to be lost"


def _curve(sizes: Sizes) -> list[str]:
    most = max(_total(row.losses) for row in sizes.rows) or 1
    head = f"   {sizes.side:<22}" + "".join(f"{name:>14}" for name in COLUMNS)
    lines = [head]
    for row in sizes.rows:
        size = sizes.size_of_row(row)
        asked, fits = _same(size, sizes.asked), _same(size, sizes.largest)
        mark = (">" if asked else "#" if fits else " ") + ("*" if row.losses.all_thin else " ")
        counts = "".join(f"{count:>14}" for count in _counts(row.losses))
        said = both(size, sizes.job.units, down=fits)
        lines.append(f"{mark} {said:<22}{counts}  {_bar(row.losses, most)}".rstrip())
    return [*lines, *_legend(sizes)]


def _legend(sizes: Sizes) -> Iterator[str]:
    shown = any(_same(sizes.size_of_row(row), sizes.largest) for row in sizes.rows)
    fits = ", # the largest on the board" if shown and not _same(sizes.asked, sizes.largest) else ""
    yield f"> is the size asked for{fits}. {_letters()}"
    if any(row.losses.all_thin for row in sizes.rows):
        yield "* even the typical line comes out too wide: only lines far thinner are left out there."


def _same(size: float, other: float | None) -> bool:
    return other is not None and math.isclose(size, other, rel_tol=1e-9)


def _letters() -> str:
    pairs = ", ".join(f"{letter} {name}" for letter, name in zip(LETTERS, COLUMNS, strict=True))
    return f"Bars: {pairs}."


def _bar(losses: Losses, most: int) -> str:
    """Return the losses as a row of letters; what there is at all shows."""
    return "".join(
        letter * max(round(_BAR * count / most), 1 if count else 0)
        for letter, count in zip(LETTERS, _counts(losses), strict=True)
    )


def _counts(losses: Losses) -> tuple[int, int, int, int]:
    return losses.thin, losses.merged, losses.crumbling, losses.breaking


def _total(losses: Losses) -> int:
    return sum(_counts(losses))


def _bits(sizes: Sizes) -> list[str]:
    if not sizes.choices:
        return []
    names = [one.name or spec(one.bit) for one in sizes.choices]
    wide = max(len(name) for name in names) + 2
    head = f"  {'bit':<{wide}}{'deep':<22}{'groove':<10}{'strokes':>9}{'of length':>11}"
    head += "".join(f"{name:>14}" for name in COLUMNS[1:])
    at = f"{_length(sizes, sizes.asked)} {sizes.side}"
    lines = [f"Which bit and depth hold most at {at}, all strokes at one depth:", head]
    for name, one in zip(names, sizes.choices, strict=True):
        counts = "".join(f"{count:>14}" for count in _counts(one.losses)[1:])
        groove = format_length(one.groove, sizes.job.units)
        share = f"{math.floor(100 * one.length_held + 1e-6)} %"
        lines.append(
            f"{'>' if one.best else ' '} {name:<{wide}}{_length(sizes, one.depth):<22}{groove:<10}"
            f"{one.held:>9}{share:>11}{counts}"
        )
    return [*lines, *_why(sizes)]


def _why(sizes: Sizes) -> list[str]:
    best = next((one for one in sizes.choices if one.best), None)
    if best is None:
        return []
    holds = f"{best.held} of {_count(sizes.strokes, 'stroke')}"
    words = f"> holds most: {holds} no wider than they may be, {_places(best)}"
    now = [one for one in sizes.choices if one.bit == sizes.job.bit and one.depth == sizes.job.depth]
    if sizes.job.stops == 1 and now and not now[0].best:
        words += f"; as you ask: {now[0].held}, {_places(now[0])}"
    lines = wrap(f"{words}.", _WIDE, subsequent_indent="  ")
    if not (now and now[0].best):
        depth = format_length(best.depth, sizes.job.units)
        lines.append(f'Ask for it with --bit "{best.name or spec(best.bit)}" --depth "{depth}".')
    if not sizes.job.bits:
        lines.append("Name your bits in the shop file, or in the job file, and they are compared here.")
    return lines


def _places(choice: Choice) -> str:
    losses = choice.losses
    return f"and the wood fails in {_count(losses.merged + losses.crumbling + losses.breaking, 'place')}"


def _length(sizes: Sizes, mm: float) -> str:
    return both(mm, sizes.job.units)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def size_record(sizes: Sizes) -> dict[str, object]:
    """Return the answers as JSON values, lengths in mm."""
    return {
        "name": sizes.job.name,
        "side": sizes.side,
        "width_mm": sizes.width,
        "height_mm": sizes.height,
        "capitals_mm": sizes.capitals or None,
        "strokes": sizes.strokes,
        "bit": spec(sizes.job.bit),
        "depth_mm": sizes.job.depth,
        "depth_stops": sizes.job.stops,
        "nothing_lost": _least_record(sizes.nothing_lost),
        "no_stroke_too_thin": _least_record(sizes.nothing_thin),
        "no_grooves_run_together": _least_record(sizes.nothing_merged),
        "all_wood_holds": _least_record(sizes.all_holds),
        "largest_on_board_mm": sizes.largest,
        "sizes": [
            {"width_mm": row.width, "height_mm": row.height, **_losses_record(row.losses)}
            for row in sizes.rows
        ],
        "choices": [
            {
                "name": one.name,
                "bit": spec(one.bit),
                "depth_mm": one.depth,
                "groove_mm": one.groove,
                "strokes_held": one.held,
                "length_held_share": one.length_held,
                **_losses_record(one.losses),
                "best": one.best,
            }
            for one in sizes.choices
        ],
    }


def _least_record(least: Least) -> dict[str, object]:
    return {
        "size_mm": least.size,
        "said_mm": least.said,
        "strokes": list(least.strokes),
        "failing_at_largest": least.failing,
        "last_holds_mm": least.last,
    }


def _losses_record(losses: Losses) -> dict[str, object]:
    return {
        "strokes_too_thin": losses.thin,
        "grooves_run_together": losses.merged,
        "wood_too_thin": losses.crumbling,
        "standing_wood_breaks_out": losses.breaking,
        "typical_line_too_thin": losses.all_thin,
    }
