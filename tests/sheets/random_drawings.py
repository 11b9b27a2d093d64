"""Random drawings: wavy lines, rings, dots, and tufts of short strokes side by side, 1 art pixel to the mm.

Import it as `from sheets.random_drawings import random_plan`.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sheets.plans import DATE, oval

from tracer.geometry import bezier
from tracer.geometry.joints import find_joints
from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.model.plan import Plan
from tracer.pipeline import lay_out
from tracer.pipeline import plan as plan_of
from tracer.shop.linkage import Linkage

Array = NDArray[np.float64]
Maker = Callable[[np.random.Generator, float], list[Array]]


def random_plan(seed: int, **job: Any) -> Plan:
    """Return the plan of a random drawing of some 3 to 80 strokes, 40 to 200 mm wide on the wood."""
    random = np.random.default_rng(seed)
    width = float(random.uniform(40, 200))
    makers: Sequence[Maker] = (_wave, _ring, _tuft, _dots)
    chains = _wave(random, width)
    for _ in range(int(random.integers(2, 16))):
        chains += makers[int(random.integers(len(makers)))](random, width)
    strokes = tuple(_stroke(number, curves) for number, curves in enumerate(chains, 1))
    joints = tuple(
        Joint(np.array(meeting.point), tuple((strokes[k].number, t) for k, t in meeting.members))
        for meeting in find_joints([(stroke.curves, stroke.closed) for stroke in strokes], 1e-3)
    )
    drawing = Drawing(
        strokes=strokes,
        joints=joints,
        size_px=(300, 300),
        mm_per_px=1.0,
        scale_source="random",
        name=f"{seed}",
    )
    x0, _, x1, _ = drawing.bounds
    settings: dict[str, Any] = {
        "date": DATE,
        "linkage": Linkage(0.5),
        "retrace": bool(random.integers(2)),
        "pieces": (PieceSpec(art=f"{seed}", width=max(x1 - x0, 1.0)),),
    } | job
    return plan_of(lay_out({0: drawing}, Job(**settings)), Job(**settings))


def _stroke(number: int, curves: Array) -> Stroke:
    if not np.ptp(curves.reshape(-1, 2), axis=0).any():
        return Stroke(number, curves, closed=False, kind="dot", widths=np.array([2.0]))
    return Stroke(number, curves, closed=bool((curves[0, 0] == curves[-1, 3]).all()), kind="line")


def _wave(random: np.random.Generator, width: float) -> list[Array]:
    """Return a line that wanders."""
    turns = np.cumsum(random.normal(0, 0.6, 9)) + random.uniform(0, 6.3)
    steps = random.uniform(5, 25) * np.column_stack([np.cos(turns), np.sin(turns)])
    return [bezier.from_polyline(np.cumsum(np.vstack([random.uniform(0, width, 2), steps]), axis=0))]


def _ring(random: np.random.Generator, width: float) -> list[Array]:
    """Return a ring, now and then with others in it."""
    (x, y), (rx, ry) = random.uniform(0, width, 2), random.uniform(4, 30, 2)
    parts = (1.0, 0.7, 0.4) if rx > 18 else (1.0,)
    return [oval(float(x), float(y), float(rx) * part, float(ry) * part) for part in parts]


def _tuft(random: np.random.Generator, width: float) -> list[Array]:
    """Return short strokes side by side, as of fur or grass."""
    foot, count = random.uniform(0, width, 2), int(random.integers(3, 12))
    blade = np.array([[0.0, 0.0], [float(random.normal(0, 2)), 6.0]]) + foot
    apart = np.array([float(random.uniform(1.5, 6)), 0.0])
    return [bezier.from_polyline(blade + k * apart) for k in range(count)]


def _dots(random: np.random.Generator, width: float) -> list[Array]:
    """Return a handful of dots."""
    middle = random.uniform(0, width, 2)
    return [bezier.dot(middle + random.normal(0, 8, 2)) for _ in range(int(random.integers(1, 6)))]
