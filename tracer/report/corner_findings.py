"""What is said of detail that the groove is too wide for: blunt corners, filled bends, closed loops."""

from collections.abc import Iterator, Sequence

import numpy as np

from tracer.job import Job
from tracer.model.drawing import Joint
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.bends import Bend, Course, course_of, find_bends
from tracer.report.corners import VISIBLE, Array, Corner, blunter, busy_joints, find_corners
from tracer.report.cut import Cut
from tracer.report.openings import Opening, closed_up, find_openings
from tracer.report.places import place_words
from tracer.report.remedy import cure
from tracer.report.trial import Mask, Trial, Trials
from tracer.report.words import listed, said


def about_corners(
    trials: Trials, cut: Cut, joints: Sequence[Joint], *, faces: Sequence[Opening] = ()
) -> Iterator[Finding]:
    """Say which loops close up, corners come out blunt and bends fill in, each in one finding at most.

    Parameters
    ----------
    cut : what is cut; edges are moved to their side already, so that their tracks turn sharply
        only where the bit does not get into a corner.
    joints : where strokes meet, wood mm.
    faces : what several strokes go round together, where that was measured; closed strokes are
        looked at in any case.
    """
    width = {number: groove.width for number, groove in cut.groove.items()}
    holes = _holes(trials.layout, trials.job)
    closed = closed_up([*find_openings(cut.strokes, width, holes=holes), *faces])
    gone = {number for opening in closed for number in opening.strokes}
    seen = [stroke for stroke in cut.strokes if stroke.number not in gone]
    if closed:
        yield _closed(trials, closed)
    # Corners of letters' edges are said of the letters themselves.
    lettered = [s.number for s in seen if s.number in trials.waste.sides and trials.letters.of([s.number])]
    corners = find_corners([s for s in seen if s.number not in lettered], joints, width)
    if corners:
        yield _blunt(trials, corners)
    # Beside an edge no more is cut than is drawn, however tightly the track bends.
    lines = [stroke for stroke in seen if stroke.number not in trials.waste.sides]
    course, busy = course_of(lines), busy_joints(lines, joints)
    bends = find_bends(course, width, busy)
    if bends:
        yield _filled(trials, bends, course.only({bend.stroke for bend in bends}), busy)


def _holes(layout: Layout, job: Job) -> set[int]:
    """Return the edges of holes in solids; where the solid is to stand the hole is cut away, and is none."""
    return {
        number + offset
        for piece, offset in zip(layout.pieces, layout.offsets, strict=True)
        for region in piece.drawing.regions
        for number in region.inner
        if job.acts.sides.get(number + offset, region.side) != "outside"
    }


def _closed(trials: Trials, closed: Sequence[Opening]) -> Finding:
    units, worst, one = trials.job.units, closed[0], len(closed) == 1
    radius = np.array([loop.radius for loop in closed])

    def open_still(trial: Trial) -> Mask:
        return 2 * radius * trial.larger - trial.groove >= VISIBLE

    what = "A loop closes" if one else f"{len(closed)} loops close"
    where = (
        f"{'' if one else 'The widest, '}{place_words(trials.layout, worst.where)}, {listed(worst.strokes)}"
    )
    return Finding(
        check="loop closes up",
        severity="loss",
        message=(
            f"{what} up under the groove. {where[0].upper()}{where[1:]}, is {said(worst.lost, units)} open "
            f"as drawn; a groove {said(worst.groove, units)} wide leaves nothing standing in it."
        ),
        strokes=tuple(sorted({number for loop in closed for number in loop.strokes})),
        where=worst.where,
        measured=2 * worst.radius,
        limit=worst.groove,
        remedy=cure(trials, open_still, who="It stays open" if one else "All stay open"),
    )


def _blunt(trials: Trials, corners: Sequence[Corner]) -> Finding:
    units, worst, one = trials.job.units, corners[0], len(corners) == 1
    angle, drawn = np.array([(corner.angle, corner.drawn) for corner in corners]).T

    def sharp(trial: Trial) -> Mask:
        return blunter(trial.groove, drawn * trial.larger, angle) <= VISIBLE

    strokes = tuple(sorted({number for corner in corners for number in corner.strokes}))
    of = " of the letters" if trials.letters.of(strokes) else ""
    what = f"A sharp corner{of} comes" if one else f"{len(corners)} sharp corners{of} come"
    return Finding(
        check="corner blunt",
        severity="note",
        message=(
            f"{what} out blunter than drawn. {'It is' if one else 'The worst is'} "
            f"{place_words(trials.layout, worst.where)} ({trials.letters.named(worst.strokes)}, "
            f"{np.degrees(worst.angle):.0f} deg): the round end of the groove stays "
            f"{said(worst.lost, units)} further from the point than that of the drawn line."
        ),
        strokes=strokes,
        where=worst.where,
        measured=worst.lost,
        limit=VISIBLE,
        remedy=cure(trials, sharp, who="It comes out as drawn" if one else "All come out as drawn"),
    )


def _filled(trials: Trials, bends: Sequence[Bend], course: Course, busy: Array) -> Finding:
    units, worst, one = trials.job.units, bends[0], len(bends) == 1
    numbers = tuple(sorted({bend.stroke for bend in bends}))

    def followed(trial: Trial) -> Mask:
        groove = dict.fromkeys(numbers, trial.groove / trial.larger)
        return np.array([not find_bends(course, groove, busy, visible=VISIBLE / trial.larger)])

    what = "A tight bend fills" if one else f"{len(bends)} tight bends fill"
    return Finding(
        check="bend fills in",
        severity="note",
        message=(
            f"{what} in on the inside. {'It is' if one else 'The worst is'} "
            f"{place_words(trials.layout, worst.where)} (stroke {worst.stroke}): a groove "
            f"{said(worst.groove, units)} wide turns with a radius of {said(worst.radius, units)}, and "
            f"{said(worst.lost, units)} more of the inside is gone than is drawn."
        ),
        strokes=numbers,
        where=worst.where,
        measured=worst.radius,
        limit=worst.groove / 2,
        remedy=cure(trials, followed, who="It comes out as drawn" if one else "All come out as drawn"),
    )
