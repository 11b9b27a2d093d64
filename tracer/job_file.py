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
from tracer.lengths import Units
from tracer.reading_words import READING_KEYS
from tracer.shop import said as read
from tracer.shop.said import SAID, Said
from tracer.shop.settings import BIT_KEYS, take
from tracer.shop.toml_file import Form, Row, read_settings, read_text, unknown_key, write_text

KEYS = {
    "name": "name",
    "date": "date",
    "units": "units",
    "board.size": "board",
    "board.thickness": "thickness",
    "board.margin": "margin",
    "board.wood": "wood",
    "board.grain": "grain",
    "linkage.ratio": "ratio",
    "bit.spec": "bit",
    "bit.depth": "depth",
    "sheets.paper": "paper",
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

PIECE_KEYS = ("art", "width", "height", "x", "y", "turn", *READING_KEYS)

_MARK = "\ufeff"
"""Some editors begin a text in UTF-8 with it."""

_FORM = Form("job file", tuple(KEYS), {"pieces": PIECE_KEYS, "bits": BIT_KEYS})

_NEW = """\
# A job for the linkage. Take the # off a line to say it; what is not said is assumed,
# or comes from the shop file. The command line wins over this file.
# A length needs its unit: "1/8 in", "3.2 mm", "1' 4\\"". One number without a unit is
# read only where `units` is said.

#name = "carving"                # title of the sheets
#date = {date}              # printed on them; the same date gives the same bytes
#units = "mm"                    # mm or in: how lengths are written for you

#[board]
#size = "600 x 200 x 19.05 mm"   # width x height x thickness; without it the board is cut to the figure
#thickness = "3/4 in"            # where the size is not said
#margin = "20 mm"                # from the board's edge to the outermost groove's edge
#wood = "pine"
#grain = "along"                 # along or across the board's width, or degrees from it

#[linkage]
#ratio = "1:2"                   # carving : template, also "50%" or 0.5; trace a long line and measure it

#[bit]
#spec = "V 60deg 1/2in"          # or a bit's name in the shop file; "round 1/4in", "straight 1/8in"
#depth = "1/16 in"

#[sheets]
#paper = "A4"                    # A4, A3, Letter, Legal, Tabloid, or "12 x 18 in"

#[rules]
#retrace = true                  # follow a groove again rather than lift the router
#max-widening = 2.0              # a stroke may come out so many times as wide as it was drawn
#thin = "drop"                   # drop what would come out wider than that, or keep it
#stops = 1                       # depth settings of the router to use, 1 to 3: bold lines deep, fine shallow
#hand = "0 mm"                   # how far your hand strays on the template: the wood between must bear it
#read-from = "10 ft"             # how far off words are to be read; else it is said how far they carry
#land-along = "3 mm"             # least wood between grooves along the grain, else a rule of thumb
#land-across = "3/16 in"         # and across it

# Single strokes, by the numbers that the preview shows; a range is "10-12".
#[strokes]
#leave-out = []                  # not cut, as [3, 7, "10-12"]
#keep = []                       # cut, though the bit will not hold them
#join = []                       # a stroke from end to end, as [["3 end", "7 start"]]
#thin-out = []                   # bundles of lines, as [["14-19"]]: every second goes, until the wood holds
#stop = {{}}                       # depth stop of a stroke, 1 the deepest, as {{8 = 2, 10-12 = 2}}
#side = {{}}                       # of the edge of a solid: on, inside or outside, as {{5 = "inside"}}

# One [[bits]] for each bit at hand, where they are not those of the shop file.
#[[bits]]
#name = "sign V"                 # bit.spec may say this name; the first is used where it says none
#spec = "V 60deg 1/2in"

# One [[pieces]] for each picture. Sizes are on the wood, between the middles of the outermost
# strokes; give both to fit it inside. x and y place the left and top of that; without them it is centred.
#[[pieces]]
#art = "picture.png"             # beside this file, or a path from here
#width = "200 mm"
#height = "150 mm"
#x = "30 mm"
#y = "30 mm"
#turn = 0                        # degrees, clockwise
#follow = "line"                 # the middle of lines, or the edge of all ink: letters, silhouettes
#dpi = 300                       # where the picture's own is wrong; instead of it one of the next two
#art-width = "210 mm"            # of the whole picture on its own paper
#known = "120,340 560,340 = 85 mm"  # two places in the picture, in pixels, and the length between them
#page = 1                        # of a file with several
#photo-of = "auto"               # the sheet in a photo: A4, Letter, any, or no
#corners = "210,180 2890,240 2960,3900 150,3850"  # of that sheet, in pixels, where they are not found
#deskew = false                  # turn a scan straight that lies a little askew
#close-gaps = true               # close small gaps in lines; each has a number in the report
#open-gaps = []                  # the numbers of those to leave open, as [2, "5-7"]
#insist = false                  # go on though the picture does not look like line art
"""


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
        key: Said(str(value) if isinstance(value, Path) else value, f"--{key}", SAID, unit)
        for key, value in typed.items()
    }
    of_picture = {key: one for key, one in now.items() if key in PIECE_KEYS}
    said = {**from_file.said, **{key: one for key, one in now.items() if key in KEYS.values()}}
    return Gathered(said, _pieces(from_file.pieces, of_picture), from_file.bits)


def _pieces(rows: tuple[Row, ...], now: Mapping[str, Said]) -> tuple[Row, ...]:
    if not now:
        return rows
    first = next(iter(now.values()))
    if len(rows) > 1:
        if "art" in now:
            raise JobError(f"The job file has {len(rows)} pictures of its own: leave {now['art'].value} out")
        raise JobError(
            f"{first.where} is for one picture, and the job file has {len(rows)}: say it in its [[pieces]]"
        )
    merged = {**(rows[0].said if rows else {}), **now}
    if "art" not in merged:
        raise JobError(f"{first.where} is about a picture, and none is named: name one, or a job file")
    return (Row("the picture", merged),)


def new_job_text(date: datetime.date) -> str:
    """A job file with every setting in it, none said yet."""
    return _NEW.format(date=date.isoformat())


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
    art = row.need("art", '"picture.png"')
    found = replace(art, value=str(path.parent / read.text(art, example='"picture.png"')))
    return Row(row.where, {**row.said, "art": found})
