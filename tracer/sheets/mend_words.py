"""What the clean-up changed, said in plain words: for the page and for the terminal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracer.act_words import listed
from tracer.model.ink import Mend, MendKind

_WORDS: Mapping[MendKind, tuple[str, str, str]] = {
    "turned round": (
        "white on black turned round",
        "",
        "the art has white lines on black; they were taken for the ink",
    ),
    "gap closed": (
        "{n} gap closed",
        "{n} gaps closed",
        "two ends of a line pointed at each other, or one end just missed a line",
    ),
    "gap left open": ("{n} gap left open", "{n} gaps left open", "as you asked"),
    "speck dropped": (
        "{n} speck dropped",
        "{n} specks dropped",
        "too small, or too pale, for a dot of the pen",
    ),
    "pinhole filled": ("{n} pinhole filled", "{n} pinholes filled", "white flaws inside the ink"),
    "spur dropped": ("{n} spur dropped", "{n} spurs dropped", "a ragged edge made them, not the pen"),
    "colouring left out": (
        "colouring left out in {n} place",
        "colouring left out in {n} places",
        "crayon, felt pen or paint, not the lines under it",
    ),
    "dark colouring left out": (
        "lines may be lost under dark colouring in {n} place",
        "lines may be lost under dark colouring in {n} places",
        "colours about as dark as the ink: compare the strokes with the art there",
    ),
    "coloured line left out": (
        "{n} coloured line left out",
        "{n} coloured lines left out",
        "in a colour that also fills areas: only the dark lines were followed",
    ),
    "shading left out": (
        "shading left out in {n} place",
        "shading left out in {n} places",
        "pale grey areas without an edge to follow",
    ),
    "ruling left out": (
        "the paper's ruling left out",
        "the paper's ruling left out in {n} places",
        "lines printed on the paper, not drawn",
    ),
    "screen left out": (
        "the printing screen left out",
        "printing screens left out in {n} places",
        "dots that print a grey, not drawn",
    ),
    "show-through left out": (
        "show-through left out in {n} place",
        "show-through left out in {n} places",
        "pale print from the back of the sheet",
    ),
    "fold left out": ("{n} fold left out", "{n} folds left out", "creases of the paper"),
    "shadow left out": ("{n} shadow left out", "{n} shadows left out", "darkness without ink"),
    "hole left out": ("{n} hole left out", "{n} holes left out", "punched through the paper"),
}
"""Of each kind: said of one, said of several, and what it means. In the order of the page."""

_DASHES = ("1 dashed line left dashed", "{n} dashed lines left dashed", "even gaps are meant")


@dataclass(frozen=True)
class MendGroup:
    """All changes of one kind: `what` says how many, `why` what they are."""

    kind: MendKind
    what: str
    why: str
    mends: tuple[Mend, ...]


def mend_groups(mends: Sequence[Mend]) -> tuple[MendGroup, ...]:
    """Return the changes by their kind; dashed lines, whose gaps have no numbers, are a kind of their own."""
    groups = []
    for kind, words in _WORDS.items():
        own = [mend for mend in mends if mend.kind == kind]
        dashed = [mend for mend in own if kind == "gap left open" and not mend.number]
        for said, found in ((words, [m for m in own if m not in dashed]), (_DASHES, dashed)):
            if found:
                what = said[len(found) > 1 and bool(said[1])].format(n=len(found)) + _numbers(found)
                groups.append(MendGroup(kind, what, said[2], tuple(found)))
    return tuple(groups)


def mend_line(mends: Sequence[Mend], where: str) -> str:
    """Return all that was changed in one sentence, "" if nothing was; `where` says what shows the places."""
    groups = mend_groups(mends)
    if not groups:
        return ""
    said = f"Clean-up: {', '.join(group.what for group in groups)}"
    more = [where] if where else []
    closed = [mend.number for mend in mends if mend.kind == "gap closed"]
    if closed:
        more.append(f"--open-gaps {closed[0]} leaves {_one(closed)} open")
    return f"{said}: {'; '.join(more)}." if more else f"{said}."


def undo_words(mends: Sequence[Mend]) -> str:
    """Return how closed gaps are opened again, "" where none was closed."""
    closed = [mend.number for mend in mends if mend.kind == "gap closed"]
    if not closed:
        return ""
    return (
        f"To leave {_one(closed)} open, say --open-gaps {closed[0]}, or write open-gaps = [{closed[0]}] into "
        "the job file under this picture; the others keep their numbers. To leave all open, say "
        "--no-close-gaps, or write close-gaps = false."
    )


def _one(closed: Sequence[int]) -> str:
    return "it" if len(closed) == 1 else f"gap {closed[0]}"


def _numbers(mends: Sequence[Mend]) -> str:
    """Return such as " (1-3, 7)" for gaps, "" for what has no numbers."""
    numbers = sorted(mend.number for mend in mends if mend.number)
    return f" ({', '.join(map(str, listed(numbers)))})" if numbers else ""
