"""What the sheets of a set-up say of the others: register marks, and where another goes on with a groove.

Two marks of the first set-up are measured on the board from its edges: they say where it lies, and all
shifts count from there. In the first set-up that has another mark the stylus is put on it and the board is
marked under the bit; in the others the stylus on a mark must bring the bit there again. Template mm.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.lengths import both
from tracer.model.plan import Plan, SetUp
from tracer.sheets.assembly import Assembly
from tracer.sheets.labels import Spot, place, place_clear
from tracer.sheets.marks import WORK_SIZE, draw_cross, draw_leader
from tracer.sheets.partings import partings
from tracer.sheets.pdf import BLACK, POINT, WHITE, Pdf
from tracer.sheets.spread import around
from tracer.sheets.track import Box

Array = NDArray[np.float64]

ARM = 5.0
"""mm from a register mark's middle to the ends of its cross."""

_HALF = 3.2
"""mm from its middle to the corners of the square on edge round it."""

_TICK = 3.0
"""mm to each side of the line where another set-up goes on."""

_NAME = 12.0  # points
_BETWEEN = 1.3  # mm from the foot of a line of words to the capitals of the next
_AWAY = (9.0, 12.0, 15.0, 19.0)  # mm from a mark to the middle of its words
_BEYOND = (4.0, 6.0, 9.0, 13.0)  # mm from a groove's end to the words beyond it
_TURNS = 16


@dataclass(frozen=True, eq=False)
class Mark:
    """A sign at a `point` (2,) with its lines of words; a `way` (2,) where a groove goes on, else None."""

    point: Array
    words: tuple[str, ...]
    way: Array | None = None


def register_names(plan: Plan) -> dict[tuple[float, float], str]:
    """Return the names R1, R2 .. of the register marks, in the order in which they are marked."""
    marks = dict.fromkeys(mark for one in plan.set_ups for mark in one.marks)
    return {mark: f"R{number}" for number, mark in enumerate(marks, start=1)}


def measured_marks(plan: Plan) -> tuple[tuple[float, float], ...]:
    """Return the two marks of the first set-up that lie farthest apart, wood mm: the datum of all set-ups."""
    marks = sorted(plan.set_ups[0].marks) if plan.set_ups else []
    pairs = [(one, other) for k, one in enumerate(marks) for other in marks[k + 1 :]]
    farthest = max(pairs, key=lambda pair: math.dist(*pair), default=tuple(marks))
    names = register_names(plan)
    return tuple(sorted(farthest, key=list(names).index))


def place_words(plan: Plan, place: tuple[float, float]) -> str:
    """Say where on the board a place in wood mm is, from the board's own edges."""
    across, down = (both(value, plan.job.units) for value in place)
    return f"{across} from the board's left edge and {down} from its top"


def register_words(plan: Plan, set_up: SetUp) -> str:
    """Say which register marks are made in a set-up, and which are found again, "" for none."""
    names = register_names(plan)
    measured = measured_marks(plan) if set_up.number == 1 else ()
    names |= {mark: f"{names[mark]} ({place_words(plan, mark)})" for mark in measured}
    old = {mark for one in plan.set_ups[: set_up.number - 1] for mark in one.marks}
    made, found = (
        [name for mark, name in names.items() if mark in set_up.marks and (mark in old) == again]
        for again in (False, True)
    )
    said = [f"find {listed(found)} again"] if found else []
    return "; ".join([*said, *([f"mark {listed(made)}"] if made else [])])


def marks_of(plan: Plan, set_up: SetUp | None) -> tuple[Mark, ...]:
    """Return all signs of a set-up's sheets; none where all is cut in one."""
    if set_up is None:
        return ()
    names, matrix, measured = register_names(plan), plan.to_template, measured_marks(plan)
    found = []
    for mark in set_up.marks:
        first = next(one.number for one in plan.set_ups if mark in one.marks)
        new = first == set_up.number
        said = f"bit on dot of set-up {first}"
        if new:
            said = "bit on the measured mark" if mark in measured else "dot under the bit"
        found.append(Mark(affine.apply(matrix, np.array(mark)), (names[mark], "stylus here:", said)))
    for one in partings(plan)[set_up.number]:
        way = matrix[:, :2] @ one.way * plan.job.ratio
        found.append(Mark(affine.apply(matrix, one.point), (f"on in set-up {one.other}",), way))
    return tuple(found)


def boxes_of(marks: Sequence[Mark], places: Sequence[Spot | None]) -> Array:
    """Return the boxes (n, 4) of signs and their words, for others to keep off."""
    boxes = [_box(mark) for mark in marks] + [np.array(spot.box) for spot in places if spot is not None]
    return np.array(boxes).reshape(-1, 4)


def words_places(
    pdf: Pdf, assembly: Assembly, marks: Sequence[Mark], taken: Array
) -> tuple[Spot | None, ...]:
    """Return places for the words of marks, clear of lines and boxes `taken` (n, 4), each on one sheet.

    Where there is no room for all words of a register mark its name stands alone, if need be over lines.
    """
    cells = [np.array(assembly.tiling.trimmed(cell)) + np.tile(assembly.origin, 2) for cell in assembly.used]
    boxes = np.concatenate(
        [taken, np.array([_box(mark) for mark in marks if mark.way is None]).reshape(-1, 4)]
    )
    spots: list[Spot | None] = [None] * len(marks)
    for name_alone in (False, True):
        tried = [k for k, mark in enumerate(marks) if mark.way is None or not name_alone]
        left = [k for k in tried if spots[k] is None]
        sizes = [_size(pdf, marks[k], name_alone=name_alone) for k in left]
        choices = [_choices(marks[k], size, cells) for k, size in zip(left, sizes, strict=True)]
        lines, clear = assembly.track.busy, assembly.track.band / 2
        found = place_clear(choices, sizes, taken=boxes, lines=lines, clear=clear)
        for k, spot in zip(left, found, strict=True):
            spots[k] = spot
        boxes = np.concatenate([boxes, np.array([spot.box for spot in found if spot]).reshape(-1, 4)])
    left = [k for k, spot in enumerate(spots) if spot is None and marks[k].way is None]
    at = np.array([marks[k].point for k in left]).reshape(-1, 2)
    sizes = [_size(pdf, marks[k], name_alone=True) for k in left]
    found = place(at, sizes, lines=lines, clear=ARM, room=assembly.room, taken=boxes)
    for k, spot in zip(left, found, strict=True):
        spots[k] = spot
    return tuple(spots)


def draw_marks(pdf: Pdf, marks: Sequence[Mark], places: Sequence[Spot | None], view: Box) -> None:
    """Draw the signs, and their words where they found room, as far as a view shows them."""
    for mark, spot in zip(marks, places, strict=True):
        x, y = (float(value) for value in mark.point)
        if view[0] - ARM < x < view[2] + ARM and view[1] - ARM < y < view[3] + ARM:
            if spot is not None and mark.way is None and math.dist((x, y), (spot.x, spot.y)) > _AWAY[-1]:
                draw_leader(pdf, mark.point, (spot.x, spot.y))
            _draw_sign(pdf, mark)
        if spot is not None and spot.x > view[0] and spot.x < view[2] and view[1] < spot.y < view[3]:
            _draw_words(pdf, mark, spot)


def _box(mark: Mark) -> Array:
    reach = ARM if mark.way is None else _TICK
    return np.concatenate([mark.point - reach, mark.point + reach])


def _draw_sign(pdf: Pdf, mark: Mark) -> None:
    if mark.way is not None:
        aside = np.array([-mark.way[1], mark.way[0]]) * _TICK
        pdf.line([mark.point - aside, mark.point + aside], width=0.5, colour=BLACK)
        return
    (x, y), half = mark.point, _HALF
    corners = [(x, y - half), (x + half, y), (x, y + half), (x - half, y), (x, y - half)]
    pdf.line(corners, width=0.35, colour=BLACK)
    draw_cross(pdf, mark.point, arm=ARM)


def _draw_words(pdf: Pdf, mark: Mark, spot: Spot) -> None:
    x0, y0, x1, y1 = spot.box
    pdf.box(x0, y0, x1 - x0, y1 - y0, fill=WHITE)
    y = y0 + 0.5
    for words, size in _lines(mark):
        y += size * POINT * 0.73
        if y < y1:
            pdf.text(spot.x, y, words, size, bold=size == _NAME, anchor="middle")
        y += _BETWEEN


def _lines(mark: Mark) -> tuple[tuple[str, float], ...]:
    """Return a mark's lines of words with their sizes: a register mark's name leads."""
    sizes = [WORK_SIZE if mark.way is not None or k else _NAME for k in range(len(mark.words))]
    return tuple(zip(mark.words, sizes, strict=True))


def _size(pdf: Pdf, mark: Mark, *, name_alone: bool = False) -> tuple[float, float]:
    lines = _lines(mark)[:1] if name_alone else _lines(mark)
    width = max(pdf.measure(words, size, bold=size == _NAME) for words, size in lines)
    height = sum(size * POINT * 0.73 + _BETWEEN for _, size in lines) - _BETWEEN
    return width + 1.0, height + 1.0


def _choices(mark: Mark, size: tuple[float, float], cells: Sequence[Array]) -> Array:
    """Return middles (n, 2) to try, the best first: on one sheet, and beyond the end of a groove."""
    reach = np.array(size) / 2
    if mark.way is None:
        tried = np.concatenate([around(mark.point, _AWAY, _TURNS), around(mark.point, (24.0, 30.0), _TURNS)])
    else:
        turned = [affine.rotation(turn)[:, :2] @ mark.way for turn in (0.0, 0.5, -0.5, 1.0, -1.0, 1.5, -1.5)]
        tried = np.array(
            [mark.point + way * (far + float(np.abs(way) @ reach)) for far in _BEYOND for way in turned]
        )
    inside = np.zeros(len(tried), dtype=bool)
    for x0, y0, x1, y1 in cells:
        fits = (tried - reach >= (x0, y0)) & (tried + reach <= (x1, y1))
        inside |= fits.all(axis=1)
    return tried[inside] if inside.any() else tried


def listed(names: Sequence[str]) -> str:
    """Join names as in a sentence."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
