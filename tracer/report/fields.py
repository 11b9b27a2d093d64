"""How large each field of wood is."""

import numpy as np
from numpy.typing import NDArray

from tracer.report.bodies import Bodies

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


def areas(bodies: Bodies, node_stroke: Ints, sample_of: Ints) -> Array:
    """Return the area of each field, mm^2 (that of the field outside means nothing).

    A field is its triangles less the sectors of discs in their corners; where two discs overlap
    across a side that is shut, half of what they share was taken twice (Edelsbrunner 1995). Between
    neighbours on one stroke the groove is wider than its two discs: that is taken off too.

    Parameters
    ----------
    node_stroke, sample_of : (n,) stroke and sample of each real node.
    """
    mesh = bodies.mesh
    wood = np.flatnonzero(bodies.of_triangle >= 0)
    corners = mesh.nodes[mesh.triangles[wood]]
    size = _size(corners) - _sectors(corners, bodies.radius[mesh.triangles[wood]])
    area = np.bincount(bodies.of_triangle[wood], size, minlength=len(bodies.nest.body_of)).astype(float)
    shut = np.flatnonzero((mesh.gates <= bodies.common) & (mesh.sides < mesh.real).all(axis=1))
    a, b = mesh.sides[shut].T
    shared = _half_lens(mesh.nodes[a], mesh.nodes[b], bodies.radius[a], bodies.radius[b])
    next_to = (node_stroke[a] == node_stroke[b]) & (np.abs(sample_of[a] - sample_of[b]) == 1)
    shared -= np.where(next_to, _notch(mesh.nodes[a], mesh.nodes[b], bodies.radius[a]), 0.0)
    for side in range(2):
        one = bodies.of_triangle[mesh.beside[shut, side]]
        area += np.bincount(one[one >= 0], shared[one >= 0], minlength=len(area))
    return area


def _size(corners: Array) -> Array:
    p, q = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    size: Array = (p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]) / 2
    return size


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
