"""Points along all grooves, evenly spaced, with what is needed to measure between them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import bezier
from tracer.geometry.flatten import places
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

TOLERANCE = 0.005
"""mm on the wood; how far the polylines that grooves are measured on may lie from their strokes."""

A_GROOVE = 4
"""Samples in a groove's width: the edge of such a row of discs waves by 0.03 of their radius."""

CORNER = math.radians(20)
"""A sharper turn has a sample of its own."""

LONGEST_STEP = 0.6
"""mm; wide grooves are sampled no coarser."""

_NOISE = 1e-9


@dataclass(frozen=True, eq=False)
class Samples:
    """Points along strokes, one stroke after the other; wood frame, mm.

    Attributes
    ----------
    points : (m, 2).
    t : (m,) places on their chains.
    along : (m,) distance from the stroke's start.
    stroke : (m,) index of the stroke in the sequence sampled.
    tangents : (m, 2) unit, zero for a dot.
    totals : (k,) length of each stroke.
    swept : (m,) area that the line from the origin to the stroke sweeps up to each, mm^2.
    """

    points: Array
    t: Array
    along: Array
    stroke: Ints
    tangents: Array
    totals: Array
    swept: Array

    @cached_property
    def step(self) -> Array:
        """Spacing of each stroke's samples (k,), 0 for dots."""
        count = np.bincount(self.stroke, minlength=len(self.totals))
        step: Array = self.totals / np.maximum(count - 1, 1)
        return step


def step_for(groove: float) -> float:
    """Return the spacing (mm) at which grooves of this width and more are well sampled.

    It goes in steps, so that a little change of depth changes no sample, and the same
    job gives the same plan whatever was planned before.
    """
    halvings = math.ceil(2 * math.log2(max(1.0, LONGEST_STEP * A_GROOVE / groove)) - _NOISE)
    return LONGEST_STEP / 2 ** (halvings / 2)


def sample(strokes: Sequence[Stroke], step: float) -> Samples:
    """Sample `strokes` at about `step` mm, ends and corners included; a dot gives one point."""
    if not strokes:
        nothing, flat = np.zeros((0, 2)), np.zeros(0)
        return Samples(nothing, flat, flat, flat.astype(np.intp), nothing, flat, flat)
    line, place, owner = _polylines(strokes)
    way = np.diff(line, axis=0)
    size = np.where(owner[1:] == owner[:-1], np.hypot(way[:, 0], way[:, 1]), 0.0)
    along = np.concatenate([[0.0], np.cumsum(size)])
    first = np.searchsorted(owner, np.arange(len(strokes)))
    start = along[first]
    totals = along[np.append(first[1:], len(line)) - 1] - start
    stroke, whole = _even(along, owner, _corners(way, size, owner), step)
    wanted = np.clip(whole - start[stroke], 0.0, totals[stroke])
    segment = np.searchsorted(along, whole, side="right") - 1
    last = np.append(first[1:], len(line))[stroke] - 2
    segment = np.maximum(np.minimum(segment, last), first[stroke])
    length = np.where(size > 0, size, 1.0)[segment]
    share = np.clip((whole - along[segment]) / length, 0.0, 1.0)
    dot = totals[stroke] == 0
    share[dot] = 0.0
    t = place[segment] + share * (place[segment + 1] - place[segment])
    points, tangents = _on_strokes(strokes, stroke, t, way[segment] / length[:, None])
    tangents[dot] = 0.0
    sweep = np.concatenate([[0.0], np.cumsum(_cross(line[:-1], line[1:]) / 2)])
    swept = sweep[segment] + _cross(line[segment], points) / 2
    return Samples(points, t, wanted, stroke, tangents, totals, swept)


def _polylines(strokes: Sequence[Stroke]) -> tuple[Array, Array, Ints]:
    """Return all strokes as polylines end to end: points (n, 2), places on their chains, stroke indices."""
    counts = np.array([len(stroke.curves) for stroke in strokes])
    chain = np.concatenate([stroke.curves for stroke in strokes])
    base = np.cumsum(counts) - counts
    t = places(chain, TOLERANCE)[:-1]
    cubic = np.floor(t).astype(np.intp)
    owner = np.repeat(np.arange(len(strokes)), counts)[cubic]
    at_end = np.searchsorted(owner, np.arange(len(strokes)), side="right")
    points = np.insert(bezier.evaluate(chain[cubic], t - cubic), at_end, chain[base + counts - 1, 3], axis=0)
    place = np.insert(t - base[owner], at_end, counts.astype(float))
    return points, place, np.insert(owner, at_end, np.arange(len(strokes)))


def _on_strokes(strokes: Sequence[Stroke], stroke: Ints, t: Array, rough: Array) -> tuple[Array, Array]:
    """Return points and unit tangents (m, 2) at places `t`; `rough` where a derivative vanishes."""
    counts = np.array([len(one.curves) for one in strokes])
    cubic = np.clip(np.floor(t).astype(np.intp), 0, counts[stroke] - 1)
    chain = np.concatenate([one.curves for one in strokes])
    own, u = chain[(np.cumsum(counts) - counts)[stroke] + cubic], t - cubic
    slope = bezier.derivative(own, u)
    speed = np.hypot(slope[:, 0], slope[:, 1])
    sound = speed > _NOISE
    tangents = np.where(sound[:, None], slope / np.where(sound, speed, 1.0)[:, None], rough)
    return bezier.evaluate(own, u), tangents


def _corners(way: Array, size: Array, owner: Ints) -> NDArray[np.bool_]:
    """Say at which points (n,) of the polylines a section begins or ends: strokes' ends, and sharp turns."""
    dot = (way[1:] * way[:-1]).sum(axis=1)
    sharp = dot < math.cos(CORNER) * size[1:] * size[:-1]
    change = owner[1:] != owner[:-1]
    corner = np.zeros(len(owner), dtype=bool)
    corner[1:-1] = sharp
    corner[1:] |= change
    corner[:-1] |= change
    corner[[0, -1]] = True
    return corner


def _even(along: Array, owner: Ints, corner: NDArray[np.bool_], step: float) -> tuple[Ints, Array]:
    """Return the stroke and the place on the polylines end to end of each sample.

    Each section between corners is cut evenly; a stroke without length has one sample.
    """
    places, stroke = along[corner], owner[corner]
    inner = stroke[1:] == stroke[:-1]
    length = np.diff(places)
    pieces = np.where(inner & (length > 0), np.maximum(1, np.rint(length / step)), 0).astype(np.intp)
    begins = np.flatnonzero(np.diff(stroke, prepend=-1))
    count = np.append(pieces, 0)
    section = np.repeat(np.arange(len(places)), count)
    number = np.arange(len(section)) - np.repeat(np.cumsum(count) - count, count) + 1
    whole = places[section] + length[np.minimum(section, len(length) - 1)] * number / count[section]
    first = np.searchsorted(section, begins)
    return np.insert(stroke[section], first, stroke[begins]), np.insert(whole, first, places[begins])


def _cross(p: Array, q: Array) -> Array:
    cross: Array = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return cross
