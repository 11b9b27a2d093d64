"""Which face of a collection, and which instance of a variable font."""

import math
from pathlib import Path
from typing import Any

from tracer.errors import LetterError

_FULL, _FAMILY, _STYLE, _TYPE_FAMILY, _TYPE_STYLE = 4, 1, 2, 16, 17
"""Identifiers in the name table (OpenType specification, "name")."""


def name_of(face: Any) -> str:
    """Return the full name of HarfBuzz's face, "" where it tells none."""
    family = face.get_name(_TYPE_FAMILY) or face.get_name(_FAMILY) or ""
    style = face.get_name(_TYPE_STYLE) or face.get_name(_STYLE) or ""
    return (face.get_name(_FULL) or f"{family} {style}").strip()


def chosen_face(faces: list[str], wanted: str, path: Path) -> int:
    """Return the index of the face of a collection that is `wanted` by its number from 1 or its name.

    Raises
    ------
    LetterError
        Where there is none, with a list of those there are.
    """
    if not wanted:
        return 0
    if wanted.isdecimal() and 1 <= int(wanted) <= len(faces):
        return int(wanted) - 1
    same = [index for index, name in enumerate(faces) if _plain(name) == _plain(wanted)]
    if same:
        return same[0]
    known = ", ".join(f"{number} {name}" for number, name in enumerate(faces, start=1))
    raise LetterError(f'{path}: no face "{wanted}" in this collection; it holds: {known}')


def set_instance(font: Any, wanted: str, path: Path) -> str:
    """Set HarfBuzz's font to an instance, by name or as "wght=600, wdth=80"; return how it is called.

    Raises
    ------
    LetterError
        For an instance, axis or value that the font lacks, with a list of what it has.
    """
    face = font.face
    family = face.get_name(_TYPE_FAMILY) or face.get_name(_FAMILY) or ""
    if not wanted:
        return name_of(face)
    if not face.axis_infos:
        if _plain(wanted) in {_plain(face.get_name(name) or "") for name in (_STYLE, _TYPE_STYLE, _FULL)}:
            return name_of(face)
        raise LetterError(f'{path}: no instance "{wanted}": this is no variable font; leave the instance out')
    if "=" in wanted:
        font.set_variations(_values(face, wanted, path))
        return f"{family} {wanted}".strip()
    names = [face.get_name(one.subfamily_name_id) or "" for one in face.named_instances]
    for name, one in zip(names, face.named_instances, strict=True):
        if _plain(name) == _plain(wanted):
            tags = [axis.tag for axis in face.axis_infos]
            font.set_variations(dict(zip(tags, one.design_coords, strict=True)))
            return f"{family} {name}".strip()
    raise LetterError(
        f'{path}: no instance "{wanted}"; it has {", ".join(names) or "none by name"}, '
        f"and axes to set: {_axes_words(face)}"
    )


def _values(face: Any, wanted: str, path: Path) -> dict[str, float]:
    """Return the axis values of "wght=600, wdth=80"."""
    axes = {axis.tag: axis for axis in face.axis_infos}
    values = {}
    for part in wanted.split(","):
        tag, _, text = (word.strip() for word in part.partition("="))
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        axis = axes.get(tag)
        if axis is None or not axis.min_value <= value <= axis.max_value:
            raise LetterError(f'{path}: "{part.strip()}" cannot be set; axes to set: {_axes_words(face)}')
        values[tag] = value
    return values


def _axes_words(face: Any) -> str:
    """Return the axes as "wght=100 to 900"."""
    return ", ".join(f"{axis.tag}={axis.min_value:g} to {axis.max_value:g}" for axis in face.axis_infos)


def _plain(name: str) -> str:
    """Return a name as it is compared: no case, no spaces or hyphens."""
    return name.casefold().replace(" ", "").replace("-", "")
