"""The report as one page that needs no network, and is whole without scripts: report.html."""

import base64
import hashlib
import os
import re
import sys
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from importlib.resources import files
from importlib.util import cache_from_source
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracer.model.plan import Plan
from tracer.model.sizes import SizeCurve
from tracer.sheets.bench_words import minutes, plunge_words, volume_words
from tracer.sheets.cautions import cautions
from tracer.sheets.clean_up import clean_up
from tracer.sheets.extents import between_words, followed_extent
from tracer.sheets.figure import WIDTH, figures, image_uri, on_white
from tracer.sheets.page_tables import (
    dropped_groups,
    finding_groups,
    island_groups,
    letter_tables,
    set_up_rows,
    size_commands,
    size_table,
    stop_rows,
    stroke_rows,
)
from tracer.sheets.page_words import PageWords
from tracer.sheets.pieces import chosen
from tracer.sheets.preview import preview_image
from tracer.sheets.record import grooved_extent
from tracer.sheets.settings_table import settings_rows
from tracer.sheets.size_chart import chart
from tracer.sheets.verdict import verdict
from tracer.shop.linkage import ratio_words

if TYPE_CHECKING:
    from jinja2 import Template
    from PIL import Image

_MOST_BYTES = 1_450_000
"""Of the page: words and lines take what they need, pictures what they leave."""

_ART_BYTES, _ART_SIDE = 600_000, 1400  # at most, for the pictures of all art
_PREVIEW_BYTES, _PREVIEW_SIDE = 400_000, 1200
_ART_SHARE = 0.6  # of what is left, where that is less
_PREVIEW_NAME = "picture of the board"
_LAYERS = (
    ("art", "Art", True),
    ("grooves", "Grooves", True),
    ("strokes", "Strokes", True),
    ("numbers", "Their numbers", True),
    ("findings", "Findings", True),
    ("runs", "Runs", False),
)
"""What can be shown of a picture or not: name, words, and whether it is shown at first."""

_FOLD = 12  # rows from which a table starts folded: the reader opens it
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def write_report(
    plan: Plan,
    path: Path,
    art: Mapping[int, bytes] | None = None,
    *,
    preview: bytes | None = None,
    curve: SizeCurve | None = None,
) -> None:
    """Write the report as one UTF-8 HTML file of at most about 1.5 MB.

    Parameters
    ----------
    plan : what will happen.
    path : the file.
    art : pictures of the art in any format that Pillow reads, by piece counted from 0, each
        covering the art exactly; a piece without one has its strokes shown alone.
    preview : the picture of the carved board as `write_preview` writes it; without it, it is
        drawn anew.
    curve : what is lost at other sizes; without it, the page says how to ask.
    """
    script = _file("report.js")
    carved = preview_image(plan, _PREVIEW_SIDE) if preview is None else on_white(preview)
    page = report_page().render(
        _context(plan, art or {}, carved.size),
        curve=size_table(curve),
        chart=printable(chart(curve)) if curve else "",
        size_commands=size_commands(plan),
        style=_file("report.css"),
        script=script,
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
    )
    page = _with_pictures(page, art or {}, carved)
    path.write_text(page, encoding="utf-8", newline="\n")


def _with_pictures(page: str, art: Mapping[int, bytes], carved: "Image.Image") -> str:
    """Return the page with its pictures where they are named, as large as there is room for."""
    room = _MOST_BYTES - len(page.encode())
    each = min(_ART_BYTES, int(_ART_SHARE * room)) // max(1, len(art))
    for index, data in art.items():
        uri = image_uri(on_white(data), side=_ART_SIDE, most=each)
        page = page.replace(f'href="{_art_name(index)}"', f'href="{uri}"')
    most = min(_PREVIEW_BYTES, int((1 - _ART_SHARE) * room))
    uri = image_uri(carved, side=_PREVIEW_SIDE, most=most)
    return page.replace(f'src="{_PREVIEW_NAME}"', f'src="{uri}"')


def _art_name(index: int) -> str:
    return f"picture of piece {index}"


@cache
def _file(name: str) -> str:
    """Return the words of a file beside the template."""
    return files("tracer.sheets").joinpath("templates", name).read_text("utf-8")


@cache
def report_page() -> "Template":
    """Return the page to fill in, ready made: its code is kept beside that of modules, as Python does."""
    from jinja2 import Environment, FileSystemBytecodeCache, PackageLoader, StrictUndefined

    kept = Path(cache_from_source(__file__)).parent
    pages = Environment(
        bytecode_cache=FileSystemBytecodeCache(str(kept), "%s.page") if _may_keep(kept) else None,
        loader=PackageLoader("tracer.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )
    return pages.get_template("report.html.j2")


def _may_keep(folder: Path) -> bool:
    """Say whether what is compiled may be written to a folder, which is made if it is not there."""
    if sys.dont_write_bytecode:
        return False
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    return os.access(folder, os.W_OK)


def printable(text: str) -> str:
    """Return the text without what cannot be shown or would turn the words after it round."""
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)


def _in_two(said: str) -> tuple[str, str]:
    """Return the first sentence, and the rest."""
    first, dot, rest = said.partition(". ")
    return first + dot.rstrip(), rest


def _context(plan: Plan, art: Mapping[int, bytes], preview_size: tuple[int, int]) -> dict[str, Any]:
    """Return what the template shows; pictures only by their names, which stand for them."""
    words = PageWords(plan)
    drawn = figures(plan, {index: _art_name(index) for index in art})
    return {
        "plan": plan,
        "job": plan.job,
        "verdict": _in_two(verdict(plan)),
        "layers": _LAYERS,
        "ratio": words.begin(ratio_words(plan.job.ratio)),
        "words": words,
        "glance": _glance(plan, words),
        "figures": drawn,
        "marked_breaks": {mark.number for figure in drawn for mark in figure.breaks},
        "width": WIDTH,
        "preview": _PREVIEW_NAME,
        "preview_size": preview_size,
        "marked": {n for n, finding in enumerate(plan.findings, 1) if finding.where is not None},
        "findings": finding_groups(plan),
        "set_ups": set_up_rows(plan, words),
        "stops": stop_rows(plan, words),
        "strokes": stroke_rows(plan, words),
        "dropped": dropped_groups(plan),
        "islands": island_groups(plan),
        "letters": letter_tables(plan),
        "fold": _FOLD,
        "settings": settings_rows(plan),
        "clean_ups": [
            clean_up(piece.drawing, figure, words)
            for piece, figure in zip(plan.layout.pieces, drawn, strict=True)
            if piece.picture
        ],
        "cautions": cautions(plan),
        "gone": {one.stroke for one in plan.dropped},
        "chosen": chosen(plan),
        "breaking": any(island.breaks for island in plan.islands),
    }


def _glance(plan: Plan, words: PageWords) -> list[tuple[str, str]]:
    """Return the facts wanted first, as (what, value)."""
    x0, y0, x1, y1 = plan.layout.extent
    tx0, ty0, tx1, ty1 = followed_extent(plan)
    gx0, gy0, gx1, gy1 = grooved_extent(plan)
    totals, ratio, board = plan.totals, plan.job.ratio, plan.layout.board
    face = f"{words.size(board.width, board.height)}, {words.length(board.thickness)} thick, {board.wood}"
    carved, again = words.way(totals.carving_length), words.way(totals.retraced)
    removed = volume_words(totals.removed_ml, words.units)
    return [
        ("Finished size", f"{words.size(x1 - x0, y1 - y0)} {between_words(plan)}"),
        ("With the grooves", words.size(gx1 - gx0, gy1 - gy0)),
        ("Board", face if board.declared else f"{face} (assumed round the figure)"),
        ("Template", words.size((tx1 - tx0) / ratio, (ty1 - ty0) / ratio)),
        *_grooves(plan, words),
        ("Plunges", plunge_words(plan)),
        ("To carve", f"{carved} of groove, and {again} gone over again"),
        ("Under the stylus", words.way((totals.carving_length + totals.retraced) / ratio)),
        ("Wood removed", f"{removed}; as much fills the grooves to the face"),
        ("Time", f"about {minutes(totals.time_low, totals.time_high)}, without setting up"),
    ]


def _grooves(plan: Plan, words: PageWords) -> list[tuple[str, str]]:
    """Return what each depth stop cuts."""
    several = len(plan.stops) > 1
    return [
        (
            f"Groove, stop {stop.number}" if several else "Groove",
            f"{words.length(stop.width)} wide at {words.length(stop.depth)} deep",
        )
        for stop in plan.stops
    ]
