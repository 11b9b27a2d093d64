"""The least wood that the rules of thumb ask for between two grooves of a job."""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.shop.wood import least_land

Array = NDArray[np.float64]

_STEPS = np.linspace(0, 1, 101)


def least_between(job: Job, depth: float, grain_angle: float) -> float:
    """Return the least land (mm) between grooves of this depth; the angle is from the grain, radians.

    Where the hand's error was said, each groove may stray by it towards the other.
    """
    return rule_of(job)(depth, grain_angle)


def rule_of(job: Job) -> Callable[[float, float], float]:
    """Return what gives the least land (mm) for a depth (mm) and an angle (radians), as `least_between`."""
    straight = job.bit.straight_walled
    hand = job.linkage.error_on_wood(job.hand_error) if job.hand_error else 0.0

    def least(depth: float, grain_angle: float) -> float:
        return least_land(job.wood, grain_angle=grain_angle, depth=depth, straight_walled=straight, hand=hand)

    return least


def least_for(job: Job, depth: Array, squared_sine: Array) -> Array:
    """Return the least lands (m,) for depths (m,) and squared sines of the angle to the grain (m,)."""
    least, land = np.zeros(len(depth)), rule_of(job)
    for one in np.unique(depth):
        rule = [land(float(one), math.asin(math.sqrt(step))) for step in _STEPS.tolist()]
        here = depth == one
        least[here] = np.interp(squared_sine[here], _STEPS, rule)
    return least


def most_between(job: Job, depth: float) -> float:
    """Return the most that any land between grooves of this depth is asked for, mm."""
    return max(least_between(job, depth, angle) for angle in (0.0, math.pi / 2))
