"""A job's settings as they were said, on the command line and in a job file; and a new file to fill in."""

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tracer.act_words import ACT_KEYS, acts_of, listed
from tracer.acts import Acts
from tracer.errors import JobError, OutputError
from tracer.lengths import Units, quoted
from tracer.lettering_words import LETTERING_KEYS, font_beside
from tracer.new_job import new_job_text
from tracer.piece_words import KINDS, PIECE_KEYS
from tracer.shop import said as read
from tracer.shop.said import SAID, Said
from tracer.shop.settings import BIT_KEYS, take
from tracer.shop.toml_file import Form, Row, read_settings, read_text, unknown_key, write_text

KEYS = {
    "name": "name",
    "date": "date",
    "revision": "revision",
    "finish": "finish",
    "art-from": "art-from",
    "allowed-by": "allowed-by",
    "units": "units",
    "board.size": "board",
    "board.thickness": "thickness",
    "board.margin": "margin",
    "board.wood": "wood",
    "board.grain": "grain",
    "linkage.ratio": "ratio",
    "linkage.reach": "reach",
    "linkage.turned": "turned",
    "linkage.table": "table",
    "router.base": "router-base",
    "bit.spec": "bit",
    "bit.depth": "depth",
    "sheets.paper": "paper",
    "sheets.hold": "hold",
    "sheets.margin": "paper-margin",
    "sheets.overlap": "overlap",
    "sheets.bar": "bar",
    "rules.retrace": "retrace",
    "rules.max-widening": "max-widening",
    "rules.thin": "thin",
    "rules.stops": "stops",
    "rules.hand": "hand",
    "rules.read-from": "read-from",
    "rules.land-along": "land-along",
    "rules.land-across": "land-across",
    **{f"strokes.{key}": key for key in ACT_KEYS},
}
"""Settings by where they stand in a job file; the command line has them by the second name."""

_TYPED = {"words": "the text of the words", "cap-height": "--height"}
"""What settings are called on the command line, where that is another name."""

_MARK = "\ufeff"
"""Some editors begin a text in UTF-8 with it."""

_FORM = Form("job file", tuple(KEYS), {"pieces": PIECE_KEYS, "bits": BIT_KEYS})


@dataclass(frozen=True)
class Gathered:
    """What was said, not read yet: settings by their names on the command line, pieces, bits at hand."""

    said: Mapping[str, Said]
    pieces: tuple[Row, ...] = ()
    bits: tuple[Row, ...] = ()


def read_job_file(path: Path, *, unit: Units | None = None) -> Gathered:
    """What a job file says, the pieces' art found from the file's folder.

    `unit` is what bare numbers are in where the file does not say `units` itself.

    Raises
    ------
    JobError
        Where it cannot be read or holds a key that is not known.
    """
    found = read_settings(read_text(path, _FORM.noun), path.name, _FORM, unit=unit)
    pieces = tuple(_beside(path, row) for row in found.rows.get("pieces", ()))
    return Gathered({KEYS[key]: said for key, said in found.said.items()}, pieces, found.rows.get("bits", ()))


def gather(flags: Mapping[str, object], job_file: Path | None, *, unit: Units | None = None) -> Gathered:
    """What the command line says, laid over what the job file says.

    `unit` is what bare numbers are in where neither says `units`.

    Raises
    ------
    JobError
        For a setting that is not known, or one of a picture where there is none or are several.
    """
    typed = {key.replace("_", "-"): value for key, value in flags.items() if value is not None}
    for key in typed:
        if key not in KEYS.values() and key not in PIECE_KEYS:
            raise unknown_key(key, [*KEYS.values(), *PIECE_KEYS], "the setting")
    from_file = Gathered({})
    if job_file is not None:
        from_file = read_job_file(job_file, unit=unit)
        unit = take(from_file.said, "units", read.units, unit)
    if "units" in typed:
        unit = read.units(Said(typed["units"], "--units", SAID))
    now = {
        key: Said(str(value) if isinstance(value, Path) else value, _TYPED.get(key, f"--{key}"), SAID, unit)
        for key, value in typed.items()
    }
    of_piece = {key: one for key, one in now.items() if key in PIECE_KEYS and key not in KEYS.values()}
    said = {**from_file.said, **{key: one for key, one in now.items() if key in KEYS.values()}}
    return Gathered(said, _pieces(from_file.pieces, of_piece), from_file.bits)


def _pieces(rows: tuple[Row, ...], now: Mapping[str, Said]) -> tuple[Row, ...]:
    """Lay what was typed of the only piece over what the job file says of it."""
    if not now:
        return rows
    first = next(iter(now.values()))
    named = next((now[kind] for kind in KINDS if kind in now), None)
    if len(rows) > 1:
        if named is not None:
            raise JobError(f"The job file has {len(rows)} pieces of its own: leave {_shown(named)} out")
        raise JobError(
            f"{first.where} is for one piece, and the job file has {len(rows)}: say it in its [[pieces]]"
        )
    of_file = rows[0].said if rows else {}
    if named is not None and not any(kind in now for kind in KINDS if kind in of_file) and of_file:
        raise JobError(f"The job file has a piece of another kind: leave {_shown(named)} out, or that piece")
    merged = {**of_file, **now}
    if not any(kind in merged for kind in KINDS):
        if any(key in LETTERING_KEYS for key in now):
            raise JobError(f"{first.where} is about words, and none are named: type them, or name a job file")
        raise JobError(f"{first.where} is about a picture, and none is named: name one, or a job file")
    return (Row("the words" if "words" in merged else "the picture", merged),)


def _shown(named: Said) -> str:
    """Return what was typed, for a message."""
    return str(named.value) if named.where == "--art" else quoted(str(named.value))


def write_new_job(path: Path, *, date: datetime.date, force: bool = False) -> None:
    """Write a job file to fill in.

    Raises
    ------
    OutputError
        Where something of that name is there and `force` is not said, or it cannot be written.
    """
    if path.exists() and not force:
        raise OutputError(f"{path} is there already and was left alone: choose another name, or say --force")
    write_text(path, new_job_text(date))


def write_acts(path: Path, acts: Acts) -> None:
    """Say in a job file which strokes are left out and which bundles are thinned out; all else stays.

    Raises
    ------
    JobError
        Where the file cannot be read.
    OutputError
        Where it cannot be written, or its table [strokes] cannot be changed; then it stays as it is.
    """
    from tomlkit.exceptions import TOMLKitError

    read_text(path, _FORM.noun)
    raw = path.read_bytes().decode("utf-8")
    text = raw.removeprefix(_MARK)
    mark = raw[: len(raw) - len(text)]
    known = _acts_in(text, path.name)
    try:
        text = _with_acts(text, known, acts)
        known = _acts_in(text, path.name)
    except (TOMLKitError, TypeError, JobError) as error:
        raise _cannot_change(path) from error
    if (set(known.leave_out), known.thin_out) != (set(acts.leave_out), acts.thin_out):
        raise _cannot_change(path)
    write_text(path, mark + text)


def _cannot_change(path: Path) -> OutputError:
    return OutputError(
        f"the table [strokes] of {path} cannot be changed, and the file was left as it is: "
        "run it without --write and put the table in yourself"
    )


def _acts_in(text: str, file: str) -> Acts:
    """Return what a job file's text says under [strokes], of what we write."""
    said = read_settings(text, file, _FORM).said
    keys = ("leave-out", "thin-out")
    return acts_of({key: said[f"strokes.{key}"] for key in keys if f"strokes.{key}" in said}, stops=1)


def _with_acts(text: str, known: Acts, acts: Acts) -> str:
    """Return a job file's text that leaves out and thins out as `acts`; it did as `known`."""
    import tomlkit

    document: Any = tomlkit.parse(text)
    if "strokes" not in document:
        document["strokes"] = tomlkit.table()
    _say(document["strokes"], "leave-out", known.leave_out, acts.leave_out)
    _say(document["strokes"], "thin-out", known.thin_out, acts.thin_out)
    written: str = tomlkit.dumps(document)
    all_crlf = text.count("\n") == text.count("\r\n") > 0
    return re.sub(r"(?<!\r)\n", "\r\n", written) if all_crlf else written


def _say(
    table: Any, key: str, known: Sequence[int | tuple[int, ...]], wanted: Sequence[int | tuple[int, ...]]
) -> None:
    """Add to the list of a key what is new, and write it whole where something is no longer wanted."""
    if set(known) == set(wanted):
        return
    spelled = key.replace("-", "_")
    key = spelled if spelled in table else key
    if isinstance(table.get(key), list) and set(known) < set(wanted):
        for one in listed([one for one in wanted if one not in known]):
            table[key].append(one)
    else:
        table[key] = listed(wanted)


def _beside(path: Path, row: Row) -> Row:
    """Return a piece with its files found from the job file's folder."""
    if not any(kind in row.said for kind in KINDS):
        raise JobError(
            f'{row.where} has no art, no words and no border: give it one, as art = "picture.png" or '
            'words = "EMMA"'
        )
    found = dict(row.said)
    if "art" in found:
        art = read.text(found["art"], example='"picture.png"')
        found["art"] = replace(found["art"], value=str(path.parent / art))
    if "font" in found:
        found["font"] = font_beside(found["font"], path.parent)
    return Row(row.where, found)
