"""How near the recovered strokes are to what was drawn: `python -m benchmarks.truth`."""

import json
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import rustworkx
import shapely
from numpy.typing import NDArray

from tracer.art.read import read_picture
from tracer.geometry.flatten import flatten
from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing
from tracer.pipeline import lay_out
from tracer.raster.ink import find_ink
from tracer.report.build import build_plan
from tracer.vector.strokes import find_strokes

Array = NDArray[np.float64]

SAMPLES = Path(__file__).parents[1] / "sample_art"
PICTURES = {"hare": "hare-page.jpg", "owl": "owl-sketch.png", "boat": "boat-web.png"}
STEP = 0.25
"""mm between the places where distance is measured."""

BAR = 0.15
"""mm: largest mean distance of the hare's lines, either way."""

WIDTHS = (11, 9, 9, 11, 13, 15)
"""Columns of the table of counts."""


def main() -> None:
    """Print a row a picture and direction, then counts, then times."""
    found = {name: _traced(SAMPLES / file) for name, file in PICTURES.items()}
    truths = {name: _truth(SAMPLES / file) for name, file in PICTURES.items()}
    print(f"{'distance of middle lines, page mm':34}{'mean':>8}{'p95':>8}{'largest':>9}  bar")
    for name, (drawing, _) in found.items():
        _print_distances(name, _ours(drawing, truths[name]["mm_per_px"]), _theirs(truths[name]))
    print()
    heads = ("lines", "solids", "dots", "parts", "cubics", "length mm")
    print(f"{'found / drawn':12}" + "".join(f"{h:>{w}}" for h, w in zip(heads, WIDTHS, strict=True)))
    for name, (drawing, _) in found.items():
        _print_counts(name, drawing, truths[name])
    print()
    print(f"{'seconds':12}{'read':>8}{'ink':>8}{'strokes':>9}{'plan':>8}{'all':>8}")
    for name, (_, seconds) in found.items():
        print(
            f"{name:12}"
            + "".join(f"{s:{w}.2f}" for s, w in zip([*seconds, sum(seconds)], (8, 8, 9, 8, 8), strict=True))
        )


def _traced(path: Path) -> tuple[Drawing, list[float]]:
    """Return a picture's strokes and the seconds that reading, ink, strokes and the plan took."""
    marks = [time.perf_counter()]
    scan = read_picture(path)
    marks.append(time.perf_counter())
    ink = find_ink(scan)
    marks.append(time.perf_counter())
    drawing = find_strokes(scan, ink)
    marks.append(time.perf_counter())
    job = Job(pieces=(PieceSpec(art=str(path), width=500.0),))
    build_plan(lay_out({0: drawing}, job), job)
    marks.append(time.perf_counter())
    return drawing, np.diff(marks).tolist()


def _truth(path: Path) -> dict[str, Any]:
    """Return what is true of a picture."""
    truth: dict[str, Any] = json.loads(path.with_name(path.stem + ".truth.json").read_text(encoding="utf-8"))
    return truth


def _ours(drawing: Drawing, mm_per_px: float) -> list[Array]:
    """Return the recovered lines as polylines, page mm."""
    return [s.points(0.05) * mm_per_px for s in drawing.strokes if s.kind == "line"]


def _theirs(truth: dict[str, Any]) -> list[Array]:
    """Return the true lines as polylines, page mm."""
    return [flatten(np.array(s["curves"]), 0.01) for s in truth["strokes"] if s["kind"] == "line"]


def _print_distances(name: str, ours: Sequence[Array], theirs: Sequence[Array]) -> None:
    """Print the distances found to drawn and drawn to found."""
    ways = (("found lines to drawn ones", ours, theirs), ("drawn lines to found ones", theirs, ours))
    for words, lines, others in ways:
        away = _distances(lines, others)
        mean, p95 = away.mean(), np.percentile(away, 95)
        bar = f"mean {BAR:g}" + ("" if mean <= BAR else " MISSED") if name == "hare" else ""
        print(f"{name + ': ' + words:34}{mean:8.3f}{p95:8.3f}{away.max():9.2f}  {bar}".rstrip())


def _distances(lines: Sequence[Array], others: Sequence[Array]) -> Array:
    """Return the distance from places `STEP` apart on `lines` to the nearest of `others`."""
    along = [shapely.LineString(line) for line in lines]
    places = [line.interpolate(np.arange(0.0, line.length, STEP)) for line in along]
    tree = shapely.STRtree([shapely.LineString(line) for line in others])
    away: Array = tree.query_nearest(np.concatenate(places), return_distance=True, all_matches=False)[1]
    return away


def _print_counts(name: str, drawing: Drawing, truth: dict[str, Any]) -> None:
    """Print what was found and what was drawn."""
    drawn = truth["strokes"]
    lines = [s for s in drawn if s["kind"] == "line"]
    mine = [s for s in drawing.strokes if s.kind == "line"]
    pairs = [
        (len(mine), len(lines)),
        (len(drawing.regions), _count(drawn, "solid")),
        (sum(s.kind == "dot" for s in drawing.strokes), _count(drawn, "dot")),
        (_parts(drawing), _true_parts(lines)),
        (sum(len(s.curves) for s in mine), sum(len(s["curves"]) for s in lines)),
        (
            round(sum(s.length for s in mine) * truth["mm_per_px"]),
            round(sum(shapely.LineString(line).length for line in _theirs(truth))),
        ),
    ]
    print(f"{name:12}" + "".join(f"{f'{a} / {b}':>{w}}" for (a, b), w in zip(pairs, WIDTHS, strict=True)))


def _count(strokes: Iterable[dict[str, Any]], kind: str) -> int:
    """Return how many are of a kind."""
    return sum(stroke["kind"] == kind for stroke in strokes)


def _parts(drawing: Drawing) -> int:
    """Return how many connected parts the recovered lines form by their joints."""
    index = {s.number: k for k, s in enumerate(s for s in drawing.strokes if s.kind == "line")}
    met = [[index[n] for n, _ in joint.members if n in index] for joint in drawing.joints]
    return _components(len(index), [(m[0], other) for m in met for other in m[1:]])


def _true_parts(lines: Sequence[dict[str, Any]]) -> int:
    """Return how many connected parts the drawn lines form where their ink touches."""
    ink = [shapely.LineString(flatten(np.array(s["curves"]), 0.01)).buffer(s["width_mm"] / 2) for s in lines]
    pairs = shapely.STRtree(ink).query(ink, predicate="intersects").T
    return _components(len(ink), [(int(a), int(b)) for a, b in pairs])


def _components(count: int, pairs: list[tuple[int, int]]) -> int:
    """Return the number of connected components of a graph."""
    graph: rustworkx.PyGraph[int, None] = rustworkx.PyGraph()
    graph.add_nodes_from(list(range(count)))
    graph.add_edges_from_no_data(pairs)
    return int(rustworkx.number_connected_components(graph))


if __name__ == "__main__":
    main()
