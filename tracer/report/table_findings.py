"""What is said of a template that does not lie flat under the stylus."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from tracer.job import Job
from tracer.lengths import both
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.change import SIZE_STEPS
from tracer.report.cut import Cut
from tracer.report.set_ups import LEAST_REACH, Reached

Size = tuple[float, float]

_NOISE = 1e-6


def about_table(layout: Layout, job: Job, cut: Cut, reached: Reached | None) -> Iterator[Finding]:
    """Say whether a template, or that of one of several set-ups, is larger than what lies flat.

    Nothing where nobody said how much does. Turned by a quarter is as good.
    """
    table = job.linkage.table
    if table is None or not cut.strokes:
        return
    shares = reached.shares if reached is not None else ()
    sizes = [
        _on_wood([(stroke, cut.groove[share.stroke_of(stroke.number)].width / 2) for stroke in share.strokes])
        for share in shares
        if share.strokes
    ]
    radii = cut.radius.tolist()
    sizes = sizes or [_on_wood(list(zip(cut.strokes, radii, strict=True)))]
    room = (table[0] * job.ratio, table[1] * job.ratio)
    size = min(sizes, key=lambda size: _share(size, room))
    if _share(size, room) >= 1.0 - _NOISE:
        return
    ways = [] if shares else [_smaller(layout, job, cut, size)]
    paper = (size[0] / job.ratio, size[1] / job.ratio)
    yield Finding(
        check="too large to lie flat",
        severity="risk",
        message=(
            f"The template{' of one set-up' if shares else ''} is {_sides(paper, job)}, and only "
            f"{_sides(table, job)} lie flat under the stylus."
        ),
        remedy=_either([*ways, _in_set_ups(job, room, 2 * max(radii), fewer=bool(shares))]),
    )


def _on_wood(strokes: Sequence[tuple[Stroke, float]]) -> Size:
    """Return width and height over the grooves of strokes with their half widths, mm."""
    bounds = np.array([stroke.bounds for stroke, _ in strokes])
    radius = np.array([radius for _, radius in strokes])[:, None]
    width, height = (bounds[:, 2:] + radius).max(axis=0) - (bounds[:, :2] - radius).min(axis=0)
    return float(width), float(height)


def _share(size: Size, room: Size) -> float:
    """Return how much of a size finds room, 1 or more where all does; either way up."""
    return max(min(has / side for has, side in zip(way, size, strict=True)) for way in (room, room[::-1]))


def _sides(size: Size, job: Job) -> str:
    return " x ".join(both(side, job.units) for side in size)


def _smaller(layout: Layout, job: Job, cut: Cut, size: Size) -> str:
    """Return at what width the template lies flat, "" for none; grooves stay as wide as they are."""
    assert job.linkage.table is not None
    bounds = np.array([stroke.bounds for stroke in cut.strokes])
    middles = (bounds[:, 2:].max(axis=0) - bounds[:, :2].min(axis=0)).tolist()
    spare = [whole - middle for whole, middle in zip(size, middles, strict=True)]
    tables = (job.linkage.table, job.linkage.table[::-1])
    most = max(_most(way, spare, middles, job.ratio) for way in tables)
    x0, _, x1, _ = layout.extent
    step = SIZE_STEPS[job.units]
    width = math.floor((x1 - x0) * most / step) * step
    return f"make the carving no more than {both(width, job.units, down=True)} wide" if width > 0 else ""


def _most(table: Size, spare: Sequence[float], middles: Sequence[float], ratio: float) -> float:
    """Return how many times as large the middles' extent may be, `spare` mm of groove beside it."""
    sides = zip(table, spare, middles, strict=True)
    return min(((has * ratio - beside) / middle for has, beside, middle in sides if middle > 0), default=0.0)


def _in_set_ups(job: Job, room: Size, groove: float, *, fewer: bool) -> str:
    """Return the reach whose set-ups each have a template that lies flat, "" for one too small to plan."""
    step = SIZE_STEPS[job.units]
    reach = [math.floor((side - groove) / step) * step for side in room]
    if job.linkage.reach is not None:
        reach = [min(side, most) for side, most in zip(reach, job.linkage.reach, strict=True)]
    if min(reach) < LEAST_REACH:
        return ""
    said = " x ".join(both(side, job.units, down=True).split(" (")[0] for side in reach)
    return f'{"say a smaller reach" if fewer else "cut it in several set-ups"}: --reach "{said}"'


def _either(ways: Sequence[str]) -> str:
    """Return a sentence of the ways that there are, a sentence on larger tables where there is none."""
    found = " or ".join(way for way in ways if way) or "give the template a larger table"
    return f"{found[0].upper()}{found[1:]}."
