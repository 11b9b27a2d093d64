"""What is said of detail that the groove is too wide for: blunt corners, filled bends, closed loops."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from tracer.job import Job
from tracer.lengths import both
from tracer.model.drawing import Joint, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import Groove
from tracer.report import remedy
from tracer.report.bends import Bend, Course, course_of, find_bends
from tracer.report.corners import VISIBLE, Array, Corner, busy_joints, find_corners, most_excess
from tracer.report.findings import listed
from tracer.report.openings import Opening, closed_up, find_openings
from tracer.report.places import place_words

_HALVINGS = 6
"""Of the range in which a groove or a size is looked for at which nothing visible is lost."""


def about_corners(
    layout: Layout,
    job: Job,
    cut: Sequence[Stroke],
    grooves: Sequence[Groove],
    *,
    joints: Sequence[Joint] | None = None,
    faces: Sequence[Opening] = (),
) -> Iterator[Finding]:
    """Say which loops close up, corners come out blunt and bends fill in, each in one finding at most.

    Parameters
    ----------
    cut, grooves : the strokes that are cut, wood mm, and what each gets; edges are moved to their
        side already, so that their tracks turn sharply only where the bit does not get into a corner.
    joints : where they meet; the layout's where none are given.
    faces : what several strokes go round together, where that was measured; closed strokes are
        looked at in any case.
    """
    width = {groove.stroke: groove.width for groove in grooves}
    depth = {groove.stroke: groove.depth for groove in grooves}
    closed = closed_up([*find_openings(cut, width, holes=_holes(layout, job)), *faces])
    gone = {number for opening in closed for number in opening.strokes}
    seen = [stroke for stroke in cut if stroke.number not in gone]
    if closed:
        yield _closed(layout, replace(job, depth=depth[closed[0].strokes[0]]), closed)
    joints = layout.joints if joints is None else joints
    corners = find_corners(seen, joints, width)
    if corners:
        yield _blunt(layout, replace(job, depth=depth[corners[0].strokes[0]]), corners)
    course, busy = course_of(seen), busy_joints(seen, joints)
    bends = find_bends(course, width, busy)
    if bends:
        concerned = course.only({bend.stroke for bend in bends})
        yield _filled(layout, replace(job, depth=depth[bends[0].stroke]), bends, course=concerned, busy=busy)


def _holes(layout: Layout, job: Job) -> set[int]:
    """Return the edges of holes in solids; where the solid is to stand the hole is cut away, and is none."""
    return {
        number + offset
        for piece, offset in zip(layout.pieces, layout.offsets, strict=True)
        for region in piece.drawing.regions
        for number in region.inner
        if job.acts.sides.get(number + offset, region.side) != "outside"
    }


def _closed(layout: Layout, job: Job, closed: Sequence[Opening]) -> Finding:
    worst = closed[0]
    one = len(closed) == 1
    what = "A loop closes" if one else f"{len(closed)} loops close"
    cures = remedy.cures(
        layout,
        job,
        widest=min(2 * loop.radius for loop in closed) - VISIBLE,
        factor=max((loop.groove + VISIBLE) / (2 * loop.radius) for loop in closed),
    )
    return Finding(
        check="loop closes up",
        severity="loss",
        message=(
            f"{what} up under the groove: {'' if one else 'the widest, '}{place_words(layout, worst.where)}, "
            f"{listed(worst.strokes)}, is {both(worst.lost, job.units)} open as drawn, and the groove of "
            f"{both(worst.groove, job.units)} leaves nothing standing in it."
        ),
        strokes=tuple(sorted({number for loop in closed for number in loop.strokes})),
        where=worst.where,
        measured=2 * worst.radius,
        limit=worst.groove,
        remedy=cures,
    )


def _blunt(layout: Layout, job: Job, corners: Sequence[Corner]) -> Finding:
    worst = corners[0]
    what = "A sharp corner comes" if len(corners) == 1 else f"{len(corners)} sharp corners come"
    most = [most_excess(corner.angle) for corner in corners]
    cures = remedy.cures(
        layout,
        job,
        widest=min(corner.drawn + excess for corner, excess in zip(corners, most, strict=True)),
        factor=max(
            (corner.groove - excess) / corner.drawn if corner.drawn else np.inf
            for corner, excess in zip(corners, most, strict=True)
        ),
    )
    return Finding(
        check="corner blunt",
        severity="note",
        message=(
            f"{what} out blunter than drawn: at the worst ({place_words(layout, worst.where)}, "
            f"{listed(worst.strokes)}, {np.degrees(worst.angle):.0f} deg) the round end of the groove stays "
            f"{both(worst.lost, job.units)} further from the point than that of the drawn line."
        ),
        strokes=tuple(sorted({number for corner in corners for number in corner.strokes})),
        where=worst.where,
        measured=worst.lost,
        limit=VISIBLE,
        remedy=cures,
    )


def _filled(layout: Layout, job: Job, bends: Sequence[Bend], *, course: Course, busy: Array) -> Finding:
    worst = bends[0]
    what = (
        "The inside of a tight bend is" if len(bends) == 1 else f"The insides of {len(bends)} tight bends are"
    )
    groove = {bend.stroke: bend.groove for bend in bends}
    most = max(groove.values())

    def narrow(share: float) -> bool:
        narrower = {number: min(w, share * most) for number, w in groove.items()}
        return not find_bends(course, narrower, busy)

    def large(factor: float) -> bool:
        smaller = {number: w / factor for number, w in groove.items()}
        return not find_bends(course, smaller, busy, visible=VISIBLE / factor)

    size = -_most(lambda x: large(-x), -remedy.MOST_LARGER, -1.0)
    return Finding(
        check="bend fills in",
        severity="note",
        message=(
            f"{what} lost: at the worst ({place_words(layout, worst.where)}, stroke {worst.stroke}) "
            f"{both(worst.lost, job.units)} more of the inside fills in than is drawn, where a groove "
            f"{both(worst.groove, job.units)} wide turns with a radius of {both(worst.radius, job.units)}."
        ),
        strokes=tuple(sorted(groove)),
        where=worst.where,
        measured=worst.radius,
        limit=worst.groove / 2,
        remedy=remedy.cures(
            layout, job, widest=most * _most(narrow, 0.0, 1.0), factor=size if large(size) else np.inf
        ),
    )


def _most(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Return nearly the greatest value at which something holds that holds from some value down."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
