"""Which piece is placed by which, and that each says of itself only what goes together."""

from collections.abc import Sequence

from tracer.errors import JobError
from tracer.job import Job, PieceSpec
from tracer.lengths import both, quoted
from tracer.lettering import LOWEST

LONGEST_TEMPLATE = 20_000.0
"""Side of the template, mm: our own limit, some hundred sheets in a row."""


def leaders(pieces: Sequence[PieceSpec]) -> dict[int, int]:
    """Return for each piece that lies beside another which one that is, both counted from 0.

    They come in an order in which each leader has its place before the pieces beside it.

    Raises
    ------
    JobError
        Where two pieces have one name, a name is not there, or pieces wait for one another.
    """
    names = _named(pieces)
    waiting = {k: _leader(k, pieces, names) for k, piece in enumerate(pieces) if piece.beside is not None}
    found: dict[int, int] = {}
    while waiting:
        ready = {k: leader for k, leader in waiting.items() if leader not in waiting}
        if not ready:
            raise _in_a_ring(waiting, pieces)
        found |= ready
        waiting = {k: leader for k, leader in waiting.items() if k not in ready}
    return found


def check_pieces(pieces: Sequence[PieceSpec], *, on_board: bool) -> None:
    """Refuse pieces that say of themselves what does not go together; `on_board`, a board is declared.

    Raises
    ------
    JobError
        As `leaders`; for a piece of two kinds, or with two places; for a border with a size, a place or a
        turn; and where no board is declared, for a piece placed by a border, and a border round nothing.
    """
    for k, piece in enumerate(pieces):
        _check(k, piece)
    for k, leader in leaders(pieces).items():
        if pieces[leader].border is not None and not on_board:
            raise JobError(
                f"{_label(k, pieces[k])} lies by a border, and without a board the border goes round all "
                "others: say the board, or lay it by another piece"
            )
    borders = [k for k, piece in enumerate(pieces) if piece.border is not None]
    if borders and len(borders) == len(pieces) and not on_board:
        k = borders[0]
        raise JobError(
            f"{_label(k, pieces[k])} is a border, and there is nothing for it to go round: say the board, or "
            "another piece"
        )


def check_template(side: float, job: Job) -> None:
    """Refuse a carving so long, mm, that nobody prints its template.

    Raises
    ------
    JobError
        Where it is.
    """
    if side / job.ratio > LONGEST_TEMPLATE:
        raise JobError(
            f"the template would be {side / job.ratio / 1000:.4g} m long, and at most "
            f"{LONGEST_TEMPLATE / 1000:g} m is printed: make the carving smaller, or check the ratio"
        )


def _check(k: int, piece: PieceSpec) -> None:
    kinds = [bool(piece.art), piece.words is not None, piece.border is not None]
    if sum(kinds) > 1:
        raise JobError(f"{_label(k, piece)} is of two kinds: say one of art, words and border")
    if piece.beside is not None and (piece.x is not None or piece.y is not None):
        raise JobError(
            f"{_label(k, piece)} has two places, {piece.beside.where} another piece and x or y on the board: "
            "leave one out"
        )
    sized = piece.width is not None or piece.height is not None
    if piece.words is not None and piece.words.height is not None and sized:
        raise JobError(
            f"{_label(k, piece)} has two sizes, the capitals' height and that of the whole: leave one out"
        )
    placed = piece.beside is not None or piece.x is not None or piece.y is not None
    if piece.border is not None and (sized or placed or piece.turn_deg):
        raise JobError(
            f"{_label(k, piece)} is a border, and goes round at its distance from the board's edge: it has "
            "no size, place or turn of its own; leave them out"
        )


def _named(pieces: Sequence[PieceSpec]) -> dict[str, int]:
    """Return which piece has which name, as it is compared."""
    names: dict[str, int] = {}
    for k, piece in enumerate(pieces):
        if not piece.name:
            continue
        if (other := names.setdefault(piece.name.casefold(), k)) != k:
            raise JobError(f"pieces {other + 1} and {k + 1} are both called {quoted(piece.name)}: rename one")
    return names


def _leader(k: int, pieces: Sequence[PieceSpec], names: dict[str, int]) -> int:
    beside = pieces[k].beside
    assert beside is not None
    leader = names.get(beside.piece.casefold())
    if leader is None:
        known = ", ".join(quoted(piece.name) for piece in pieces if piece.name)
        raise JobError(
            f"{_label(k, pieces[k])} lies {beside.where} {quoted(beside.piece)}, and no piece has that name; "
            + (f"the names are {known}" if known else f"give that piece a name = {quoted(beside.piece)}")
        )
    if leader == k:
        raise JobError(f"{_label(k, pieces[k])} lies {beside.where} itself: name another piece")
    return leader


def _in_a_ring(waiting: dict[int, int], pieces: Sequence[PieceSpec]) -> JobError:
    ring = [next(iter(waiting))]
    while waiting[ring[-1]] not in ring:
        ring.append(waiting[ring[-1]])
    ring = ring[ring.index(waiting[ring[-1]]) :]
    said = ", ".join(f"{quoted(pieces[k].name)} by {quoted(pieces[waiting[k]].name)}" for k in ring)
    return JobError(f"these pieces wait for one another's places: {said}; place one of them on the board")


def _label(k: int, piece: PieceSpec) -> str:
    """Return what to call a piece in a message."""
    return f"piece {k + 1} ({quoted(piece.called)})" if piece.called else f"piece {k + 1}"


def check_words(spec: PieceSpec, capitals: float, job: Job) -> None:
    """Refuse words that are to fit into less than a groove, or come out too low.

    `capitals` is their height on the wood, mm. Where that was said it was looked at when it was read.

    Raises
    ------
    JobError
        For such words.
    """
    if spec.words is None or spec.words.height is not None:
        return
    room = min((side for side in (spec.width, spec.height) if side is not None), default=job.groove)
    if room < job.groove:
        raise JobError(
            f"{quoted(spec.called)} is to fit into {both(room, job.units)}, and the groove alone is "
            f"{both(job.groove, job.units)} wide: give the words more room, or cut less deep"
        )
    if capitals < LOWEST:
        raise JobError(
            f"The capitals of {quoted(spec.called)} would be {both(capitals, job.units)} high, and the "
            f"lowest that are cut are {both(LOWEST, job.units)}: give the words more room, or make them fewer"
        )
