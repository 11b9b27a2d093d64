"""Random drawings on small boards, by seed: lines, arcs, rings, waves, dots; some cross, some run close."""

import math
from dataclasses import replace

import numpy as np
import shapes

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.layout import Layout
from tracer.shop.bits import Straight, VBit
from tracer.shop.wood import wood_named

PX = 10.0
"""Art pixels in a mm: joints are found within half a pixel."""

SIDE = 32.0
"""mm; of the square in which the drawings lie."""

WOODS = ("hard maple", "oak", "poplar", "pine", "MDF")


def random_board(seed: int) -> tuple[Layout, Job]:
    """A layout true to scale and its job; grooves of 0.8 to 6 mm."""
    rng = np.random.default_rng(seed)
    groove = float(np.exp(rng.uniform(math.log(0.8), math.log(6.0))))
    bit = Straight(groove) if rng.random() < 0.2 else VBit(60.0, 12.7)
    depth = rng.uniform(0.8, 3.0) if isinstance(bit, Straight) else bit.depth_for(groove)
    job = Job(
        bit=bit,
        depth=float(depth),
        wood=wood_named(str(rng.choice(WOODS))),
        grain_deg=float(rng.choice([0.0, 90.0, rng.uniform(0, 180)])),
        hand_error=0.0,
        pass_limit=10.0,
    )
    few = round(9.5 - 1.1 * groove)
    parts = [part for _ in range(int(rng.integers(few - 2, few + 3))) for part in _part(rng, groove)]
    drawing = shapes.drawing_from(parts, f"seed {seed}")
    x0, _, x1, _ = drawing.bounds
    return shapes.layout_of(drawing, width_mm=(x1 - x0) / PX, job=job), job


def _part(rng: np.random.Generator, groove: float) -> list[shapes.Part]:
    """One thing drawn, sometimes with a neighbour at about the distance where a land begins to fail."""
    a, b, c = (tuple(rng.uniform(0, SIDE * PX, 2).tolist()) for _ in range(3))
    radius = float(rng.uniform(groove, SIDE / 3)) * PX
    apart = (groove + rng.uniform(-0.3, 4.0)) * PX
    match int(rng.integers(8)):
        case 0:
            return [shapes.line(a, b)]
        case 1:
            return [shapes.line(a, b, c)]
        case 2:
            return [shapes.ring(a, radius)]
        case 3:
            start = float(rng.uniform(0, 360))
            return [shapes.arc(a, radius, start, start + float(rng.uniform(40, 300)))]
        case 4:
            return [shapes.dot(*a)]
        case 5:
            return [_wave(a, b, float(rng.uniform(0, 6)) * PX)]
        case 6:
            d = np.subtract(b, a) / max(math.dist(a, b), 1e-9)
            aside, slip = np.array([-d[1], d[0]]) * apart, rng.uniform(-5, 5, 2) * PX * 0.3
            return [shapes.line(a, b), shapes.line(tuple(a + aside + slip), tuple(b + aside - slip))]
        case _:
            return [shapes.ring(a, radius), shapes.ring(a, radius + apart)]


def _wave(a: tuple[float, ...], b: tuple[float, ...], height: float) -> shapes.Part:
    """Three half waves from a to b."""
    s = np.linspace(0, 1, 31)[:, None]
    d = np.subtract(b, a)
    aside = np.array([-d[1], d[0]]) / max(np.hypot(*d), 1e-9)
    points = np.array(a) + s * d + height * np.sin(3 * math.pi * s) * aside
    return replace(shapes.line((0, 0), (1, 1)), curves=bezier.from_polyline(points))
