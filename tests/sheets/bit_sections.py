"""The sections that bits leave, from the textbook forms, and how far a depth map lies off them."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from sheets.plans import small_plan

from tracer.model.plan import Groove, Plan
from tracer.sheets.relief import depth_map
from tracer.shop.bits import Bit, RoundNose, Straight, TaperedBall, VBit

Section = Callable[[float], float]


def v_section(depth: float, flat: float, half_angle_deg: float) -> Section:
    """d - (r - f/2) / tan(angle/2) beyond the flat: right-triangle trigonometry."""
    return lambda r: depth - max(0.0, r - flat / 2) / math.tan(math.radians(half_angle_deg))


def ball_section(depth: float, radius: float) -> Section:
    """d - (R - sqrt(R^2 - r^2)): the circular segment, Machinery's Handbook (from memory)."""
    return lambda r: depth - (radius - math.sqrt(max(0.0, radius**2 - r**2)))


def tapered_section(depth: float, radius: float, side_deg: float) -> Section:
    """The segment to r = R cos a, then the side at the angle a: derived."""
    a = math.radians(side_deg)
    joint = radius * math.cos(a)
    above = radius * (1 - math.sin(a))
    ball = ball_section(depth, radius)
    return lambda r: ball(r) if r <= joint else depth - above - (r - joint) / math.tan(a)


BITS: dict[str, tuple[Bit, float, Section]] = {
    "V 60": (VBit(60.0, 12.7), 1.5875, v_section(1.5875, 0.0, 30)),
    "V 90 with a flat": (VBit(90.0, 12.7, flat=0.5), 2.0, v_section(2.0, 0.5, 45)),
    "V 60 worn": (VBit(60.0, 6.35, tip_radius=0.25), 2.0, tapered_section(2.0, 0.25, 30)),
    "round": (RoundNose(6.35), 1.0, ball_section(1.0, 3.175)),
    "round, deeper than its radius": (RoundNose(3.175), 3.0, ball_section(3.0, 1.5875)),
    "straight": (Straight(3.175), 3.0, lambda _: 3.0),
    "tapered ball": (TaperedBall(0.5, 5.0, 6.35), 3.0, tapered_section(3.0, 0.5, 5)),
}


def cut_with(bit: Bit, depth: float) -> Plan:
    plan = small_plan(bit=bit, depth=depth, scale=0.5, board=(70.0, 50.0, 19.05))
    return replace(plan, grooves=(Groove(4, depth, bit.width_at(depth)),))


def largest_error(name: str, *, places: int = 100, px_per_mm: float = 40.0) -> float:
    """Return the largest difference (mm) between the map and the section, at places beside stroke 4.

    None lies within 0.02 mm of the groove's edge, where walls may stand upright.
    """
    bit, depth, section = BITS[name]
    plan = cut_with(bit, depth)
    depths = depth_map(plan, px_per_mm)
    chain, half = plan.cut[0].curves[0], bit.width_at(depth) / 2
    random = np.random.default_rng(4)
    errors: list[float] = []
    while len(errors) < places:
        middle, ahead = cubic(chain, random.uniform(0.1, 0.9))
        spot = middle + random.uniform(-1.2, 1.2) * half * np.array([-ahead[1], ahead[0]])
        column, row = np.floor(spot * px_per_mm).astype(int)
        distance = nearest(chain, (np.array([column, row]) + 0.5) / px_per_mm)
        if abs(distance - half) > 0.02:
            expected = section(distance) if distance < half else 0.0
            errors.append(abs(float(depths[row, column]) - expected))
    return max(errors)


def cubic(c: np.ndarray, t: float) -> tuple[np.ndarray, np.ndarray]:
    """Return a point of a cubic (4, 2) and the unit direction there, by Bernstein's polynomials."""
    point = (1 - t) ** 3 * c[0] + 3 * (1 - t) ** 2 * t * c[1] + 3 * (1 - t) * t**2 * c[2] + t**3 * c[3]
    way = (1 - t) ** 2 * (c[1] - c[0]) + 2 * (1 - t) * t * (c[2] - c[1]) + t**2 * (c[3] - c[2])
    return point, way / np.hypot(*way)


def nearest(c: np.ndarray, point: np.ndarray) -> float:
    """Return the distance from a point to a cubic by brute force, to about 1e-4 mm."""
    t = np.linspace(0, 1, 20001)[:, None]
    on = (1 - t) ** 3 * c[0] + 3 * (1 - t) ** 2 * t * c[1] + 3 * (1 - t) * t**2 * c[2] + t**3 * c[3]
    return float(np.hypot(*(on - point).T).min())
