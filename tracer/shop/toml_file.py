"""Settings in a TOML file: reading with every slip named, and writing whole or not at all."""

import difflib
import os
import tempfile
import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tracer.errors import JobError, OutputError
from tracer.lengths import Units, quoted
from tracer.shop.said import Said
from tracer.shop.said import units as read_units


@dataclass(frozen=True)
class Form:
    """What a kind of file may hold.

    Attributes
    ----------
    noun : what to call it, as "job file".
    keys : single settings, those of a table written with a point, as "bit.depth".
    lists : lists of tables, with the keys of one table.
    """

    noun: str
    keys: Collection[str]
    lists: Mapping[str, Collection[str]]


@dataclass(frozen=True)
class Row:
    """One table of a list of tables: what to call it in a message, and its settings by name."""

    where: str
    said: Mapping[str, Said]

    def need(self, key: str, example: str) -> Said:
        """A setting that must be there."""
        if key not in self.said:
            raise JobError(f"{self.where} has no {key}: give it one, as {example}")
        return self.said[key]


@dataclass(frozen=True)
class Settings:
    """What a file holds: single settings by key, and the rows of its lists of tables."""

    said: Mapping[str, Said] = field(default_factory=dict)
    rows: Mapping[str, tuple[Row, ...]] = field(default_factory=dict)


def read_text(path: Path, noun: str) -> str:
    """The text of a file.

    Raises
    ------
    JobError
        Where it is not there, is a folder, or is not text in UTF-8.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise JobError(f"the {noun} {path} is not there: check the name and the folder") from error
    except OSError as error:
        raise JobError(f"the {noun} {path} cannot be read: {error.strerror or error}") from error
    except ValueError as error:
        raise JobError(f"the {noun} {path} is not text in UTF-8: save it again as plain text") from error


def read_settings(text: str, file: str, form: Form, *, unit: Units | None = None) -> Settings:
    """Sort a TOML text into settings; nothing is read yet but `units`.

    Parameters
    ----------
    file : its name, for messages.
    unit : what bare numbers are in where the text itself does not say `units`.

    Raises
    ------
    JobError
        Where it is no TOML, or a key is not known; the message names the nearest known one.
    """
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise JobError(f"{file} is not valid TOML: {error}") from error
    origin = f"from the {form.noun}"
    if "units" in form.keys and "units" in table:
        unit = read_units(Said(table["units"], f"{file}: units", origin))
    said: dict[str, Said] = {}
    rows: dict[str, tuple[Row, ...]] = {}
    for key, value in _flat(table, form, file):
        if key in form.lists:
            rows[key] = tuple(
                _row(row, f"{file}: [[{key}]] {n}", origin, unit)
                for n, row in enumerate(_rows(key, value, form, file), start=1)
            )
        else:
            said[key] = Said(value, f"{file}: {key}", origin, unit)
    return Settings(said, rows)


def unknown_key(key: str, known: Collection[str], place: str) -> JobError:
    """The error for a key that is not known, naming the nearest that is."""
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    hint = f'did you mean "{near[0]}"?' if near else f"known are {', '.join(sorted(known))}"
    return JobError(f"{place} {quoted(key)} is not known; {hint}")


def write_text(path: Path, text: str) -> None:
    """Write a file whole or not at all: beside it first, then in its place.

    Raises
    ------
    OutputError
        Where it cannot be written; what was there before is left as it was.
    """
    target = path.resolve()
    beside: Path | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
        beside = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o644)
        beside.replace(target)
    except (OSError, ValueError) as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        why = getattr(error, "strerror", None) or error
        raise OutputError(f"{path} cannot be written: {why}; nothing was changed") from error


def _flat(table: Mapping[str, object], form: Form, file: str) -> list[tuple[str, object]]:
    """Keys with their tables' names before them, each known."""
    tables = {key.split(".")[0] for key in form.keys if "." in key}
    plain = {key for key in form.keys if "." not in key}
    flat: list[tuple[str, object]] = []
    for key, value in _hyphened(table, f"{file}:").items():
        if key in plain or key in form.lists:
            flat.append((key, value))
        elif key not in tables:
            _refuse_misplaced(key, form, file)
            raise unknown_key(key, plain | tables | set(form.lists), f"{file}:")
        elif not isinstance(value, dict):
            raise Said(value, f"{file}: {key}", "").refuse(f"a table is expected, headed [{key}]")
        else:
            inside = {known.split(".")[1] for known in form.keys if known.startswith(f"{key}.")}
            for name, one in _hyphened(value, f"{file}: in [{key}]").items():
                if name not in inside:
                    _refuse_misplaced(name, form, file)
                    raise unknown_key(name, inside, f"{file}: in [{key}]")
                flat.append((f"{key}.{name}", one))
    return flat


def _refuse_misplaced(key: str, form: Form, file: str) -> None:
    """Say of a known key that stands in another place where it belongs."""
    homes = [f"[{known.rpartition('.')[0]}]" for known in form.keys if known.endswith(f".{key}")]
    homes += [f"[[{rows}]]" for rows, keys in form.lists.items() if key in keys]
    if homes:
        raise JobError(f"{file}: {quoted(key)} stands in the wrong place: put it under {' or '.join(homes)}")


def _hyphened(table: Mapping[str, object], place: str) -> dict[str, object]:
    """The table with its keys as we write them: "max_widening" is "max-widening"."""
    known: dict[str, object] = {}
    for key, value in table.items():
        name = key.replace("_", "-")
        if name in known:
            raise JobError(f"{place} {quoted(name)} is said twice, with a hyphen and without: leave one out")
        known[name] = value
    return known


def _row(row: Mapping[str, object], where: str, origin: str, unit: Units | None) -> Row:
    return Row(where, {name: Said(one, f"{where} {name}", origin, unit) for name, one in row.items()})


def _rows(key: str, value: object, form: Form, file: str) -> list[dict[str, object]]:
    """The tables of a list of tables, each key known."""
    if not (isinstance(value, list) and all(isinstance(row, dict) for row in value)):
        raise Said(value, f"{file}: {key}", "").refuse(f"tables are expected, each headed [[{key}]]")
    rows = [_hyphened(row, f"{file}: in [[{key}]]") for row in value]
    for row in rows:
        for name in row:
            if name not in form.lists[key]:
                raise unknown_key(name, form.lists[key], f"{file}: in [[{key}]]")
    return rows
