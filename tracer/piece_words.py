"""One piece of a job: what it is, how large and where, as a job file or the command line say it."""

from collections.abc import Mapping

from tracer.errors import JobError
from tracer.job import Beside, Border, LineUp, PieceSpec, Where
from tracer.lettering_words import LETTERING_KEYS, lettering_of
from tracer.reading_words import READING_KEYS, reading_of
from tracer.shop import said as read
from tracer.shop.said import Said
from tracer.shop.settings import take

SMALLEST, LARGEST = 1.0, 5000.0
"""Sides of a piece or a board, mm: our own limits, beyond what is carved by hand."""

KINDS = ("art", "words", "border")
"""What a piece is: it says one of these."""

PLACES: tuple[Where, ...] = ("above", "below", "left-of", "right-of", "centred-on")

BORDER_KEYS = ("border", "border-radius")

PIECE_KEYS = (
    "name",
    "art",
    *LETTERING_KEYS,
    *BORDER_KEYS,
    "width",
    "height",
    "x",
    "y",
    *PLACES,
    "gap",
    "line-up",
    "turn",
    *READING_KEYS,
)
"""The settings, as a job file's [[pieces]] has them."""


def piece_of(said: Mapping[str, Said]) -> PieceSpec:
    """Read one piece.

    Raises
    ------
    JobError
        Where a setting cannot be read, is of another kind of piece, or two contradict each other.
    """
    kinds = [said[key] for key in KINDS if key in said]
    if len(kinds) > 1:
        raise JobError(f"{kinds[0].where} and {kinds[1].where} are two kinds of piece: leave one out")
    if "art" not in said:
        for key in READING_KEYS:
            if key in said:
                raise JobError(f"{said[key].where} is about a picture, and this piece has none: leave it out")
    words = lettering_of(said)
    if words is not None and words.height is not None:
        for key in ("width", "height"):
            if key in said:
                raise JobError(
                    f"{said[key].where} and {said['cap-height'].where} both say how large the words are: "
                    "leave one out"
                )
    return PieceSpec(
        art=take(said, "art", lambda one: read.text(one, example='"picture.png"'), ""),
        width=take(said, "width", side, None),
        height=take(said, "height", side, None),
        x=take(said, "x", lambda one: read.length(one, allow_zero=True), None),
        y=take(said, "y", lambda one: read.length(one, allow_zero=True), None),
        turn_deg=take(said, "turn", read.angle_deg, 0.0),
        reading=reading_of(said),
        words=words,
        border=_border(said),
        name=take(said, "name", lambda one: read.text(one, example='"hare"'), ""),
        beside=_beside(said),
    )


def side(said: Said) -> float:
    """Read a side of a piece or a board, mm."""
    return limited(said, read.length(said))


def limited(said: Said, length: float) -> float:
    """Return a side, refused where it is none."""
    if not SMALLEST <= length <= LARGEST:
        raise said.refuse(f"{SMALLEST:g} mm to {LARGEST / 1000:g} m is expected")
    return length


def _border(said: Mapping[str, Said]) -> Border | None:
    if "border" not in said:
        if "border-radius" in said:
            where = said["border-radius"].where
            raise JobError(f"{where} is about a border, and this piece is none: leave it out")
        return None
    for key in ("width", "height", "x", "y", "turn", *PLACES):
        if key in said:
            raise JobError(
                f"{said[key].where} is said of a border, and that goes round the board at its distance from "
                "the edge: leave it out"
            )
    radius = take(said, "border-radius", lambda one: read.length(one, allow_zero=True), 0.0)
    return Border(side(said["border"]), radius)


def _beside(said: Mapping[str, Said]) -> Beside | None:
    places = [(where, said[where]) for where in PLACES if where in said]
    if len(places) > 1:
        raise JobError(f"{places[0][1].where} and {places[1][1].where} are two places: leave one out")
    if not places or places[0][0] == "centred-on":
        for key in ("gap", "line-up"):
            if key in said:
                raise JobError(
                    f"{said[key].where} is about a place beside another piece, and this piece has none: say "
                    "above, below, left-of or right-of, or leave it out"
                )
    if not places:
        return None
    where, one = places[0]
    for key in ("x", "y"):
        if key in said:
            raise JobError(f"{said[key].where} and {one.where} are two places: leave one out")
    gap = take(said, "gap", lambda gap: read.length(gap, allow_zero=True), None)
    return Beside(where, read.text(one, example='"hare"'), gap, take(said, "line-up", _line_up, "middles"))


def _line_up(said: Said) -> LineUp:
    match said.value:
        case "starts" | "middles" | "ends":
            return said.value
    raise said.refuse("starts (left or top), middles or ends is expected")
