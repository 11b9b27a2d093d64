"""A folder of pictures without truth: what the strokes explain of each one's ink."""

import operator
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from benchmarks.strokes.explained import Explained, Trace, explained, ink_of, traces_of
from benchmarks.strokes.plain import plain_chains
from benchmarks.strokes.whole import Whole, whole
from benchmarks.strokes.worst import draw_strokes, faded
from tracer.art.read import read_picture
from tracer.model.drawing import Drawing
from tracer.model.scan import Scan
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

KINDS = {".png", ".jpg", ".jpeg", ".webp", ".gif", ".bmp", ".tif", ".tiff"}

COLUMNS: tuple[tuple[str, Callable[[Explained], float], str, float | None], ...] = (
    ("ink explained", lambda e: e.ink, ".4f", 0.997),
    ("blobs", lambda e: e.blobs, ".1f", 0.3),
    ("in deep ink", lambda e: e.deep, ".4f", None),
    ("in solids", lambda e: e.through_solids, ".4f", 0.0005),
    ("off ink", lambda e: e.off_ink, ".5f", 0.0001),
    ("off edge", lambda e: e.off_boundary, ".4f", 0.002),
    ("stubs", lambda e: e.stubs, ".1f", 12),
    ("strokes", lambda e: e.strokes, ".1f", 75),
)
"""Heading, value, format, bar on the mean if there is one."""

WHOLE: tuple[tuple[str, Callable[[Whole], float], str], ...] = (
    ("broken", lambda w: w.broken, ".1f"),
    ("drawn twice", lambda w: w.twice, ".4f"),
)
"""Heading, value and format of what only our own strokes can be asked, for plain chains have no joints."""

WIDTH = 15
"""Characters to a column of figures."""


@dataclass(frozen=True, eq=False)
class Row:
    """One picture: our figures and the plain thinning's."""

    name: str
    own: Explained
    whole: Whole
    plain: Explained
    seconds: float


def print_pictures(folder: Path, keep: Path | None, limit: int | None) -> None:
    """Print a row a picture, means, those of plain thinning, and bars; draw overlays into `keep`."""
    paths = sorted(p for p in folder.iterdir() if p.suffix.lower() in KINDS)[:limit]
    names = [name for name, *_ in (*COLUMNS, *WHOLE)]
    print(f"{'':28}" + "".join(f"{name:>{WIDTH}}" for name in (*names, "seconds")))
    rows = []
    for path in paths:
        row = _row(path, keep)
        if row is not None:
            rows.append(row)
            _print(row.name, [value(row.own) for _, value, *_ in COLUMNS], row.seconds, _wholes([row]))
    if not rows:
        return
    means = _means([row.own for row in rows])
    _print("mean", means, float(np.mean([row.seconds for row in rows])), _wholes(rows))
    _print("mean of plain thinning", _means([row.plain for row in rows]), None)
    bars = [_bar(k, mean) for k, mean in enumerate(means)]
    print(f"{'bar':28}" + "".join(f"{bar:>{WIDTH}}" for bar in bars))


def _row(path: Path, keep: Path | None) -> Row | None:
    """Return a picture's row, None where it cannot be traced (said on the spot)."""
    start = time.perf_counter()
    try:
        scan = read_picture(path)
        drawing = find_strokes(scan, find_ink(scan))
    except Exception as error:  # noqa: BLE001 - one picture that breaks the chain is not to hide the others
        print(f"{path.name[:27]:28}  FAILED: {type(error).__name__}: {error}")
        return None
    seconds = time.perf_counter() - start
    ink = ink_of(scan.grey)
    own = explained(ink, traces_of(drawing))
    if keep is not None:
        _draw(keep / f"{path.stem}.png", scan, drawing, own)
    plain = explained(ink, [Trace(points, "line") for points, _ in plain_chains(ink.sure > 0, 0.5)])
    return Row(path.name, own, whole(ink.sure, drawing), plain, seconds)


def _wholes(rows: Sequence[Row]) -> list[str]:
    """Return the means of what only our own strokes can be asked, as cells."""
    return [f"{np.mean([value(row.whole) for row in rows]):{WIDTH}{form}}" for _, value, form in WHOLE]


def _print(name: str, values: Sequence[float], seconds: float | None, wholes: Sequence[str] = ()) -> None:
    """Print one row."""
    cells = [f"{v:{WIDTH}{form}}" for v, (_, _, form, _) in zip(values, COLUMNS, strict=True)]
    cells += wholes
    last = f"{'':{WIDTH}}" if seconds is None else f"{seconds:{WIDTH}.2f}"
    print(f"{name[:27]:28}{''.join(cells)}{last}".rstrip())


def _means(found: Sequence[Explained]) -> list[float]:
    """Return the mean of each column."""
    return [float(np.mean([value(e) for e in found])) for _, value, *_ in COLUMNS]


def _bar(column: int, mean: float) -> str:
    """Return a column's bar, and whether it was missed."""
    limit = COLUMNS[column][3]
    if limit is None:
        return ""
    holds = operator.ge if column == 0 else operator.le
    return f"{limit:g}" + ("" if holds(mean, limit) else " MISSED")


def _draw(path: Path, scan: Scan, drawing: Drawing, own: Explained) -> None:
    """Draw strokes over the faded art: missed ink red, places that are off or too deep in red rings."""
    path.parent.mkdir(parents=True, exist_ok=True)
    scale = max(1, round(2400 / max(scan.grey.shape)))
    canvas = faded(scan.grey if scan.colour is None else scan.colour, scale)
    missed = cv2.resize(own.missed, None, fx=scale, fy=scale, interpolation=cv2.INTER_NEAREST)
    canvas[missed > 0] = (255, 60, 60)
    draw_strokes(canvas, drawing, scale)
    for x, y in own.faults[:: max(1, len(own.faults) // 500)] * scale:
        cv2.circle(canvas, (round(x), round(y)), 7, (220, 0, 0), 1, cv2.LINE_AA)
    cv2.imwrite(str(path), canvas[..., ::-1])
