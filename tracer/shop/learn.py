"""The user's own pace from jobs already cut: how fast the stylus goes, how long a plunge takes.

A job takes L / v + n t: L what the stylus follows over all passes, on the template and with what is
gone over again; n its plunges with passes [D]. One job gives v where t is known, two jobs give both.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tracer.errors import JobError
from tracer.shop.duration import format_duration
from tracer.shop.settings import FASTEST, LONGEST_PLUNGE, SHORTEST_PLUNGE, SLOWEST

SPREAD = 1.25
"""A pace is given from 1 / 1.25 to 1.25 times what was measured: days differ (common practice, no source)."""

ALIKE = 0.05
"""Two jobs whose millimetres a plunge are nearer than this part of each other cannot tell v from t."""


@dataclass(frozen=True)
class CutJob:
    """A job that was cut.

    Attributes
    ----------
    name : title of its sheets.
    followed : what the stylus followed on the template, all passes, again gone over included, mm.
    plunges : with passes.
    took : time at the router, s, without setting up.
    """

    name: str
    followed: float
    plunges: int
    took: float


@dataclass(frozen=True)
class Pace:
    """Stylus along the template, mm/s, and a plunge with its lift, s."""

    speed: float
    plunge: float

    @property
    def speeds(self) -> tuple[float, float]:
        """Speed as a range, mm/s."""
        return self.speed / SPREAD, self.speed * SPREAD

    @property
    def plunges(self) -> tuple[float, float]:
        """Plunge time as a range, s, within what the shop file takes."""
        return max(SHORTEST_PLUNGE, self.plunge / SPREAD), min(LONGEST_PLUNGE, self.plunge * SPREAD)


def read_cut_job(path: Path, took: float) -> CutJob:
    """A job from its report.json and the time it took, s.

    The length over all passes is found from the plan's own time, pace and plunges, so that
    it holds whatever the number of passes at each depth stop.

    Raises
    ------
    JobError
        Where the file cannot be read, is no such report, or nothing was cut.
    """
    try:
        whole = json.loads(path.read_text(encoding="utf-8"))
        job, totals = whole["job"], whole["totals"]
        slow, plunge = float(job["speed_mm_per_s"]["low"]), float(job["plunge_s"]["high"])
        plunges, time = int(totals["plunges_with_passes"]), float(totals["time_s"]["high"])
        once, name = float(totals["template_length_mm"]), str(job["name"])
    except OSError as error:
        raise JobError(f"the report {path} cannot be read: {error.strerror or error}") from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise JobError(
            f"{path} is no report of a plan: give the report.json that `tracer template` wrote"
        ) from error
    followed = (time - plunges * plunge) * slow
    if not (plunges > 0 and once > 0 and math.isfinite(followed) and followed > 0.99 * once):
        raise JobError(f"{path} cuts nothing, or its totals do not fit each other: make the plan again")
    return CutJob(name, followed, plunges, took)


def pace_of_one(job: CutJob, plunge: float) -> Pace:
    """The pace of a job whose plunges take `plunge` s each.

    Raises
    ------
    JobError
        Where the plunges alone would take longer than the job, or no hand goes so fast or slow.
    """
    left = job.took - job.plunges * plunge
    if left <= 0:
        raise JobError(
            f"{job.name} took {format_duration(job.took)}, but its {job.plunges} plunges at {plunge:.3g} s "
            f"would take {format_duration(job.plunges * plunge)} alone: check the time, or set hand.plunge "
            "lower"
        )
    return _believable(Pace(job.followed / left, plunge))


def pace_of_several(jobs: Sequence[CutJob]) -> Pace:
    """Speed and plunge time that fit two jobs, or several best: least squares of the parts they are off.

    Raises
    ------
    JobError
        Where the jobs are too alike to tell the two apart, or do not fit any believable pace.
    """
    ratios = [job.followed / job.plunges for job in jobs]
    if max(ratios) < (1 + ALIKE) * min(ratios):
        raise JobError(
            "these jobs have about as many plunges for their length, which cannot tell the stylus's speed "
            "from the plunge's time: take one with long lines and one with short ones, or give one alone"
        )
    long, short = ([x / job.took for job, x in zip(jobs, of, strict=True)] for of in _terms(jobs))
    ll, ss, ls = _dot(long, long), _dot(short, short), _dot(long, short)
    slowness = (sum(long) * ss - sum(short) * ls) / (ll * ss - ls * ls)
    plunge = (sum(short) * ll - sum(long) * ls) / (ll * ss - ls * ls)
    if slowness <= 0 or not SHORTEST_PLUNGE <= plunge <= LONGEST_PLUNGE:
        raise JobError(
            f"these times do not fit together: a plunge would take {plunge:.3g} s, and {SHORTEST_PLUNGE:g} "
            f"to {LONGEST_PLUNGE:g} s is expected: check the times, or give one job alone"
        )
    return _believable(Pace(1 / slowness, plunge))


def changes_of(pace: Pace, *, with_plunge: bool) -> Mapping[str, str]:
    """What to save in the shop file."""
    low, high = pace.speeds
    changes = {"hand.speed": f"{low:.1f} to {high:.1f} mm/s"}
    if with_plunge:
        low, high = pace.plunges
        changes["hand.plunge"] = f"{low:.1f} to {high:.1f} s"
    return changes


def _terms(jobs: Sequence[CutJob]) -> tuple[list[float], list[float]]:
    return [job.followed for job in jobs], [float(job.plunges) for job in jobs]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def _believable(pace: Pace) -> Pace:
    low, high = pace.speeds
    if not SLOWEST <= low <= high <= FASTEST:
        raise JobError(
            f"that would be a stylus at {pace.speed:.3g} mm/s; {SLOWEST:g} to {FASTEST:g} is expected: "
            "check the time, and that the report is of the job that was cut"
        )
    return pace
