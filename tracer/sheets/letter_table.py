"""The table of one line's letters: its columns, and how their lengths are said."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from tracer.lengths import Units, both, format_length
from tracer.model.plan import Plan
from tracer.sheets.placement import PlacedLetter, PlacedLine, shift_after


@dataclass(frozen=True)
class Column:
    """A length of each letter: two words for its head, and what it is, given the line and the place in it."""

    head: tuple[str, str]
    value: Callable[[PlacedLine, int], float | None]


def table_columns(line: PlacedLine) -> tuple[Column, ...]:
    """Return what a line's table tells: along a straight baseline, and from the board's edges."""
    left = Column(("from the board's", "left end"), lambda line, k: line.letters[k].origin[0])
    if not line.straight:
        top = Column(("from the board's", "top edge"), lambda line, k: line.letters[k].origin[1])
        return (left, top)
    along = Column(("from the first", "origin"), lambda line, k: line.letters[k].along)
    shift = Column(("shift to the", "next"), lambda line, k: shift_after(line.letters, k))
    if line.level:
        return (along, left, shift)
    return (along, shift)


def reading(mm: float | None, units: Units) -> str:
    """Return a length as a rule is read: to 0.1 mm, or to 1/64 in."""
    if mm is None:
        return "–"
    return format_length(mm, "in") if units == "in" else f"{round(mm, 1) + 0.0:.1f} mm"


def baseline_words(plan: Plan, line: PlacedLine) -> str:
    """Say where a line's baseline lies on the board."""
    units, first = plan.job.units, line.letters[0]
    x, y = first.origin
    if line.level:
        edges = ((y, "top"), (plan.layout.board.height - y, "bottom"))
        said = " and ".join(f"{both(mm, units)} from the board's {edge} edge" for mm, edge in edges)
        return f"Baseline {said}."
    if line.straight:
        place = f"{both(x, units)} from the board's left end and {both(y, units)} from its top edge"
        return f"Turned {turn_words(first)}; first origin {place}."
    return (
        f"On an arc{_swing(plan, line)}: swing the board about it, or mark each origin from the two edges. "
        "Turn the board the other way than its letter is turned, and as far: then the letter is upright."
    )


def _swing(plan: Plan, line: PlacedLine) -> str:
    """Say about which point a line's baseline is swung, and how far off it."""
    arc, units, board = line.arc, plan.job.units, plan.layout.board
    if arc is None:
        return ""
    across = _from_edge(arc.centre[0], board.width, ("left end", "right end"), units)
    down = _from_edge(arc.centre[1], board.height, ("top edge", "bottom edge"), units)
    return f" of {both(abs(arc.radius), units)} radius about a point {across} and {down}"


def _from_edge(mm: float, size: float, edges: tuple[str, str], units: Units) -> str:
    """Say how far a point lies from the first edge, or beyond one of the two."""
    if mm < 0:
        return f"{both(-mm, units)} beyond the board's {edges[0]}"
    if mm > size:
        return f"{both(mm - size, units)} beyond the board's {edges[1]}"
    return f"{both(mm, units)} from the board's {edges[0]}"


def turn_words(letter: PlacedLetter) -> str:
    """Say by how much a letter is turned."""
    angle = round(math.degrees(letter.turn), 1)
    if not angle:
        return "upright"
    return f"{abs(angle):.1f}° {'clockwise' if angle > 0 else 'anticlockwise'}"
