"""The whole vector stage: Ink in, Drawing out."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine, bezier
from tracer.geometry.joints import find_joints
from tracer.model.drawing import Drawing, Joint, Region, Stroke
from tracer.model.ink import Ink
from tracer.model.scan import Scan
from tracer.vector.bundle import bundled, smoothed
from tracer.vector.centre import refined
from tracer.vector.corners import sharpened
from tracer.vector.dots import dot_at, is_dot
from tracer.vector.edges import Outline, outlines
from tracer.vector.fit import Course, fitted
from tracer.vector.follow import follow
from tracer.vector.junctions import link
from tracer.vector.leftover import completed
from tracer.vector.network import skeleton_network
from tracer.vector.outline_corners import BLUR, cornered
from tracer.vector.prune import prune
from tracer.vector.roots import points_of, rooted
from tracer.vector.samples import Samples, waver
from tracer.vector.tied import tied

Array = NDArray[np.float64]

TOLERANCE = 0.02
"""Default largest distance from the refined centres to the cubics, in typical line widths."""

FINEST = 0.3
"""The tolerance is never below this many art pixels: there the samples themselves waver."""

WAVER = 4.0
"""Standard deviations of the samples' noise that the tolerance is at the least: noise is not to be fitted."""

APART = 0.35
"""Line widths between samples that show the noise: further apart, corners of short sides would count, too."""

CALM = 1.0
"""Art pixels over which the refined centres are smoothed before the fit."""

MEETING = 0.3
"""Middles nearer than this many line widths meet; the ink of separate lines is a whole width apart."""


def find_strokes(scan: Scan, ink: Ink, *, tolerance: float | None = None) -> Drawing:
    """Return the strokes of the ink, numbered from the top left, in art pixels.

    `tolerance` is the largest distance from the refined centres to the fitted
    cubics in typical line widths; where None it is 0.02, and more where the ink's own
    edge wavers more. The Drawing says what was held.
    """
    solids = outlines(ink)
    lines, within = _lines(ink, solids, tolerance)
    edges, regions = _edges(ink, solids, within, first=len(lines))
    strokes = lines + edges
    left, top, _, _ = bezier.bounds_of([stroke.curves for stroke in strokes]).T
    order = np.lexsort((left, top)).tolist()
    number = {k: n for n, k in enumerate(order, start=1)}
    back = affine.scaling(1 / ink.zoom)
    placed = tuple(strokes[k].transformed(back, number=number[k]) for k in order)
    height, width = scan.grey.shape
    return Drawing(
        strokes=placed,
        joints=joints_of(placed, MEETING * ink.line_width / ink.zoom),
        size_px=(width, height),
        mm_per_px=scan.mm_per_px,
        scale_source=scan.scale_source,
        line_width=ink.line_width / ink.zoom,
        tolerance=within / ink.zoom,
        regions=tuple(Region(number[outer], tuple(number[k] for k in inner)) for outer, inner in regions),
        mends=ink.mends,
        name=scan.name,
        sha256=scan.sha256,
        notes=scan.notes,
        size_doubt=scan.size_doubt,
        quality=ink.quality,
    )


def joints_of(strokes: Sequence[Stroke], tolerance: float) -> tuple[Joint, ...]:
    """Return where strokes meet within `tolerance` (their frame's unit)."""
    meetings = find_joints([(stroke.curves, stroke.closed) for stroke in strokes], tolerance)
    return tuple(
        Joint(np.array(m.point), tuple((strokes[k].number, t) for k, t in m.members)) for m in meetings
    )


def _lines(ink: Ink, solids: Sequence[Outline], tolerance: float | None) -> tuple[list[Stroke], float]:
    """Return lines and dots along the middle of the ink, not yet numbered, and the tolerance, ink pixels."""
    network = prune(skeleton_network(ink.skeleton), ink.radius)
    samples = refined(ink, network.branches)
    links = link(ink, network, samples)
    lone = {node for node, arms in network.arms().items() if not arms}
    dots = [network.nodes[node] for node in sorted(lone - links.no_dots)]
    edges = points_of([ring for outline in solids for ring in (outline.outer, *outline.inner)])
    chains, free = [], []
    for chain, free_start, free_end in follow(network, samples, links):
        if free_start and free_end and not chain.closed and is_dot(chain):
            dots.append(chain.points[len(chain.points) // 2])
        else:
            chains.append(chain)
            free.append((free_start, free_end))
    strokes, within = _fitted(ink, tied(ink, rooted(ink, chains, edges), free), dots, tolerance)
    return strokes + [_dot(ink, point) for point in dots], within


def _fitted(
    ink: Ink, lines: Sequence[Samples], dots: Sequence[Array], tolerance: float | None
) -> tuple[list[Stroke], float]:
    """Sharpen the corners of lines and fit them; the second is the tolerance held."""
    if not lines:
        return [], _tolerance(ink, [], tolerance)
    rolled = [_rolled(line) if line.closed else line for line in lines]
    sharp = completed(ink, sharpened(ink, rolled, [line.width for line in lines]), dots)
    courses = [
        Course(points, corners, samples.closed, max(3, round(0.5 * samples.width)), guessed=~samples.clean)
        for points, (samples, corners) in zip(_calmed(sharp, CALM * max(1.0, ink.zoom)), sharp, strict=True)
    ]
    within = _tolerance(ink, courses, tolerance)
    measured = _widths([samples for samples, _ in sharp])
    strokes = [
        Stroke(0, curves, course.closed, "line", widths)
        for curves, course, widths in zip(fitted(courses, within), courses, measured, strict=True)
    ]
    return strokes, within


def _calmed(lines: Sequence[tuple[Samples, list[int]]], sigma: float) -> list[Array]:
    """Return the points of lines after a slight smoothing between corners, against the sampling's noise."""
    parts, rings = [], []
    for samples, corners in lines:
        ring = samples.closed and not corners
        cuts = [0, *corners, len(samples.points) - 1]
        parts += [samples.points[:-1]] if ring else [samples.points[a : b + 1] for a, b in pairwise(cuts)]
        rings += [ring] * (1 if ring else len(cuts) - 1)
    rough = bundled(parts, rings)
    calm = iter(rough.split(smoothed(rough, sigma).points))
    points = []
    for samples, corners in lines:
        if samples.closed and not corners:
            whole = next(calm)
            points.append(np.concatenate([whole, whole[:1]]))
        else:
            own = [next(calm) for _ in range(len(corners) + 1)]
            points.append(np.concatenate([own[0], *(part[1:] for part in own[1:])]))
    return points


def _tolerance(ink: Ink, courses: Sequence[Course], tolerance: float | None) -> float:
    """Return the tolerance in ink pixels."""
    if tolerance is not None:
        return max(FINEST * ink.zoom, tolerance * ink.line_width)
    noise = waver([course.points for course in courses], max(1, round(APART * ink.line_width)))
    return max(FINEST * ink.zoom, TOLERANCE * ink.line_width, WAVER * noise)


def _dot(ink: Ink, point: Array) -> Stroke:
    """Return a dot."""
    middle, width = dot_at(ink, point)
    return Stroke(0, bezier.dot(middle), closed=False, kind="dot", widths=np.array([width]))


def _edges(
    ink: Ink, solids: Sequence[Outline], tolerance: float, *, first: int
) -> tuple[list[Stroke], list[tuple[int, list[int]]]]:
    """Return the edges of all solids, ink pixels, and for each solid its (outer, inner) edges' indices.

    Indices count on from `first`.
    """
    courses: list[Course] = []
    regions = []
    for outline in solids:
        here = first + len(courses)
        courses += [_edge_course(ring, ink.zoom) for ring in (outline.outer, *outline.inner)]
        regions.append((here, list(range(here + 1, first + len(courses)))))
    strokes = [Stroke(0, curves, closed=True, kind="edge") for curves in fitted(courses, tolerance)]
    return strokes, regions


def _edge_course(ring: Samples, zoom: float) -> Course:
    """Sharpen the corners of an edge."""
    edge, corners = cornered(ring, zoom)
    return Course(edge.points, corners, closed=True, reach=max(3, round(BLUR * zoom)))


def _rolled(samples: Samples) -> Samples:
    """Return a closed stroke with its seam at its straightest place, so that no corner lies there."""
    points = samples.points[:-1]
    reach = max(2, min(len(points) // 8, 12))
    into, out = points - np.roll(points, reach, axis=0), np.roll(points, -reach, axis=0) - points
    turn = np.abs(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0])
    seam = int(np.argmin(turn))
    order = np.append(np.arange(seam, len(points)), np.arange(seam + 1))
    return Samples(samples.points[order], samples.widths[order], samples.clean[order], closed=True)


def _widths(lines: Sequence[Samples]) -> list[Array]:
    """Return the measured widths of lines, about one a line width along each: means of clean samples.

    Where none is clean the line's median stands.
    """
    sizes = np.array([len(line.points) for line in lines])
    points = np.concatenate([line.points for line in lines])
    steps = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
    first = np.cumsum(sizes) - sizes
    steps[first] = 0
    each = [np.cumsum(own) for own in np.split(steps, first[1:])]
    length, median = np.array([own[-1] for own in each]), np.array([line.width for line in lines])
    count = np.clip(np.round(length / np.maximum(median, 1.0)), 1, 256).astype(int)
    part = np.concatenate(each) / np.repeat(np.maximum(length, 1e-9), sizes)
    most = np.repeat(count, sizes)
    slot = np.minimum((part * most).astype(int), most - 1) + np.repeat(np.cumsum(count) - count, sizes)
    good = np.concatenate([line.clean | (not line.clean.any()) for line in lines])
    widths = np.concatenate([line.widths for line in lines])
    number = np.bincount(slot[good], minlength=count.sum())
    total = np.bincount(slot[good], widths[good], minlength=count.sum())
    means = np.where(number > 0, total / np.maximum(number, 1), np.repeat(median, count))
    return np.split(means, np.cumsum(count)[:-1])
