"""What the clean-up changed, as the page shows it: marks on the picture, and a close look at each gap."""

from dataclasses import dataclass

import numpy as np

from tracer.model.drawing import Drawing
from tracer.model.ink import Mend
from tracer.sheets.figure import WIDTH, Figure
from tracer.sheets.mend_words import MendGroup, mend_groups, undo_words
from tracer.sheets.page_words import PageWords
from tracer.sheets.spread import around, spread

MOST_ROWS = 12
"""Places told one by one besides gaps; the record holds them all."""

MOST_VIEWS = 24
"""Gaps looked at closely."""

_MOST_MARKS = 200  # of one kind
_WHOLE = 0.9  # part of the art's longer side from which a change concerns it all and has no mark
_LEAST, _LARGEST = 1.5, 14.0  # radius of a mark, figure units
_LABEL = 5.0  # height of a gap's number, figure units
_RINGS = (4.2, 5.6, 7.5, 10.0, 13.0)  # figure units from a gap to its number
_AROUND = 5.0  # line widths shown to each side of a gap


@dataclass(frozen=True)
class MendMark:
    """A ring about (x, y), figure units; `look` is "closed", "open", "gone" or "area"."""

    look: str
    x: float
    y: float
    radius: float
    number: int = 0
    label: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class GapView:
    """One gap: `box` is what is shown of the figure around it, (x, y, side, side), `radius` its ring's."""

    number: int
    closed: bool
    box: tuple[float, float, float, float]
    radius: float
    size: str
    place: tuple[str, str]


@dataclass(frozen=True)
class MendRow:
    """One other change."""

    what: str
    place: tuple[str, str]
    size: str


@dataclass(frozen=True)
class CleanUp:
    """What was changed in one piece's art."""

    figure: Figure
    drawing: Drawing
    groups: tuple[MendGroup, ...]
    undo: str
    marks: tuple[MendMark, ...]
    gaps: tuple[GapView, ...]
    rows: tuple[MendRow, ...]
    more: int

    @property
    def looks(self) -> set[str]:
        """How the marks look."""
        return {mark.look for mark in self.marks}


def clean_up(drawing: Drawing, figure: Figure, words: PageWords) -> CleanUp:
    """Return what was changed in the art of `drawing`, which `figure` shows."""
    gaps = sorted((m for m in drawing.mends if m.number), key=lambda mend: mend.number)
    others = sorted((m for m in drawing.mends if not m.number), key=lambda m: (-m.size_px, m.y, m.x))
    return CleanUp(
        figure=figure,
        drawing=drawing,
        groups=mend_groups(drawing.mends),
        undo=undo_words(drawing.mends),
        marks=_marks(gaps, others, drawing, figure),
        gaps=tuple(_view(mend, drawing, figure, words) for mend in gaps[:MOST_VIEWS]),
        rows=tuple(
            MendRow(words.begin(mend.kind), _place(mend, drawing, words), _size(mend, drawing, words))
            for mend in others[:MOST_ROWS]
        ),
        more=max(0, len(others) - MOST_ROWS),
    )


def _marks(gaps: list[Mend], others: list[Mend], drawing: Drawing, figure: Figure) -> tuple[MendMark, ...]:
    """Return the rings, those of gaps last and with their numbers' places."""
    scale = _scale(drawing, figure)
    whole = _WHOLE * max(drawing.size_px)
    marks, drawn = [], dict[str, int]()
    for mend in (mend for mend in others if mend.size_px < whole):
        drawn[mend.kind] = drawn.get(mend.kind, 0) + 1
        if drawn[mend.kind] <= _MOST_MARKS:
            marks.append(MendMark(_look(mend), *_spot(mend, drawing, figure), _radius(mend, scale)))
    places = [np.array(_spot(mend, drawing, figure)) for mend in gaps]
    sizes = [(0.62 * _LABEL * len(str(mend.number)), _LABEL) for mend in gaps]
    labels = spread(
        [around(place, _RINGS, 12) for place in places],
        sizes,
        lines=np.array(places).reshape(-1, 2),
        room=(WIDTH, figure.height),
    )
    for mend, place, label in zip(gaps, places, labels.tolist(), strict=True):
        x, y = place.tolist()
        marks.append(MendMark(_look(mend), x, y, _radius(mend, scale), mend.number, (label[0], label[1])))
    return tuple(marks)


def _look(mend: Mend) -> str:
    """Return how a change is marked."""
    if mend.kind == "gap closed":
        return "closed"
    if mend.kind == "gap left open":
        return "open"
    return "gone" if mend.kind.endswith(("dropped", "filled")) else "area"


def _view(mend: Mend, drawing: Drawing, figure: Figure, words: PageWords) -> GapView:
    """Return a close look at one gap."""
    scale = _scale(drawing, figure)
    half = scale * max(_AROUND * drawing.line_width, 1.5 * mend.size_px)
    x, y = _spot(mend, drawing, figure)
    return GapView(
        mend.number,
        mend.kind == "gap closed",
        (x - half, y - half, 2 * half, 2 * half),
        scale * (mend.size_px + drawing.line_width),
        _size(mend, drawing, words),
        _place(mend, drawing, words),
    )


def _scale(drawing: Drawing, figure: Figure) -> float:
    """Return figure units to an art pixel."""
    return figure.art[2] / drawing.size_px[0]


def _spot(mend: Mend, drawing: Drawing, figure: Figure) -> tuple[float, float]:
    """Return where a change is in the figure."""
    scale = _scale(drawing, figure)
    return figure.art[0] + mend.x * scale, figure.art[1] + mend.y * scale


def _radius(mend: Mend, scale: float) -> float:
    return min(max(_LEAST, scale * mend.size_px / 2), _LARGEST)


def _place(mend: Mend, drawing: Drawing, words: PageWords) -> tuple[str, str]:
    """Say where on the art a change is: lengths on its own paper, or pixels where that is not known."""
    if drawing.mm_per_px is None:
        return f"{mend.x:.0f} px from left", f"{mend.y:.0f} px from top"
    return words.spot((mend.x * drawing.mm_per_px, mend.y * drawing.mm_per_px))


def _size(mend: Mend, drawing: Drawing, words: PageWords) -> str:
    """Say how large a change is, likewise; what is small in pixels too."""
    if drawing.mm_per_px is None:
        return f"{mend.size_px:.1f} px"
    return words.short(mend.size_px * drawing.mm_per_px)
