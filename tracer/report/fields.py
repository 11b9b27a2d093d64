"""How large each field of wood is."""

import numpy as np
from numpy.typing import NDArray

from tracer.report.bodies import Bodies
from tracer.report.samples import Samples

Array = NDArray[np.float64]


def areas(bodies: Bodies, samples: Samples) -> Array:
    """Return the area of each field, mm^2 (that of the field outside means nothing).

    A field is its triangles less the sectors of discs in their corners; where two discs overlap
    across a side that is shut, half of what they share was taken twice (Edelsbrunner 1995). Between
    neighbours on one stroke the groove is wider than its two discs: that is taken off too, and
    where it bends, what lies between the stroke and its chord goes from one side to the other.
    """
    mesh = bodies.mesh
    wood = np.flatnonzero(bodies.of_triangle >= 0)
    corners = mesh.nodes[mesh.triangles[wood]]
    size = _size(corners) - _sectors(corners, bodies.radius[mesh.triangles[wood]])
    area = np.bincount(bodies.of_triangle[wood], size, minlength=len(bodies.nest.body_of)).astype(float)
    shut = np.flatnonzero((mesh.gates <= bodies.common) & (mesh.sides < mesh.real).all(axis=1))
    a, b = mesh.sides[shut].T
    shared = _half_lens(mesh.nodes[a], mesh.nodes[b], bodies.radius[a], bodies.radius[b])
    i, j = mesh.sample_of[a], mesh.sample_of[b]
    next_to = (samples.stroke[i] == samples.stroke[j]) & (np.abs(i - j) == 1)
    shared -= np.where(next_to, _notch(mesh.nodes[a], mesh.nodes[b], bodies.radius[a]), 0.0)
    chord = samples.swept[j] - samples.swept[i] - _cross(samples.points[i], samples.points[j]) / 2
    bulge = np.where(next_to, chord, 0.0)
    for side, gain in enumerate((shared + bulge, shared - bulge)):
        one = bodies.of_triangle[mesh.beside[shut, side]]
        area += np.bincount(one[one >= 0], gain[one >= 0], minlength=len(area))
    return area


def _size(corners: Array) -> Array:
    p, q = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return _cross(p, q) / 2


def _cross(p: Array, q: Array) -> Array:
    cross: Array = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return cross


def _sectors(corners: Array, radius: Array) -> Array:
    """Return the discs' sectors (k,) within triangles (k, 3, 2), for radii (k, 3)."""
    to_next = np.roll(corners, -1, axis=1) - corners
    to_last = np.roll(corners, 1, axis=1) - corners
    cross = to_next[..., 0] * to_last[..., 1] - to_next[..., 1] * to_last[..., 0]
    angle = np.arctan2(cross, (to_next * to_last).sum(axis=2))
    sectors: Array = (radius**2 * angle / 2).sum(axis=1)
    return sectors


def _half_lens(a: Array, b: Array, ra: Array, rb: Array) -> Array:
    """Return half the area (s,) that discs about `a` and `b` (s, 2) share."""
    d = np.hypot(*(b - a).T)
    to_a = (d**2 + ra**2 - rb**2) / (2 * d)
    return (_segment(ra, to_a) + _segment(rb, d - to_a)) / 2


def _segment(radius: Array, height: Array) -> Array:
    """Return the area (s,) of discs beyond a chord at a distance from their middles."""
    h = np.clip(height, -radius, radius)
    segment: Array = radius**2 * np.arccos(h / np.maximum(radius, 1e-12)) - h * np.sqrt(radius**2 - h**2)
    return segment


def _notch(a: Array, b: Array, radius: Array) -> Array:
    """Return what a straight groove's side covers (s,) between its discs about `a` and `b` beyond them."""
    half = np.minimum(np.hypot(*(b - a).T) / 2, radius)
    discs = half * np.sqrt(radius**2 - half**2) + radius**2 * np.arcsin(half / np.maximum(radius, 1e-12))
    notch: Array = 2 * radius * half - discs
    return notch
