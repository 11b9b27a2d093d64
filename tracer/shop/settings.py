"""What lasts from job to job: the shop file, in the user's configuration folder."""

import datetime
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from tracer.errors import BitError, JobError
from tracer.lengths import MM_PER_INCH, Units
from tracer.shop import said as read
from tracer.shop.bit_words import parse_bit
from tracer.shop.bits import Bit
from tracer.shop.linkage import Linkage, parse_ratio
from tracer.shop.printer import BAR, Printer
from tracer.shop.router import LEAST_BASE, MOST_BASE, MOST_DEPTH_A_PASS, ROUTER_BASE
from tracer.shop.said import Said
from tracer.shop.toml_file import Form, Row, read_settings, read_text

T = TypeVar("T")

BIT_KEYS = ("name", "spec")
"""What is said of a bit in a shop file or a job file."""

_SHOP_BIT_KEYS = (*BIT_KEYS, "measured")

FORM = Form(
    "shop file",
    (
        "units",
        "linkage.ratio",
        "linkage.measured",
        "linkage.play",
        "linkage.reach",
        "linkage.turned",
        "linkage.table",
        "printer.bar",
        "printer.margin",
        "hand.error",
        "hand.speed",
        "hand.plunge",
        "router.pass-limit",
        "router.base",
    ),
    {"bits": _SHOP_BIT_KEYS},
)


SLOWEST, FASTEST = 1.0, 500.0
"""Speeds of the stylus taken, mm/s: our own limits."""

SHORTEST_PLUNGE, LONGEST_PLUNGE = 1.0, 600.0
"""Times taken for a plunge and its lift, s: our own limits."""


@dataclass(frozen=True)
class Shop:
    """What stands in the workshop, and the user's own hand.

    Attributes
    ----------
    linkage : None where nothing is known of it.
    bits : (name, bit), in the user's order.
    bits_measured : the day on which a bit was measured by test grooves, by its name; others are as marked.
    printer : as its bar was measured, or assumed true.
    units : how the user reads lengths.
    speed_low, speed_high : of the stylus along the template, mm/s.
    plunge_low, plunge_high : time for a plunge and its lift, s.
    hand_error : how far the stylus strays from the line, mm on the template; 0: nobody said.
    pass_limit : deepest cut in one pass, mm.
    router_base : diameter of the router's base, mm.
    said : keys that the shop file holds; all else is assumed.

    Notes
    -----
    Speeds, times, the hand's error and the base's diameter are common practice, no source.
    """

    linkage: Linkage | None = None
    bits: tuple[tuple[str, Bit], ...] = ()
    bits_measured: Mapping[str, datetime.date] = field(default_factory=dict, hash=False)
    printer: Printer = field(default_factory=Printer)
    units: Units = "mm"
    speed_low: float = 10.0
    speed_high: float = 20.0
    plunge_low: float = 10.0
    plunge_high: float = 10.0
    hand_error: float = 0.0
    pass_limit: float = MOST_DEPTH_A_PASS
    router_base: float = ROUTER_BASE
    said: frozenset[str] = frozenset()


def shop_path() -> Path:
    """Where the shop file is, or will be: TRACER_SHOP, else the user's configuration folder."""
    if chosen := os.environ.get("TRACER_SHOP"):
        return Path(chosen)
    return _configuration_folder() / "tracer" / "shop.toml"


def load_shop(path: Path | None = None) -> Shop:
    """Read the shop file; without a path the user's own, which need not be there.

    Raises
    ------
    TracerError
        Where it cannot be read, holds an unknown key, or a value that cannot be; the
        message names the file, the key and what was read.
    """
    if path is None:
        path = shop_path()
        if not path.exists():
            return Shop()
    return parse_shop(read_text(path, FORM.noun), path.name)


def parse_shop(text: str, file: str) -> Shop:
    """The shop that a shop file's text describes; `file` is its name for messages."""
    found = read_settings(text, file, FORM)
    said, rows = found.said, found.rows.get("bits", ())
    bits = bits_of(rows, FORM.noun)
    speed = take(said, "hand.speed", _speed, (10.0, 20.0))
    plunge = take(said, "hand.plunge", _plunge, (10.0, 10.0))
    return Shop(
        linkage=_linkage(said),
        bits=bits,
        bits_measured=_days_of(rows),
        printer=_printer(said),
        units=take(said, "units", read.units, "mm"),
        speed_low=speed[0],
        speed_high=speed[1],
        plunge_low=plunge[0],
        plunge_high=plunge[1],
        hand_error=take(said, "hand.error", lambda one: _length_to(one, 20.0, allow_zero=True), 0.0),
        pass_limit=take(said, "router.pass-limit", lambda one: _length_to(one, 50.0), MOST_DEPTH_A_PASS),
        router_base=take(said, "router.base", base_of, ROUTER_BASE),
        said=frozenset(said) | {f"bits.{name}" for name, _ in bits},
    )


def take(said: Mapping[str, Said], key: str, reader: Callable[[Said], T], default: T) -> T:
    """Read a setting, or what stands where nobody said it."""
    return reader(said[key]) if key in said else default


def ratio_of(said: Said) -> float:
    """A ratio as text or as a plain number."""
    if isinstance(said.value, str):
        return parse_ratio(said.value, what=said.where)
    return parse_ratio(f"{read.number(said, low=-1e6, high=1e6):.12g}", what=said.where)


def bit_of(said: Said) -> Bit:
    """A bit in words; the error says where it stood."""
    try:
        return parse_bit(read.text(said, example='"V 60deg 1/2in"'))
    except BitError as error:
        raise BitError(f"{said.where}: {error}") from error


def bit_called(words: str) -> Bit:
    """A bit by its name in the shop file, or in words; as everywhere the name comes first."""
    return named_bit(words)[1]


def named_bit(words: str) -> tuple[str, Bit]:
    """Return a bit of the shop with its name there, or one in words, which are then its name."""
    wanted = " ".join(words.split())
    for name, bit in load_shop().bits:
        if name.casefold() == wanted.casefold():
            return name, bit
    return wanted, parse_bit(words)


def bits_of(rows: Sequence[Row], noun: str) -> tuple[tuple[str, Bit], ...]:
    """The bits, by name, of the [[bits]] of a file; `noun` is what to call the file."""
    bits = tuple(_bit(row) for row in rows)
    names = [name.casefold() for name, _ in bits]
    for name, _ in bits:
        if names.count(name.casefold()) > 1:
            raise JobError(f'two bits of the {noun} are called "{name}": give each its own name')
    return bits


def _configuration_folder() -> Path:
    if sys.platform == "win32":
        base, home = os.environ.get("APPDATA"), "AppData/Roaming"
    elif sys.platform == "darwin":
        base, home = None, "Library/Application Support"
    else:
        base, home = os.environ.get("XDG_CONFIG_HOME"), ".config"
    if base and Path(base).is_absolute():
        return Path(base)
    try:
        return Path.home() / home
    except RuntimeError as error:
        raise JobError("no home folder was found for the shop file: name the file in TRACER_SHOP") from error


def _linkage(said: Mapping[str, Said]) -> Linkage | None:
    if not any(key.startswith("linkage.") for key in said):
        return None
    if "linkage.measured" in said and "linkage.ratio" not in said:
        raise said["linkage.measured"].refuse("linkage.ratio is expected with it: what was measured?")
    return Linkage(
        ratio=take(said, "linkage.ratio", ratio_of, 0.5),
        measured_on=take(said, "linkage.measured", read.day, None),
        play=take(said, "linkage.play", lambda one: _length_to(one, 20.0, allow_zero=True), 0.0),
        reach=take(said, "linkage.reach", area_of, None),
        turned="linkage.turned" in said and read.yes_no(said["linkage.turned"]),
        table=take(said, "linkage.table", area_of, None),
    )


def _printer(said: Mapping[str, Said]) -> Printer:
    bar = take(said, "printer.bar", printed_bar, (BAR, BAR))
    margin = take(said, "printer.margin", paper_margin, 10.0)
    return Printer(bar[0], bar[1], measured="printer.bar" in said, margin=margin)


def area_of(said: Said) -> tuple[float, float]:
    """Width and height that something covers, mm."""
    width, height = read.size(said)
    return width, height


def paper_margin(said: Said) -> float:
    """The border of the paper that is left free, mm."""
    return read.length_within(said, low=0.0, high=50.0)


def base_of(said: Said) -> float:
    """The diameter of a router's base, mm."""
    return read.length_within(said, low=LEAST_BASE, high=MOST_BASE)


def printed_bar(said: Said) -> tuple[float, float]:
    """What the 100 mm bar measures across and down, mm; one number is for both."""
    why = "measure the bar that says 100 mm on the printed sheet"
    across, *down = read.lengths_within(said, parts=(1, 2), low=0.8 * BAR, high=1.2 * BAR, why=why)
    return across, down[0] if down else across


def _speed(said: Said) -> tuple[float, float]:
    inches = isinstance(said.value, str) and said.value.strip().endswith("in/s")
    if not inches:
        return read.between(said, "mm/s", low=SLOWEST, high=FASTEST)
    low, high = read.between(said, "in/s", low=0.04, high=20.0)
    return low * MM_PER_INCH, high * MM_PER_INCH


def _plunge(said: Said) -> tuple[float, float]:
    return read.between(said, "s", low=SHORTEST_PLUNGE, high=LONGEST_PLUNGE)


def _length_to(said: Said, most: float, *, allow_zero: bool = False) -> float:
    value = read.length(said, allow_zero=allow_zero)
    if value > most:
        raise said.refuse(f"at most {most:g} mm is expected")
    return value


def _days_of(rows: Sequence[Row]) -> dict[str, datetime.date]:
    """The days on which bits were measured, by the bits' names."""
    return {_bit(row)[0]: read.day(row.said["measured"]) for row in rows if "measured" in row.said}


def _bit(row: Row) -> tuple[str, Bit]:
    name = read.text(row.need("name", '"sign V"'))
    return name, bit_of(row.need("spec", '"V 60deg 1/2in"'))
