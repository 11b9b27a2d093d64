"""The report as one page that needs no network and no scripts: report.html."""

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracer.lengths import both
from tracer.model.drawing import Drawing
from tracer.model.plan import Plan, Run
from tracer.sheets.bench_words import minutes
from tracer.sheets.cautions import cautions
from tracer.sheets.figure import WIDTH, figures, image_uri, on_white
from tracer.sheets.preview import preview_image
from tracer.sheets.record import direction, grooved_extent, leg_lengths
from tracer.sheets.settings_table import settings_rows, sides
from tracer.shop.linkage import ratio_words

_ART_BYTES, _ART_SIDE = 600_000, 1400  # bytes for the pictures of all art: the page stays under 1.5 MB
_PREVIEW_BYTES, _PREVIEW_SIDE = 400_000, 1200
_MOST_ROWS = 12  # places of the clean-up told one by one; the record holds them all
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def write_report(
    plan: Plan, path: Path, art: Mapping[int, bytes] | None = None, *, preview: bytes | None = None
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
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    pages = Environment(
        loader=PackageLoader("tracer.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if type(value) is str else value,
    )
    page = pages.get_template("report.html.j2").render(_context(plan, art or {}, preview))
    path.write_text(page, encoding="utf-8", newline="\n")


def printable(text: str) -> str:
    """Return the text without what cannot be shown or would turn the words after it round."""
    return _UNPRINTABLE.sub("\N{REPLACEMENT CHARACTER}", text)


def verdict(plan: Plan) -> str:
    """Return what will come of it, in a plain sentence."""
    total, gone = len(plan.strokes), len(plan.dropped)
    losses = sum(finding.severity == "loss" for finding in plan.findings)
    risks = sum(finding.severity == "risk" for finding in plan.findings)
    if not plan.grooves:
        return f"Nothing can be cut like this: none of the {_count(total, 'stroke')} can be kept."
    care = f"{_count(risks, 'place')} {'needs' if risks == 1 else 'need'} care"
    if gone:
        out = f"{gone} of {_count(total, 'stroke')} {'is' if gone == 1 else 'are'} left out"
        lost = f"It cuts with losses: {out}"
        return f"{lost}, and {care}." if risks else f"{lost}."
    if losses:
        return f"It cuts with losses in {_count(losses, 'place')}" + (f", and {care}." if risks else ".")
    return f"Every stroke can be cut, but {care}." if risks else "It cuts as drawn."


@dataclass(frozen=True)
class _Words:
    """How lengths and places of one plan are said."""

    plan: Plan

    def begin(self, text: str) -> str:
        """Return the text with a capital first."""
        return text[:1].upper() + text[1:]

    def length(self, mm: float | None) -> str:
        return "–" if mm is None else both(mm, self.plan.job.units)

    def way(self, mm: float) -> str:
        """Say a length that may be long: from 2 m on in metres and feet."""
        if mm < 2000:
            return self.length(mm)
        first, second = f"{mm / 1000:.1f} m", f"{mm / 304.8:.0f} ft"
        return f"{second} ({first})" if self.plan.job.units == "in" else f"{first} ({second})"

    def size(self, width: float, height: float) -> str:
        return sides(width, height, self.plan.job.units)

    def place(self, where: tuple[float, float] | None) -> str:
        """Say a place: which ninth of the figure, and how far from the board's edges."""
        if where is None:
            return "the whole carving"
        x0, y0, x1, y1 = self.plan.layout.extent
        across = _third(where[0], x0, x1, ("left", "", "right"))
        down = _third(where[1], y0, y1, ("upper", "", "lower"))
        ninth = " ".join(word for word in (down, across) if word) or "middle"
        return f"{ninth}: {self.length(where[0])} from the left, {self.length(where[1])} from the top"


def _context(plan: Plan, art: Mapping[int, bytes], preview: bytes | None) -> dict[str, Any]:
    """Return what the template shows."""
    words = _Words(plan)
    each = _ART_BYTES // max(1, len(art))
    pictures = {index: image_uri(on_white(data), side=_ART_SIDE, most=each) for index, data in art.items()}
    carved = preview_image(plan, _PREVIEW_SIDE) if preview is None else on_white(preview)
    return {
        "plan": plan,
        "job": plan.job,
        "verdict": verdict(plan),
        "ratio": words.begin(ratio_words(plan.job.ratio)),
        "words": words,
        "glance": _glance(plan, words),
        "figures": figures(plan, pictures),
        "width": WIDTH,
        "preview": image_uri(carved, side=_PREVIEW_SIDE, most=_PREVIEW_BYTES),
        "preview_size": carved.size,
        "marked": {n for n, finding in enumerate(plan.findings, 1) if finding.where is not None},
        "findings": plan.findings,
        "runs": [_run(run, plan, words) for run in plan.runs],
        "settings": settings_rows(plan),
        "art": [(piece.name, piece.drawing, _mends(piece.drawing)) for piece in plan.layout.pieces],
        "cautions": cautions(plan),
        "gone": {one.stroke for one in plan.dropped},
    }


def _glance(plan: Plan, words: _Words) -> list[tuple[str, str]]:
    """Return the facts wanted first, as (what, value)."""
    x0, y0, x1, y1 = plan.layout.extent
    gx0, gy0, gx1, gy1 = grooved_extent(plan)
    totals, ratio, board = plan.totals, plan.job.ratio, plan.layout.board
    plunges = f"{totals.plunges}"
    if totals.passes > 1:
        plunges += f" in each of {totals.passes} passes, {totals.plunges_with_passes} in all"
    other = totals.plunges_without_retracing if plan.job.retrace else totals.plunges_with_retracing
    way = "without" if plan.job.retrace else "with"
    face = f"{words.size(board.width, board.height)}, {words.length(board.thickness)} thick, {board.wood}"
    carved, again = words.way(totals.carving_length), words.way(totals.retraced)
    return [
        ("Finished size", f"{words.size(x1 - x0, y1 - y0)} between outermost stroke middles"),
        ("With the grooves", words.size(gx1 - gx0, gy1 - gy0)),
        ("Board", face if board.declared else f"{face} (assumed round the figure)"),
        ("Template", words.size((x1 - x0) / ratio, (y1 - y0) / ratio)),
        ("Groove", f"{words.length(plan.job.groove)} wide at {words.length(plan.job.depth)} deep"),
        ("Plunges", f"{plunges} ({other} {way} going back over grooves)"),
        ("To carve", f"{carved} of groove, and {again} gone over again"),
        ("Under the stylus", words.way((totals.carving_length + totals.retraced) / ratio)),
        ("Time", f"about {minutes(totals.time_low, totals.time_high)}, without setting up"),
    ]


def _run(run: Run, plan: Plan, words: _Words) -> dict[str, Any]:
    """Return a row of the table of plunges."""
    shapes = {stroke.number: stroke for stroke in plan.strokes}
    lengths = leg_lengths(run)
    back = sum(length for leg, length in zip(run.legs, lengths, strict=True) if leg.retraced)
    return {
        "number": run.number,
        "part": run.part,
        "start": words.place((float(run.start[0]), float(run.start[1]))),
        "strokes": [
            (leg.stroke, direction(leg, shapes[leg.stroke]) == "backward", leg.retraced) for leg in run.legs
        ],
        "length": words.length(sum(lengths)),
        "retraced": words.length(back) if back else "–",
    }


def _mends(drawing: Drawing) -> dict[str, Any]:
    """Return what the clean-up changed: how often each kind, and the largest of them with their places."""
    largest = sorted(drawing.mends, key=lambda mend: (-mend.size_px, mend.y, mend.x))
    return {
        "counts": sorted(Counter(mend.kind for mend in drawing.mends).items()),
        "rows": largest[:_MOST_ROWS],
        "more": max(0, len(largest) - _MOST_ROWS),
    }


def _third(value: float, low: float, high: float, names: tuple[str, str, str]) -> str:
    share = 0.5 if high <= low else (value - low) / (high - low)
    return names[min(2, max(0, int(share * 3)))]


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
