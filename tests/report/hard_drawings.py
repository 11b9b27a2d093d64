"""Ten drawings that are hard to judge, all our own; art pixels (y down), ten to the mm."""

import math
from collections.abc import Callable

import numpy as np
import shapes

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Drawing
from tracer.model.layout import Layout

PX = 10.0
"""Art pixels in a mm."""

FALLING = (9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0)
"""mm between the rings, from the outermost inwards."""

FAN_DEG = (0.0, 30.0, 55.0, 78.0, 93.0, 105.0, 114.0, 120.0, 124.0, 126.0)
"""Directions of the fan's lines from one point: 30 to 2 degrees between neighbours."""

GRID = (4, 6)
"""Lines across and lines down."""

HATCH = 2.4
"""mm between the hatching's lines."""

TURN = 4.0
"""mm between the spiral's turns."""


def rings() -> list[shapes.Part]:
    radii = 60.0 - np.concatenate([[0.0], np.cumsum(FALLING)])
    return [shapes.ring((700, 700), float(radius) * PX) for radius in radii]


def fan() -> list[shapes.Part]:
    tips = [(900 * math.cos(math.radians(a)), 900 * math.sin(math.radians(a))) for a in FAN_DEG]
    return [shapes.line((1000, 100), (1000 + x, 100 + y)) for x, y in tips]


def hatching() -> list[shapes.Part]:
    """A leaf's outline, and upright lines in it that end on the outline."""
    half, size = 250.0, 900.0
    shift = (size / 2) ** 2 / (2 * half) - half / 2
    radius = half + shift
    reach = math.degrees(math.asin(size / 2 / radius))
    upper = shapes.arc((600, 400 + shift), radius, 270 - reach, 270 + reach)
    lower = shapes.arc((600, 400 - shift), radius, 90 - reach, 90 + reach)
    lines = []
    for x in np.arange(-12, 13) * HATCH * PX:
        y = math.sqrt(radius**2 - float(x) ** 2) - shift
        lines.append(shapes.line((600 + float(x), 400 - y), (600 + float(x), 400 + y)))
    return [upper, lower, *lines]


def spiral() -> list[shapes.Part]:
    angle = np.linspace(2 * math.pi, 12 * math.pi, 500)
    radius = TURN * PX * angle / (2 * math.pi)
    points = np.column_stack([500 + radius * np.cos(angle), 500 + radius * np.sin(angle)])
    return [shapes.Part(bezier.from_polyline(points))]


def maze() -> list[shapes.Part]:
    """Walls of a maze of cells 6 mm wide; the outer wall has two gates, one part hangs free inside."""
    cell = 60.0
    walls = [
        [(1, 0), (8, 0), (8, 8)],
        [(7, 8), (0, 8), (0, 0)],
        [(1, 0), (1, 3), (2, 3), (2, 1), (4, 1)],
        [(0, 5), (3, 5), (3, 2), (5, 2)],
        [(5, 0), (5, 3), (4, 3), (4, 6), (1, 6)],
        [(8, 2), (6, 2), (6, 5)],
        [(6, 4), (5, 4)],
        [(8, 6), (7, 6), (7, 3)],
        [(2, 8), (2, 7), (5, 7), (5, 5)],
        [(6, 8), (6, 6)],
    ]
    return [shapes.line(*((cell * x + 50, cell * y + 50) for x, y in wall)) for wall in walls]


def whiskered_face() -> list[shapes.Part]:
    """A cat: head, ears that meet it, eyes with pupils, a nose, and six whiskers a side from one cheek."""
    parts = [shapes.ring((600, 600), 350)]
    for side in (-1, 1):
        low, high = (
            (600 + side * 350 * math.cos(math.radians(a)), 600 - 350 * math.sin(math.radians(a)))
            for a in (35, 70)
        )
        parts.append(shapes.line(low, (600 + side * 290, 190), high))
        parts += [shapes.ring((600 + side * 130, 520), 60), shapes.dot(600 + side * 130, 530)]
        for i in range(6):
            y = 650 + 14 * i
            parts.append(shapes.line((600 + side * 110.0, y), (600 + side * 480.0, y + 3.0 * (i - 2.5) * 14)))
    parts.append(shapes.line((570, 600), (630, 600), (600, 640), (570, 600)))
    parts.append(shapes.line((600, 640), (600, 700)))
    parts.append(shapes.arc((600, 690), 110, 20, 160))
    return parts


def cursive() -> list[shapes.Part]:
    """Five joined loops, as of e, l, e, l, e written in one go: a trochoid whose loops differ in height."""
    s = np.linspace(0, 10 * math.pi, 700)
    height = 60.0 + 70.0 * np.sin(s / 4 + math.pi / 4) ** 2
    x = 100 + 22.0 * s + 65.0 * np.sin(s)
    y = 400 - height * (1 - np.cos(s))
    return [shapes.Part(bezier.from_polyline(np.column_stack([x, y])))]


def snowflake() -> list[shapes.Part]:
    """Three lines through one point, and on each of the six arms two pairs of barbs at 60 degrees to it."""
    centre = np.array([500.0, 500.0])
    turns = [np.array([math.cos(a), math.sin(a)]) for a in np.radians([0, 60, 120, 180, 240, 300])]
    parts = [shapes.line(tuple(centre - 400 * d), tuple(centre + 400 * d)) for d in turns[:3]]
    for k, d in enumerate(turns):
        for along, size in ((180, 110), (290, 75)):
            for side in (1, -1):
                foot = centre + along * d
                parts.append(shapes.line(tuple(foot), tuple(foot + size * turns[(k + side) % 6])))
    return parts


def grid() -> list[shapes.Part]:
    """Lines 10 mm apart that stick out 5 mm beyond one another."""
    across, down = GRID
    parts = [shapes.line((50, 100 + 100 * i), (150 + 100 * (down - 1), 100 + 100 * i)) for i in range(across)]
    high = 150 + 100 * (across - 1)
    return parts + [shapes.line((100 + 100 * i, 50), (100 + 100 * i, high)) for i in range(down)]


def word_of_os() -> list[shapes.Part]:
    """Five O's of falling size on one line, 2 mm between neighbours' middles."""
    parts, x = [], 0.0
    for diameter in (20.0, 15.0, 11.0, 8.0, 6.0):
        radius = diameter / 2 * PX
        parts.append(shapes.ring((x + radius + 50, 300 - radius), radius))
        x += 2 * radius + 2.0 * PX
    return parts


HARD: dict[str, Callable[[], list[shapes.Part]]] = {
    "rings": rings,
    "fan": fan,
    "hatching": hatching,
    "spiral": spiral,
    "maze": maze,
    "whiskered face": whiskered_face,
    "cursive": cursive,
    "snowflake": snowflake,
    "grid": grid,
    "word of O's": word_of_os,
}


def drawing(name: str) -> Drawing:
    return shapes.drawing_from(HARD[name](), name)


def layout(name: str, job: Job, size: float = 1.0) -> Layout:
    """The drawing `size` times as large as it was drawn, ten pixels to the mm."""
    one = drawing(name)
    x0, _, x1, _ = one.bounds
    return shapes.layout_of(one, width_mm=size * (x1 - x0) / PX, job=job)
