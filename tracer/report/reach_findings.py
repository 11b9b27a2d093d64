"""What is said of the reach: all within it, several set-ups, or none that would do."""

import math
from collections.abc import Iterator

from tracer.job import Job
from tracer.lengths import both
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.change import SIZE_STEPS
from tracer.report.places import place_words
from tracer.report.set_ups import LEAST_REACH, MOST_SET_UPS, Reached
from tracer.report.windows import needed
from tracer.report.words import said
from tracer.shop.linkage import drift

_A_DEGREE = math.radians(1.0)


def about_reach(layout: Layout, job: Job, reached: Reached | None) -> Iterator[Finding]:
    """Say how what is cut lies within the reach; nothing where nobody said the reach."""
    if reached is None:
        return
    if reached.count == 1:
        yield _within(job, reached)
    elif reached.shares:
        yield _several(job, reached)
    else:
        yield _out_of_reach(layout, job, reached)


def _size(reached: Reached) -> tuple[float, float]:
    x0, y0, x1, y1 = reached.extent
    return x1 - x0, y1 - y0


def _beside(job: Job, reached: Reached) -> str:
    """Return the sizes of the carving and of the reach, for the middle of a sentence."""
    assert job.linkage.reach is not None
    carving = " x ".join(both(side, job.units) for side in _size(reached))
    reach = " x ".join(both(side, job.units, down=True) for side in job.linkage.reach)  # a limit
    return f"{carving} between stroke middles; the bit reaches {reach}"


def _within(job: Job, reached: Reached) -> Finding:
    return Finding(
        check="within reach",
        severity="note",
        message=f"All can be cut in one set-up: the carving is {_beside(job, reached)}.",
    )


def _several(job: Job, reached: Reached) -> Finding:
    """Say how many set-ups there are, where the joins lie, and what a board askew would do."""
    windows = reached.windows
    far = max(math.dist(windows[0][:2], window[:2]) for window in windows)
    askew = said(drift(far, _A_DEGREE), job.units)
    return Finding(
        check="several set-ups",
        severity="note",
        message=(
            f"The carving is {_beside(job, reached)}. It is cut in {len(windows)} set-ups, the board moved "
            f"between them. {_joins(reached)} A board 1 deg askew is {askew} off at the farthest."
        ),
        remedy=(
            "Move the board by the shifts on the job sheet, all from its first place, against a straight "
            f"fence; check the register marks before you cut.{_turned(job, reached)}"
        ),
    )


def _joins(reached: Reached) -> str:
    count = len(reached.joins) if reached.joins is not None else 0
    if count == 0:
        return "No groove is parted."
    there = reached.at_meetings
    places = "at one place" if count == 1 else f"at {count} places"
    if there == count:
        return f"Grooves are joined {places}, where strokes cross, meet or end."
    if there == 0:
        return f"Grooves are joined {places}, in plain stretches."
    kinds = f"{there} where strokes cross, meet or end, the others in plain stretches"
    return f"Grooves are joined {places}: {kinds}."


def _out_of_reach(layout: Layout, job: Job, reached: Reached) -> Finding:
    assert job.linkage.reach is not None
    where = reached.curve
    if where is not None:
        why = (
            "However the board is placed, a small curve would have to be parted, "
            f"{place_words(layout, where)}: its halves would not meet fair."
        )
    elif min(job.linkage.reach) < LEAST_REACH:
        why = f"A reach of less than {both(LEAST_REACH, job.units)} leaves no room to part a stroke."
    else:
        why = f"It would take {reached.count} set-ups; more than {MOST_SET_UPS} are not planned."
    return Finding(
        check="out of reach",
        severity="loss",
        message=f"The carving is {_beside(job, reached)}. {why} No set-ups are planned.",
        where=where,
        remedy=f"{_smaller(layout, job, reached)}{_turned(job, reached)}".strip(),
    )


def _smaller(layout: Layout, job: Job, reached: Reached) -> str:
    """Return the size at which all lies within the reach, and other ways to get there."""
    assert job.linkage.reach is not None
    share = min(
        reach / side for reach, side in zip(job.linkage.reach, _size(reached), strict=True) if side > 0
    )
    x0, _, x1, _ = layout.extent
    step = SIZE_STEPS[job.units]
    width = math.floor((x1 - x0) * share / step) * step
    other = ", or move or turn it so that plain stretches lie there" if reached.curve is not None else ""
    if width <= 0:
        return f"Take a linkage that reaches farther{other}."
    return (
        f"Made no more than {both(width, job.units, down=True)} wide it lies within one set-up; else take a "
        f"linkage that reaches farther{other}."
    )


def _turned(job: Job, reached: Reached) -> str:
    """Return what comes of the board and the template turned by a quarter, where that is less work."""
    assert job.linkage.reach is not None
    reach = job.linkage.reach[::-1]
    if min(reach) < LEAST_REACH:
        return ""
    count = math.prod(needed(side, along) for side, along in zip(_size(reached), reach, strict=True))
    if count >= max(reached.count, 1) or count > MOST_SET_UPS:
        return ""
    size = " x ".join(f"{side:g} mm" for side in reach)
    times = "one set-up does" if count == 1 else f"{count} set-ups may do"
    return f' With board and template both turned by a quarter {times}: say the reach as "{size}".'
