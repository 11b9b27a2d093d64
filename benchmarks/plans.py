"""How long a plan takes, a change of depth alone, and the curve of sizes: `python -m benchmarks.plans`.

Drawings fill an A4 page less its margins: the samples, as traced, the longest 300 strokes of one, and
300 scattered by a seed.
"""

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.joints import find_joints
from tracer.job import Job, PieceSpec
from tracer.laid_out import lay_out
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.model.layout import Layout
from tracer.pipeline import plan, sizes
from tracer.tracing import trace

Array = NDArray[np.float64]

SAMPLES = Path(__file__).parents[1] / "sample_art"
ART = ("hare-page.jpg", "owl-sketch.png", "boat-web.png")
PAGE = (190.0, 277.0)
"""mm: what an A4 page holds inside margins of 10 mm."""

STROKES = 300
DEPTHS = (1.5875, 1.4, 1.8, 1.6, 1.2)
"""mm; a change of depth goes from one to the next."""

ROUNDS = 5
PLAN, CHANGE, SIZES = 0.5, 0.2, 1.5
"""s: bars for the scattered strokes."""


def main() -> None:
    """Print a row for each drawing: how much there is of it, and the best of several times."""
    job = Job(pieces=(PieceSpec("", width=PAGE[0], height=PAGE[1]),))
    print(f"best of {ROUNDS}, s, warm; V 60 deg, {job.groove:.2f} mm wide; bars {PLAN}, {CHANGE}, {SIZES}")
    print(
        f"{'drawing':16}{'strokes':>8}{'m':>7}{'runs':>6}{'findings':>9}{'plan':>8}{'depth':>8}{'sizes':>8}"
    )
    for name, drawing in drawings():
        layout = lay_out({0: drawing}, job)
        found = plan(layout, job)
        whole = min(_seconds(partial(_anew, drawing, job)) for _ in range(ROUNDS))
        change = min(_changes(layout, job))
        metres = sum(stroke.length for stroke in found.cut) / 1000
        curve = min(_seconds(partial(sizes, layout, job)) for _ in range(ROUNDS))
        missed = name in (SCATTERED, OF_THE_HARE) and (whole > PLAN or change > CHANGE or curve > SIZES)
        print(
            f"{name:16}{len(found.cut):8}{metres:7.2f}{len(found.runs):6}{len(found.findings):9}"
            f"{whole:8.3f}{change:8.3f}{curve:8.3f}{'  MISSED' if missed else ''}"
        )


SCATTERED, OF_THE_HARE = f"{STROKES} scattered", f"{STROKES} of the hare"


def drawings() -> list[tuple[str, Drawing]]:
    """Return the samples as traced, the longest strokes of one, and strokes scattered by a seed, by name."""
    art = [(name, trace(SAMPLES / name)) for name in ART]
    return [*art, (OF_THE_HARE, longest(art[0][1], STROKES)), (SCATTERED, scattered(STROKES, seed=1))]


def longest(drawing: Drawing, count: int) -> Drawing:
    """Return the drawing with its longest strokes alone, and with the joints between those."""
    order = sorted(drawing.strokes, key=lambda stroke: -stroke.length)[:count]
    kept = {stroke.number for stroke in order}
    joints = [
        replace(joint, members=tuple(member for member in joint.members if member[0] in kept))
        for joint in drawing.joints
    ]
    return replace(
        drawing,
        strokes=tuple(stroke for stroke in drawing.strokes if stroke.number in kept),
        joints=tuple(joint for joint in joints if len(joint.members) > 1),
        regions=(),
    )


def scattered(count: int, *, seed: int) -> Drawing:
    """Return arcs, waves and rings of pen lines 1.2 mm wide over the page, 10 pixels to the mm."""
    random = np.random.default_rng(seed)
    strokes = []
    for number in range(1, count + 1):
        middle = random.uniform((8, 8), np.array(PAGE) - 8)
        strokes.append(_stroke(number, 10 * (middle + _shape(random)), closed=number % 10 == 0))
    found = find_joints([(stroke.curves, stroke.closed) for stroke in strokes], 3.0)
    joints = tuple(
        Joint(np.array(one.point), tuple((index + 1, t) for index, t in one.members)) for one in found
    )
    size = (round(10 * PAGE[0]), round(10 * PAGE[1]))
    return Drawing(tuple(strokes), joints, size, mm_per_px=0.1, line_width=12.0)


def _shape(random: np.random.Generator) -> Array:
    """Return 13 points (13, 2) of an arc or a wave about the origin, mm."""
    turn, size, bend = random.uniform(0, 2 * np.pi), random.uniform(2, 8), random.uniform(0.2, 2.5)
    along = np.linspace(-1, 1, 13)
    shape = np.column_stack([np.sin(bend * along) / bend, (1 - np.cos(bend * along)) / bend])
    return size * shape @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])


def _stroke(number: int, points: Array, *, closed: bool) -> Stroke:
    """Return a smooth stroke through points; a closed one is a ring about them as wide as they are long."""
    if closed:
        angle = np.linspace(0, 2 * np.pi, 13)
        radius = np.hypot(*(points[-1] - points[0])) / 2
        points = points.mean(axis=0) + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    slope = np.gradient(points, axis=0) / 3
    if closed:
        slope[[0, -1]] = (points[1] - points[-2]) / 6
    curves = np.stack([points[:-1], points[:-1] + slope[:-1], points[1:] - slope[1:], points[1:]], axis=1)
    width = np.full(max(2, round(bezier.length(curves))), 12.0)
    return Stroke(number, curves, closed, "line", width)


def _anew(drawing: Drawing, job: Job) -> None:
    plan(lay_out({0: drawing}, job), job)


def _changes(layout: Layout, job: Job) -> list[float]:
    """Return the seconds that each change of depth takes."""
    return [_seconds(partial(plan, layout, replace(job, depth=depth))) for depth in DEPTHS]


def _seconds(do: Callable[[], object]) -> float:
    began = time.perf_counter()
    do()
    return time.perf_counter() - began


if __name__ == "__main__":
    main()
