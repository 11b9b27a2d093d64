"""Time and memory from the file to the Drawing on a dense A4 page, as ratios to plain thinning."""

import cProfile
import pstats
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.degrade import INCH, QUALITY, TURN_DEG, exposed, painted
from benchmarks.strokes.sources import PAGE, drawings
from tracer.art.read import read_picture
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

A4 = (210.0, 297.0)
"""mm (ISO 216)."""

ACROSS = 5
"""Drawings in a row of the page, and rows."""

SIDE = 40.0
"""mm: side of a drawing on the page."""

PEN = 0.8
"""mm."""

RATIO_BAR = 2.0
"""Most that the whole way may take, in times of plain thinning, at 300 and 600 dpi."""

MEMORY_BAR = 12.0
"""Bytes a pixel of peak memory over the decoded picture."""

STEPS = {
    "art.read": "decode",
    "raster.light": "light",
    "raster.binarize": "threshold",
    "raster.clean": "clean",
    "raster.separate": "separate",
    "raster.thin": "thin",
    "vector.network": "network",
    "vector.prune": "network",
    "vector.centre": "centre",
    "vector.junctions": "junctions",
    "vector.arm": "junctions",
    "vector.links": "junctions",
    "vector.follow": "junctions",
    "vector.ends": "ends",
    "vector.corners": "corners",
    "vector.edges": "edges",
    "vector.fit": "fit",
    "vector.circle": "fit",
    "geometry.joints": "joints",
}
"""Steps by the modules that take them; others go by their modules' names."""

T = TypeVar("T")

HEADS = ("dpi", "Mpx", "read", "ink", "strokes", "all, s", "thinning, s", "ratio", "ns/px", "bytes/px")


@dataclass(frozen=True)
class Timing:
    """One resolution: pixels, seconds to read, find ink and find strokes, seconds to thin, bytes a pixel."""

    dpi: int
    pixels: int
    stages: tuple[float, float, float]
    thinning: float
    memory: float
    steps: dict[str, float]

    @property
    def ratio(self) -> float:
        """The whole way in times of plain thinning."""
        return sum(self.stages) / self.thinning


def print_speed(resolutions: Sequence[int]) -> None:
    """Print a row a resolution, then the steps of each."""
    strokes, metres = page()
    print(f"A4, {ACROSS * ACROSS} drawings, {metres:.1f} m of line, pen {PEN} mm")
    print("one thread; medians of processor seconds")
    print("".join(f"{head:>12}" for head in HEADS) + "  bars")
    timings = []
    with tempfile.TemporaryDirectory() as folder:
        for dpi in resolutions:
            path = Path(folder) / f"{dpi}.jpg"
            _write(path, strokes, dpi)
            timings.append(_timed(path, dpi))
            _print(timings[-1])
    print()
    _print_steps(timings)


def page() -> tuple[str, float]:
    """Return the page's strokes as SVG, and their length in metres."""
    arts = drawings("icons", ("judge",))[: ACROSS * ACROSS]
    scale = SIDE / PAGE
    length = 0.0
    groups = []
    for k, art in enumerate(arts):
        x = 5 + k % ACROSS * SIDE
        y = 10 + k // ACROSS * (A4[1] - 20) / ACROSS
        paths = "".join(f'<path d="{d}"/>' for d in art.paths)
        groups.append(
            f'<g transform="translate({x:.3f} {y:.3f}) scale({scale:.6f})" '
            f'stroke-width="{PEN / scale:.5f}">{paths}</g>'
        )
        length += scale * sum(np.hypot(*np.diff(line.points, axis=0).T).sum() for line in art.lines)
    return "".join(groups), length / 1000


def _write(path: Path, strokes: str, dpi: int) -> None:
    """Write the page as a scan.

    It lies a little askew, as on a scanner: upright lines of even width are eaten up from their ends by plain
    thinning, pass after pass, which makes it ten times slower.
    """
    turned = f'<g transform="rotate({TURN_DEG} {A4[0] / 2} {A4[1] / 2})">{strokes}</g>'
    pixels = exposed(painted(turned, A4, INCH / dpi).astype(np.float32), np.random.default_rng(dpi))
    cv2.imwrite(str(path), pixels, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])


def _timed(path: Path, dpi: int) -> Timing:
    """Return the times of a page: runs of the tracer and of plain thinning in turn, medians of each."""
    from skimage.filters import threshold_otsu
    from skimage.morphology import skeletonize

    grey = read_picture(path).grey
    mask = lit(grey)
    mask = mask < threshold_otsu(mask)
    _stages(path)
    runs, thinning = [], []
    for _ in range(5 if dpi <= 300 else 3):
        runs.append(_stages(path))
        thinning.append(seconds(lambda: skeletonize(mask))[0])
    stages = np.median(runs, axis=0)
    own = (float(stages[0]), float(stages[1]), float(stages[2]))
    return Timing(dpi, grey.size, own, float(np.median(thinning)), _memory(path), _steps(path, sum(own)))


def lit(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return a page with its light divided out by the brightest about."""
    small = cv2.resize(grey, None, fx=1 / 8, fy=1 / 8, interpolation=cv2.INTER_AREA)
    paper = cv2.GaussianBlur(cv2.dilate(small, np.ones((15, 15), np.uint8)), (0, 0), 8)
    light = cv2.resize(paper, grey.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return cv2.divide(grey, light, scale=255)


def _stages(path: Path) -> list[float]:
    """Return the seconds to read, find ink and find strokes."""
    read, scan = seconds(lambda: read_picture(path))
    inking, ink = seconds(lambda: find_ink(scan))
    stroking, _ = seconds(lambda: find_strokes(scan, ink))
    return [read, inking, stroking]


def seconds(work: Callable[[], T]) -> tuple[float, T]:
    """Return the processor time of some work, which others at the machine disturb least, and its result."""
    start = time.process_time()
    result = work()
    return time.process_time() - start, result


def _memory(path: Path) -> float:
    """Return the peak of memory over the decoded picture, bytes a pixel, in a fresh process."""
    command = [sys.executable, "-m", "benchmarks.strokes.memory", str(path)]
    return float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def _steps(path: Path, whole: float) -> dict[str, float]:
    """Return the seconds of each step: the profiler's shares (it slows all down) of the time without it."""
    profile = cProfile.Profile()
    profile.runcall(_stages, path)
    stats = pstats.Stats(profile).stats  # type: ignore[attr-defined]
    own = {f: _step(f) for f in stats}
    steps: dict[str, float] = {}
    for function, (_, _, _, total, callers) in stats.items():
        step = own[function]
        if step is None:
            continue
        steps[step] = steps.get(step, 0.0) + total
        for caller, (_, _, _, part) in callers.items():
            if caller != function and own.get(caller) is not None:
                steps[own[caller]] = steps.get(own[caller], 0.0) - part
    scale = whole / sum(steps.values())
    return {step: scale * seconds for step, seconds in steps.items()}


def _step(function: tuple[str, int, str]) -> str | None:
    """Return the step that a function of the tracer belongs to, None where it is none of the tracer's."""
    parts = Path(function[0]).parts
    if "tracer" not in parts or "site-packages" in parts:
        return None
    module = ".".join(parts[len(parts) - parts[::-1].index("tracer") :]).removesuffix(".py")
    return STEPS.get(module, module)


def _print(t: Timing) -> None:
    """Print one resolution."""
    cells = [f"{t.dpi}", f"{t.pixels / 1e6:.1f}", *(f"{s:.3f}" for s in t.stages), f"{sum(t.stages):.3f}"]
    cells += [
        f"{t.thinning:.3f}",
        f"{t.ratio:.2f}",
        f"{1e9 * sum(t.stages) / t.pixels:.0f}",
        f"{t.memory:.1f}",
    ]
    missed = []
    if t.dpi in {300, 600} and t.ratio > RATIO_BAR:
        missed.append(f"ratio {RATIO_BAR:g} MISSED")
    if t.dpi in {300, 600} and t.memory > MEMORY_BAR:
        missed.append(f"bytes/px {MEMORY_BAR:g} MISSED")
    print("".join(f"{cell:>12}" for cell in cells) + "  " + ", ".join(missed), flush=True)


def _print_steps(timings: Sequence[Timing]) -> None:
    """Print the steps, the longest at the finest resolution first."""
    names = dict.fromkeys(step for t in reversed(timings) for step in t.steps)
    order = sorted(names, key=lambda step: -timings[-1].steps.get(step, 0.0))
    print(f"{'ms at dpi':20}" + "".join(f"{t.dpi:>10}" for t in timings))
    for step in order:
        print(f"{step:20}" + "".join(f"{1000 * t.steps.get(step, 0.0):10.1f}" for t in timings))
