"""Pictures of a plan and what the raster says: grooves, lands, islands, runs, faults; findings beside."""

import textwrap
from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from report.against_raster import Fault, Outside
from report.raster_wood import PIXEL

from tracer.model.plan import Plan

WOOD, GROOVE, MIDDLE, THIN, BREAKS, START, FAULT = (
    (236, 219, 189),
    (150, 110, 70),
    (255, 245, 225),
    (200, 0, 0),
    (190, 0, 140),
    (0, 90, 0),
    (0, 60, 220),
)
SIDE = 1100
"""Pixels of the picture's longer side."""

TEXT = 620
"""Pixels for the findings."""


def picture(outside: Outside, faults: Sequence[Fault] = ()) -> Image.Image:
    """One picture, the findings at its right."""
    plan, wood = outside.plan, outside.wood
    height, width = wood.clear.shape
    scale = SIDE / max(height, width)
    ground = np.where((wood.clear > 0)[..., None], WOOD, GROOVE).astype(np.uint8)
    figure = Image.fromarray(ground).resize((round(width * scale), round(height * scale)))
    page = Image.new("RGB", (figure.width + TEXT, max(figure.height, 700)), "white")
    page.paste(figure)
    pen = _Pen(ImageDraw.Draw(page), wood.corner, scale / PIXEL)
    for stroke in plan.cut:
        points = stroke.points(0.02)
        pen.line(points, MIDDLE)
        pen.text(points[len(points) // 2], str(stroke.number), MIDDLE, 13)
    _marks(plan, pen)
    for fault in faults:
        pen.ring(fault.where, 16, FAULT)
        pen.text(fault.where, fault.check, FAULT, 14, (16, -16))
    _findings(plan, ImageDraw.Draw(page), figure.width + 12)
    return page


class _Pen:
    """Draws at wood mm."""

    def __init__(self, draw: ImageDraw.ImageDraw, corner: np.ndarray, scale: float) -> None:
        self.draw, self.corner, self.scale = draw, corner, scale

    def at(self, point: Sequence[float] | np.ndarray) -> tuple[float, float]:
        x, y = ((np.asarray(point) - self.corner) * self.scale).tolist()
        return x, y

    def line(self, points: np.ndarray, colour: tuple[int, int, int]) -> None:
        self.draw.line([self.at(point) for point in points], fill=colour, width=1)

    def ring(self, where: Sequence[float] | np.ndarray, radius: float, colour: tuple[int, int, int]) -> None:
        x, y = self.at(where)
        self.draw.ellipse((x - radius, y - radius, x + radius, y + radius), outline=colour, width=3)

    def text(
        self,
        where: Sequence[float] | np.ndarray,
        words: str,
        colour: tuple[int, int, int],
        size: int,
        aside: tuple[int, int] = (4, 2),
    ) -> None:
        x, y = self.at(where)
        self.draw.text((x + aside[0], y + aside[1]), words, fill=colour, font=ImageFont.load_default(size))


def _marks(plan: Plan, pen: _Pen) -> None:
    """Failing lands with their widths, islands by number, runs by number at their starts."""
    for land in plan.lands:
        pen.ring(land.where, 5, THIN)
        pen.text(land.where, f"{land.width:.2f}", THIN, 14, (7, -8))
    for island in plan.islands:
        mark = ("E" if island.kind == "enclosed strokes" else "W") + str(island.number)
        mark += " breaks" if island.breaks else ""
        pen.text(island.where, mark, BREAKS if island.breaks else (0, 0, 0), 16)
    for run in plan.runs:
        pen.ring(run.start, 7, START)
        pen.text(run.start, f"run {run.number}", START, 15, (8, 6))


def _findings(plan: Plan, draw: ImageDraw.ImageDraw, x: int) -> None:
    total = plan.totals
    job = plan.job
    lines = [
        f"groove {job.groove:.2f} mm, {job.wood.name}, grain {job.grain_deg:g} deg; {len(plan.cut)} strokes",
        f"plunges {total.plunges_without_retracing} without, {total.plunges_with_retracing} with retracing",
        f"{len(plan.lands)} lands, {len(plan.islands)} islands",
        "",
        *(f"[{one.severity}] {one.check}: {one.message} > {one.remedy}" for one in plan.findings),
    ]
    y = 10
    for line in lines:
        for part in textwrap.wrap(line, 84) or [""]:
            draw.text((x, y), part, fill="black", font=ImageFont.load_default(13))
            y += 17
        y += 4
