"""Changing the shop file: comments stay, and a bad value leaves the file untouched."""

from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracer.errors import JobError
from tracer.lengths import quoted
from tracer.shop import said as read
from tracer.shop.said import Said
from tracer.shop.settings import FORM, Shop, parse_shop, shop_path
from tracer.shop.toml_file import read_text, unknown_key, write_text

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_NEW = "# What stands in the workshop and lasts from job to job. What is not said here is assumed.\n"


def save_shop(
    changes: Mapping[str, str | None], *, bits_measured: str | None = None, path: Path | None = None
) -> Shop:
    """Change settings in the shop file and return what it then says.

    Parameters
    ----------
    changes : values as typed, by key: "linkage.ratio", ..., or "bits.NAME" for a bit.
        None takes a setting out.
    bits_measured : the day on which the bits among the changes were measured by test grooves;
        without it they were not, whatever the file said of one before.
    path : the file; without it the user's own, made where it is not there.

    Raises
    ------
    TracerError
        For a key that is not known, a value that cannot be, or a file that cannot be read
        or written; the file is then as it was.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    path = path or shop_path()
    before = read_text(path, FORM.noun) if path.exists() else _NEW
    try:
        document = tomlkit.parse(before)
        if "units" in changes:  # a bare number would change its meaning, so it is refused first
            document.pop("units", None)
            parse_shop(tomlkit.dumps(document), path.name)
            document = tomlkit.parse(before)
        for key, value in changes.items():
            _change(document, key, value, bits_measured)
        text = tomlkit.dumps(document)
    except (TOMLKitError, RecursionError) as error:
        raise JobError(f"{path.name} cannot be changed: {error}; put it right in an editor first") from error
    shop = parse_shop(text, path.name)
    write_text(path, text)
    return shop


def _change(document: "TOMLDocument", key: str, value: str | None, bits_measured: str | None) -> None:
    if key.startswith("bits.") and key != "bits.":
        _change_bit(document, key.removeprefix("bits."), value, bits_measured)
        return
    if key not in FORM.keys:
        raise unknown_key(key, [*FORM.keys, "bits.NAME"], "the setting")
    head, _, name = key.rpartition(".")
    table: Any = document
    if head:
        table = document.setdefault(head, _empty_table())
        if not isinstance(table, MutableMapping):
            raise _wrong_kind(head)
    spelled = name.replace("-", "_")
    name = spelled if spelled in table else name
    if value is None:
        table.pop(name, None)
    else:
        table[name] = _native(key, value)


def _change_bit(document: "TOMLDocument", name: str, spec: str | None, measured: str | None) -> None:
    """Put a bit in place of the one so called, or after the others."""
    import tomlkit

    if "bits" not in document:
        document.add(tomlkit.nl())
        document["bits"] = tomlkit.aot()
    rows: Any = document["bits"]
    if not isinstance(rows, list):
        raise _wrong_kind("bits")
    place = next((n for n, row in enumerate(rows) if _called(row, name)), None)
    if spec is None:
        if place is not None:
            del rows[place]
        return
    day = {} if measured is None else {"measured": read.day(Said(measured, f"bits.{name}: measured", ""))}
    if place is not None:
        rows[place].pop("measured", None)
        rows[place].update({"spec": spec} | day)
        return
    row: Any = tomlkit.table() if isinstance(rows, tomlkit.items.AoT) else tomlkit.inline_table()
    row.update({"name": name, "spec": spec} | day)
    rows.append(row)


def _wrong_kind(key: str) -> JobError:
    return JobError(f"{quoted(key)} in the shop file is not as it should be; put it right in an editor first")


def _called(row: object, name: str) -> bool:
    return isinstance(row, Mapping) and str(row.get("name", "")).casefold() == name.casefold()


def _empty_table() -> Any:
    import tomlkit

    return tomlkit.table()


def _native(key: str, value: str) -> object:
    """Days and truths as TOML has them; all else as it was typed."""
    said = Said(value, key, "")
    if key == "linkage.measured":
        return read.day(said)
    return read.yes_no(said) if key == "linkage.turned" else value
