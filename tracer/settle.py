"""A job settled from what was said on the command line, in a job file and in the shop file."""

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from tracer.act_words import acts_of
from tracer.errors import BitError, JobError
from tracer.job import SHEETS_SHARE, Hold, Job, PieceSpec, Thin
from tracer.job_file import Gathered, gather
from tracer.lengths import both
from tracer.piece_order import check_pieces, check_template
from tracer.piece_words import limited, piece_of
from tracer.shop import said as read
from tracer.shop.bits import Bit, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.paper import LEAST_PRINTED, Paper, default_paper, paper_named
from tracer.shop.printer import Printer
from tracer.shop.said import SAID, Said
from tracer.shop.settings import (
    Shop,
    area_of,
    base_of,
    bit_of,
    bits_of,
    paper_margin,
    printed_bar,
    ratio_of,
    take,
)
from tracer.shop.wood import Wood, wood_named

Bits = tuple[tuple[str, Bit], ...]

MOST_STOPS = 3
"""Depth settings on a plunge router's turret (usually three: common practice, no source)."""

SHALLOWEST = 0.2
"""Least depth, mm: none is set finer by hand (common practice, no source); planning time grows below."""

LEAST_SHARE, MOST_SHARE = 4.0, 40.0
"""What sheets may share, mm: crosses need the one, and more than the other wastes paper (our own limits)."""

_TOLD = ("revision", "finish", "art_from", "allowed_by")
"""Settings that are printed as they were said."""

_OF_SHOP = ("pass_limit", "speed_low", "speed_high", "plunge_low", "plunge_high")
"""Settings that only the shop file holds."""

_SHOP_ORIGINS = {
    "units": "units",
    "printer.bar": "printer",
    "hand.error": "hand",
    "hand.speed": "speed",
    "hand.plunge": "plunge",
    "router.pass-limit": "pass-limit",
    "linkage.play": "play",
    "linkage.reach": "reach",
    "linkage.turned": "turned",
    "linkage.table": "table",
    "router.base": "router-base",
}


def resolve(flags: Mapping[str, object], *, job_file: Path | None = None, shop: Shop | None = None) -> Job:
    """Settle a job: the command line wins over the job file, that over the shop, that over what is assumed.

    Parameters
    ----------
    flags : settings as typed, by name; None where not said. Those of one picture
        (art, its size, place and turn, and how it is to be read) belong to the only piece.
    shop : as loaded; without it nothing is known of the workshop.

    Raises
    ------
    TracerError
        Where a setting cannot be read, or two do not go together.

    Notes
    -----
    A bare number is read in the units said beside it (command line, job file, shop file),
    or in what lasts longer; where nobody said any it is refused.
    """
    shop = shop or Shop()
    found = gather(flags, job_file, unit=shop.units if "units" in shop.said else None)
    said = found.said
    units = take(said, "units", read.units, shop.units)
    pieces = tuple(piece_of(row.said) for row in found.pieces)
    linkage = _linkage(said, shop)
    bits = bits_of(found.bits, "job file")
    bit = _bit(said, bits, shop.bits)
    stops = take(said, "stops", _stops, 1)
    job = Job(
        name=take(said, "name", read.text, _title(pieces)),
        pieces=pieces,
        board=_board(said),
        thickness=_thickness(said),
        margin=take(said, "margin", lambda one: read.length(one, allow_zero=True), 20.0),
        linkage=linkage,
        bit=bit,
        depth=take(said, "depth", _depth, 25.4 / 16.0),
        wood=_wood(said),
        grain_deg=take(said, "grain", _grain, 0.0),
        paper=take(said, "paper", _paper, default_paper(units)),
        printer=_printer(said, shop.printer),
        units=units,
        date=take(said, "date", read.day, datetime.date.today()),
        retrace="retrace" not in said or read.yes_no(said["retrace"]),
        max_widening=take(said, "max-widening", lambda one: read.number(one, low=1.0, high=100.0), 2.0),
        thin=take(said, "thin", _thin, "drop"),
        stops=stops,
        acts=acts_of(said, stops=stops),
        bits=bits or shop.bits,
        hand_error=take(said, "hand", lambda one: read.length(one, allow_zero=True), shop.hand_error),
        read_from=take(said, "read-from", read.length, None),
        hold=take(said, "hold", _hold, "fewest"),
        overlap=take(said, "overlap", _overlap, SHEETS_SHARE),
        router_base=take(said, "router-base", base_of, shop.router_base),
        **_as_they_are(said, shop),
        origins=_origins(found, shop, linkage, bit),
    )
    _check(job)
    return job


def _as_they_are(said: Mapping[str, Said], shop: Shop) -> dict[str, Any]:
    """Settings that nothing changes: those of the shop file alone, and words to print."""
    told = {name: take(said, name.replace("_", "-"), read.text, "") for name in _TOLD}
    return {name: getattr(shop, name) for name in _OF_SHOP} | told


def _title(pieces: Sequence[PieceSpec]) -> str:
    """Return what to call a job that nobody named: as its first piece."""
    first = next((piece for piece in pieces if piece.border is None), PieceSpec())
    return (first.words.called if first.words else Path(first.art).stem) or "carving"


def _depth(said: Said) -> float:
    depth = read.length(said)
    if depth < SHALLOWEST:
        raise said.refuse(f"no router can be set so shallow: at least {SHALLOWEST:g} mm is expected")
    return depth


def _stops(said: Said) -> int:
    stops = read.number(said, low=1, high=MOST_STOPS)
    if stops != int(stops):
        raise said.refuse(f"a whole number from 1 to {MOST_STOPS} is expected")
    return int(stops)


def _board(said: Mapping[str, Said]) -> tuple[float, float, float] | None:
    if "board" not in said:
        return None
    width, height, *_ = (limited(said["board"], side) for side in _board_size(said["board"]))
    return width, height, _thickness(said)


def _board_size(said: Said) -> tuple[float, ...]:
    return read.size(said, parts=(3, 2))


def _thickness(said: Mapping[str, Said]) -> float:
    one = _says_thickness(said)
    if one is None:
        return 19.05
    return limited(one, _board_size(one)[2] if one is said.get("board") else read.length(one))


def _says_thickness(said: Mapping[str, Said]) -> Said | None:
    """The board's size where it has three parts, or the thickness itself; of two the command line's."""
    own, board = said.get("thickness"), said.get("board")
    if board is None or len(_board_size(board)) == 2:
        return own
    if own is None or own.origin != board.origin:
        return board if own is None or board.origin == SAID else own
    if not math.isclose(_board_size(board)[2], read.length(own), abs_tol=1e-6):
        raise own.refuse("the board's size says another thickness: leave one out")
    return own


def _linkage(said: Mapping[str, Said], shop: Shop) -> Linkage:
    """The shop's linkage; a ratio said for this job is a measured one only where it is the same."""
    stands = shop.linkage or Linkage(0.5)
    ratio = take(said, "ratio", ratio_of, stands.ratio)
    same = math.isclose(ratio, stands.ratio, rel_tol=1e-9)
    return replace(
        stands,
        ratio=ratio,
        measured_on=stands.measured_on if same else None,
        reach=take(said, "reach", area_of, stands.reach),
        turned=take(said, "turned", read.yes_no, stands.turned),
        table=take(said, "table", area_of, stands.table),
    )


def _printer(said: Mapping[str, Said], stands: Printer) -> Printer:
    """The shop's printer; a bar measured for this job wins."""
    margin = take(said, "paper-margin", paper_margin, stands.margin)
    if "bar" not in said:
        return replace(stands, margin=margin)
    across, down = printed_bar(said["bar"])
    return Printer(across, down, measured=True, margin=margin)


def _bit(said: Mapping[str, Said], own: Bits, shop: Bits) -> Bit:
    """A bit of the job file or of the shop by its name, else one in words; unsaid, the first there is."""
    if "bit" not in said:
        return (own or shop or (("", VBit(60.0, 12.7)),))[0][1]
    by_name = {name.casefold(): bit for name, bit in (*shop, *own)}
    words = read.text(said["bit"], example='"V 60deg 1/2in"').casefold()
    if words in by_name:
        return by_name[words]
    try:
        return bit_of(said["bit"])
    except BitError as error:
        if not by_name:
            raise
        files = [("job file", own), ("shop file", shop)]
        named = [f"the {file} has {', '.join(name for name, _ in bits)}" for file, bits in files if bits]
        raise BitError(f"{error}; {' and '.join(named)}") from error


def _wood(said: Mapping[str, Said]) -> Wood:
    """The wood of that name, with the user's own least land where they said it."""
    wood = take(said, "wood", lambda one: wood_named(read.text(one), what=one.where), wood_named("pine"))
    along = take(said, "land-along", read.length, wood.land_along)
    across = take(said, "land-across", read.length, wood.land_across)
    return replace(wood, land_along=along, land_across=across)


def _grain(said: Said) -> float:
    if isinstance(said.value, str) and (word := said.value.strip().casefold()).isalpha():
        if word not in ("along", "across"):
            raise said.refuse("along, across, or degrees from the board's width are expected")
        return 0.0 if word == "along" else 90.0
    return read.angle_deg(said) % 180.0


def _paper(said: Said) -> Paper:
    words = read.text(said, example='"A4"')
    return paper_named(words, unit=said.unit, what=said.where, shortest=LEAST_PRINTED)


def _hold(said: Said) -> Hold:
    match said.value:
        case "fewest" | "portrait" | "landscape":
            return said.value
    raise said.refuse("portrait, landscape or fewest is expected")


def _overlap(said: Said) -> float:
    return read.length_within(said, low=LEAST_SHARE, high=MOST_SHARE, why="the crosses stand in it")


def _thin(said: Said) -> Thin:
    match said.value:
        case "drop" | "keep":
            return said.value
    raise said.refuse("drop or keep is expected")


def _origins(found: Gathered, shop: Shop, linkage: Linkage, bit: Bit) -> dict[str, str]:
    """Where each setting came from; what was assumed is left out."""
    said = found.said
    origins = {name: "from the shop file" for key, name in _SHOP_ORIGINS.items() if key in shop.said}
    if found.bits or shop.bits:
        origins["bit"] = origins["bits"] = f"from the {'job' if found.bits else 'shop'} file"
    if shop.printer.measured:
        origins["printer"] = "from the shop file, measured"
    if "bar" in said:
        origins["printer"] = f"{said['bar'].origin}, measured"
    if shop.linkage and ("linkage.ratio" in shop.said or not shop.said):
        origins["ratio"] = "from the shop file"
    for row in found.pieces:
        origins |= {key: one.origin for key, one in row.said.items() if key != "name"}  # the title is another
    origins |= {key: one.origin for key, one in said.items()}
    if (thick := _says_thickness(said)) is not None:
        origins["thickness"] = thick.origin
    if linkage.measured_on and "ratio" in origins:
        origins["ratio"] += f", measured {linkage.measured_on.isoformat()}"
    day = next((shop.bits_measured.get(name) for name, one in shop.bits if one == bit), None)
    if day is not None:
        origins["bit"] += f", measured {day.isoformat()}"
    return origins


def _check(job: Job) -> None:
    """Refuse settings that do not go together."""
    check_pieces(job.pieces, on_board=job.board is not None)
    try:
        groove = job.groove
    except BitError as error:
        came = f"the depth was {job.origin('depth')}, the bit {job.origin('bit')}"
        raise BitError(f"{error} ({came})") from error
    if job.board and min(job.board[:2]) <= 2.0 * job.margin + groove:
        need = both(2.0 * job.margin + groove, job.units)
        raise JobError(
            f"the board's shorter side is {both(min(job.board[:2]), job.units)}; two margins of "
            f"{both(job.margin, job.units)} and a groove take {need}: say a smaller margin or a bigger board"
        )
    sides = [side for piece in job.pieces for side in (piece.width, piece.height) if side]
    check_template(max(sides, default=0.0), job)
