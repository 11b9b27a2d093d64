"""Where branches are clean up to at either end, and how they go on from there."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tracer.vector.links import End
from tracer.vector.network import LOOP, Network
from tracer.vector.samples import SPACING, Samples, median
from tracer.vector.track import Start

Array = NDArray[np.float64]
Index = NDArray[np.intp]

RUN = 0.4
"""Line widths over which samples must be clean for a branch to count as a line."""

CLEAR = 0.5
"""Line widths kept away from where a branch begins to be clean: there its edge still gives way a little."""

SWELLS = 0.12
"""Part of its width by which an arm's width must change over its beginning to count as swelling."""

SHORT, WIDER = 3.5, 1.25
"""Line widths round about that the inside of a crossing is long at the most, and is wide at the least."""

TIP = 1.2
"""Line widths from its junction on in which the inside of a sharp tip is not clean."""

WINDOW = 25
"""Samples through which an arm's direction is fitted."""

Fits = tuple[tuple[float, int], ...]

FITS: Fits = ((3.5, 1), (2.5, 2))
"""Line widths and degrees of the polynomials that are tried for an arm; the last one holds in any case."""

STRAIGHT = 0.12, 0.02
"""A polynomial holds if all samples are within so many ink pixels, and parts of a width more, of it."""


@dataclass(frozen=True, eq=False)
class Arms:
    """The ends of branches, at junctions and free ones, one row each.

    Attributes
    ----------
    ends : (branch, side) of each.
    cuts : (a,) samples to be taken off there.
    kept : (a,) samples that stay between the cuts at the two ends of its branch.
    start : where and how each goes on beyond its cut.
    free : (a,) bool, the end is at no junction.
    outward : (a, k, 2) samples from the cut on away from the junction, the last one repeated.
    """

    ends: list[End]
    cuts: Index
    kept: Index
    start: Start
    free: NDArray[np.bool_]
    outward: Array

    @cached_property
    def branch(self) -> Index:
        """Return each arm's branch (a,)."""
        return np.array([k for k, _ in self.ends], np.intp)


def clean_stretch(samples: Samples, free: tuple[bool, bool]) -> tuple[int, int] | None:
    """Return the first and last index of the stretch of a branch that begins and ends cleanly, or None.

    A branch whose two ends are `free` always has one, and be it its middle. One that has
    only its free end clean is the inside of a sharp tip of two lines.
    """
    run = max(3, round(RUN * samples.width / SPACING))
    total = np.concatenate([[0], np.cumsum(samples.clean)])
    full = np.flatnonzero(total[run:] - total[:-run] == run)
    if len(full):
        first, last = int(full[0]), int(full[-1]) + run - 1
        mixed = first if free[1] else len(samples.points) - 1 - last
        tip = free[0] != free[1] and mixed > max(TIP * samples.width, 2 * (last - first))
        return None if tip else (first, last)
    third = (len(samples.points) - 1) // 3
    return (third, len(samples.points) - 1 - third) if all(free) else None


def arms_of(network: Network, samples: Sequence[Samples], shortest: float = 0.0) -> Arms:
    """Return the arms of all branches that are clean somewhere, and of those that lie alone.

    Between junctions they must be clean over `shortest` ink pixels.
    """
    around = network.arms()
    degree = {node: len(ends) for node, ends in around.items()}
    sizes = [len(own.points) for own in samples]
    begins = (np.cumsum(sizes) - sizes).tolist()
    rows = []
    for k, branch in enumerate(network.branches):
        if branch.a == LOOP:
            continue
        nodes = branch.a, branch.b
        stretch = clean_stretch(samples[k], (degree[branch.a] == 1, degree[branch.b] == 1))
        others = [j for node in nodes for j, _ in around[node] if j != k]
        if stretch is None or _is_inside(k, samples, others):
            continue
        inner = degree[branch.a] > 1 and degree[branch.b] > 1
        if inner and (stretch[1] - stretch[0]) * SPACING < shortest:
            continue
        clear = min(round(CLEAR * samples[k].width), (stretch[1] - stretch[0]) // 4)
        first, last = stretch[0] + clear, stretch[1] - clear
        for side, node in enumerate(nodes):
            cut = first if side == 0 else sizes[k] - 1 - last
            at = begins[k] + (first if side == 0 else last)
            free = degree[node] == 1
            rows.append(_Row((k, side), cut, at, last - first, samples[k].width, free, network.nodes[node]))
    return _going_on(rows, samples) if rows else _NONE


class _Row(NamedTuple):
    """An arm: its end, cut, first sample of all, samples to the far cut, width, whether free, its node."""

    end: End
    cut: int
    first: int
    span: int
    width: float
    free: bool
    node: Array


def _going_on(rows: Sequence[_Row], samples: Sequence[Samples]) -> Arms:
    """Return arms and how they go on, by their samples from the cut on."""
    ends, *columns = zip(*rows, strict=True)
    cuts, first, spans, widths, free, nodes = map(np.array, columns)
    offset = _window(widths, spans)
    index = first[:, None] + np.where([side == 0 for _, side in ends], 1, -1)[:, None] * offset
    outward = np.concatenate([own.points for own in samples])[index]
    across = np.concatenate([own.widths for own in samples])[index]
    ahead = np.where(free, np.inf, np.hypot(*(outward[:, 0] - nodes).T))
    along = (offset * SPACING).astype(np.float64)
    swells = _swells(across, along, widths)
    here = np.where(swells != 0, across[:, :3].mean(axis=1), widths)
    start = Start(*_headed(fitted_arms(outward, along, widths)), here, swells, ahead)
    return Arms(list(ends), cuts, spans + 1, start, free, outward)


_NONE = Arms(
    [],
    np.zeros(0, np.intp),
    np.zeros(0, np.intp),
    Start(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0)),
    np.zeros(0, bool),
    np.zeros((0, WINDOW, 2)),
)


def _is_inside(k: int, samples: Sequence[Samples], others: Sequence[int]) -> bool:
    """Say whether a branch between others is no line but the inside of their crossing: short, and wider."""
    if len(others) < 3:
        return False
    usual = median(np.array([samples[j].width for j in others]))
    short = len(samples[k].points) * SPACING < SHORT * usual
    return short and samples[k].width > WIDER * usual


def _window(widths: Array, spans: Index) -> Index:
    """Return WINDOW samples (a, k), counted from arms' cuts; none lies beyond the far cut, at `spans`."""
    stride = np.maximum(SPACING, 3.5 * widths / (WINDOW - 1))
    wanted = np.round(np.arange(WINDOW) * stride[:, None] / SPACING).astype(int)
    index: Index = np.minimum(wanted, spans[:, None])
    return index


def _swells(across: Array, along: Array, widths: Array) -> Array:
    """Return the change (a,) of arms' widths `across` (a, k) beyond their cut by distance, 0 where steady."""
    span = np.maximum(along.max(axis=1), 1.0)
    centred = along - along.mean(axis=1)[:, None]
    slope = (centred * across).sum(axis=1) / np.maximum((centred * centred).sum(axis=1), 1e-9)
    return np.where((np.abs(slope) * span > SWELLS * widths) & (span > 2 * widths), -slope, 0.0)


def _headed(c: Array) -> tuple[Array, Array, Array]:
    """Return place, unit heading back beyond the cut, and bend of parabolas (a, 3, 2) at their cut."""
    speed = np.maximum(np.hypot(*c[:, 1].T), 1e-12)
    bends = 2 * (c[:, 1, 0] * c[:, 2, 1] - c[:, 1, 1] * c[:, 2, 0]) / speed**3
    return c[:, 0], -c[:, 1] / speed[:, None], -bends


def fitted_arms(points: Array, along: Array, widths: Array, fits: Fits = FITS) -> Array:
    """Fit a line, where none holds a parabola over the nearer part; return (a, 3, 2) coefficients.

    `points` (a, k, 2) at distances `along` (a, k) from the cut, of which the last may
    repeat; the arm's point at distance s is c0 + c1 s + c2 s^2.
    """
    fresh = np.diff(along, axis=1, prepend=-1) > 0
    scaled = along / widths[:, None]
    chosen, settled = np.zeros((len(points), 3, 2)), np.zeros(len(points), bool)
    for reach, degree in fits:
        used = fresh & (scaled <= reach)
        fit = _polynomial(points, scaled, used, degree)
        off = np.abs(_evaluated(fit, scaled) - points).max(axis=(1, 2), where=used[..., None], initial=0)
        holds = (off <= STRAIGHT[0] + STRAIGHT[1] * widths) & (used.sum(axis=1) > 2 * degree)
        chosen = np.where((~settled & (holds | (reach == fits[-1][0])))[:, None, None], fit, chosen)
        settled |= holds
    scaled_back: Array = chosen / (widths[:, None, None] ** np.arange(3)[:, None])
    return scaled_back


def _polynomial(points: Array, along: Array, used: NDArray[np.bool_], degree: int) -> Array:
    """Return (a, 3, 2) coefficients of least squares polynomials through the points that are used."""
    powers = along[..., None] ** np.arange(3) * used[..., None]
    normal = np.einsum("aki,akj->aij", powers, powers) + 1e-9 * np.eye(3)
    if degree < 2:
        normal[:, 2], normal[:, :, 2], normal[:, 2, 2] = 0, 0, 1
    right = np.einsum("aki,akd->aid", powers, points)
    if degree < 2:
        right[:, 2] = 0
    solved: Array = np.linalg.solve(normal, right)
    return solved


def _evaluated(coefficients: Array, along: Array) -> Array:
    """Return the points (a, k, 2) of polynomials (a, 3, 2) at distances (a, k)."""
    points: Array = np.einsum("aki,aid->akd", along[..., None] ** np.arange(3), coefficients)
    return points
