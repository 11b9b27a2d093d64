"""Lines under colouring made as wide as their pen again, where colours cross beside them as dark as ink."""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.raster.balance import PAPER
from tracer.raster.band import Edges, Ways, middles_of
from tracer.raster.cells import disc
from tracer.raster.courses import Course, courses
from tracer.raster.strips import Light, strips, wipe

Grey = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Cells = NDArray[np.float32]
Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

BULGE = 0.1
"""Pens by which an edge is off before it is put right."""

_SHORT = 1.5
"""Pens of the shortest course that tells what it is."""

_REACH, _ROWS = 1.6, 30_000
"""Pens from the middle in which an edge is looked for, and rows that the drawing library looks up at once."""

_PITCH = 12.0
"""Places to a pen's width along a line at which its edges are looked for, but no more than pixels."""

_SOUND, _FOUND, _MOST = 0.06, 0.4, 0.8
"""Pens that an edge is off at the most that is the pen's, part of the places near by where one of the two is,
and part of a bulge where that is so."""

_APART = 0.5
"""Pens from the end of a course that a bulge stays away: lines are wide where they meet."""

_DOUBTFUL = 0.4
"""Part by which the usual width of lines may differ from what was said."""

_STEADY, _OWN = 0.1, 0.5
"""Part by which a line's width differs from its own pen's at the most, and part of it where that is so."""

_ALIKE = 0.4
"""Part of the widths that are the pen's: bulges are as wide as it comes."""

_MORE, _LEAST = 0.15, 3
"""Pens at each end of a bulge that are painted anew with it, and pixels of the shortest bulge."""

_SPILL = 0.4
"""Pixels by which the drawing library's filled outlines are too large."""

_BLUR = 4
"""Pixels beyond an edge that its blur reaches."""


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of a page (H, W) whose colouring was taken away.

    Attributes
    ----------
    cleared : what is left of the page.
    grey : the page with its colouring.
    coloured : where that was, above 127.
    skeleton : of the ink, 0 or 1.
    dark : the grey of lines.
    light : of the page with its colouring.
    """

    cleared: Grey
    grey: Grey
    coloured: Mask
    skeleton: Mask
    dark: float
    light: Light


def evened(lines: Lines, pen: float) -> Grey:
    """Return the page (H, W) with the lines under its colouring as wide as their pen: about `pen` pixels.

    At one edge of a line two colours may cross and be as dark as ink, in scallops. But a pen's edge is
    smooth, and its width the same all along. Where no edge is sound, and where lines meet, all stays as
    it is, but for what is no line at all: see `strips`.
    """
    result = lines.cleared.copy()
    found = courses(lines.skeleton, (lines.coloured > 127).astype(np.uint8), pen)
    middles = np.zeros_like(lines.skeleton)
    for course in found:
        columns, rows = course.points.astype(np.intp).T
        middles[rows, columns] = 1
    lines = replace(lines, skeleton=middles)
    found = [course for course in found if len(course.points) > _SHORT * pen]
    edges = _measured(lines, [course.points for course in found], pen) if found else None
    wide = edges.away.sum(axis=1) if edges else np.zeros(0)
    sane = wide[np.abs(wide - pen) < _DOUBTFUL * pen]
    if edges is None or not len(sane):
        return result
    fit = _fitted(lines, edges, wide, _usual(sane))
    inside, sound = _inside(lines, fit), _sound(fit)
    for run in _bulges(found, fit, inside, sound):
        _paint(result, lines, found[run.line], fit, run)
    off = fit.off / fit.width[:, None]
    for k in np.flatnonzero(strips(fit.edges, off, inside, sound, light=lines.light, pen=fit.pen)):
        wipe(result, lines.skeleton, found[k].points, fit.pen)
    return result


def _measured(lines: Lines, paths: list[Array], pen: float) -> Edges:
    """Return the edges across lines along paths (n, 2)."""
    raw = _ways(paths, 1.0)
    even = raw.smooth(raw.points, 0.15 * pen)
    pitch = max(1.0, pen / _PITCH)
    ways = _ways([_even(path, pitch) for path in np.split(even, raw.starts[1:-1])], pitch)
    course = ways.smooth(ways.points, 0.35 * pen)
    along = course[ways.moved(1)] - course[ways.moved(-1)]
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normals = np.column_stack([-along[:, 1], along[:, 0]])
    sides = np.stack([-normals, normals], axis=1)
    steps = np.arange(0, _REACH * pen, dtype=np.float32)
    places = (ways.points[:, None, None] + steps[:, None] * sides[:, :, None]).astype(np.float32)
    away = _first_above(_looked_up(lines.cleared, places), (lines.dark + PAPER) / 2)
    return Edges(ways, normals, away, _paler(_looked_up(lines.grey, places), away, pen))


def _ways(paths: list[Array], pitch: float) -> Ways:
    """Return paths (n, 2) as ways."""
    return Ways(np.concatenate(paths), np.concatenate([[0], np.cumsum([len(path) for path in paths])]), pitch)


def _even(points: Array, pitch: float) -> Array:
    """Return points (n, 2) a pitch apart on a polyline."""
    far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    places = np.linspace(0, far[-1], max(3, round(float(far[-1]) / pitch)) + 1)
    return np.column_stack([np.interp(places, far, points[:, k]) for k in (0, 1)])


def _looked_up(page: Grey, places: Cells) -> Cells:
    """Return the greys (n, 2, m) of a page (H, W) at places (n, 2, m, 2)."""
    x, y = (places[..., k].reshape(len(places), -1) for k in (0, 1))
    found = [
        cv2.remap(page, x[k : k + _ROWS], y[k : k + _ROWS], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        for k in range(0, len(x), _ROWS)
    ]
    return np.concatenate(found).astype(np.float32).reshape(places.shape[:3])


def _first_above(grey: Cells, level: float) -> Array:
    """Return how many pixels out (n, 2) greys (n, 2, m) first are above a level; nan where they never are."""
    above = grey > level
    at = np.maximum(above.argmax(axis=2), 1)
    row, side = np.ogrid[: len(grey), :2]
    inner, outer = grey[row, side, at - 1], grey[row, side, at]
    part = (level - inner) / np.maximum(outer - inner, 1e-3)
    return np.where(above.any(axis=2) & ~above[..., 0], at - 1 + part, np.nan)


def _paler(tone: Cells, away: Array, pen: float) -> Array:
    """Return by how many greys (n,), by `tone` (n, 2, m), the left of what is too wide is lighter."""
    much = np.clip(np.nan_to_num(away.sum(axis=1) - pen), 0, 0.6 * pen)[:, None, None]
    steps = np.arange(tone.shape[2])
    inside = (steps > away[..., None] - much) & (steps < away[..., None] - 1)
    count = inside.sum(axis=2)
    means = (tone * inside).sum(axis=2) / np.maximum(count, 1)
    return np.where(count.min(axis=1) > 0, means[:, 0] - means[:, 1], 0)


def _usual(widths: Array) -> float:
    """Return the width that is the most usual: the middle of the part of them that lies closest together."""
    ordered, part = np.sort(widths), int(_ALIKE * (len(widths) - 1))
    first = int((ordered[part:] - ordered[: len(ordered) - part]).argmin())
    return float(np.median(ordered[first : first + part + 1]))


@dataclass(frozen=True, eq=False)
class _Fit:
    """Lines `width` (n,) pixels wide about their middles (n, 2), and how far beyond that edges (n, 2) are."""

    edges: Edges
    middle: Array
    width: Array
    off: Array
    pen: float


def _fitted(lines: Lines, edges: Edges, wide: Array, usual: float) -> _Fit:
    """Return where lines as wide as their pens go: found twice, for straight lines are measured best."""
    starts = edges.ways.starts
    pens = []
    for own in np.split(wide, starts[1:-1]):
        known = own[np.isfinite(own)]
        pen = _usual(known) if len(known) * edges.ways.pitch > usual else 0.0
        pens.append(pen if pen and (np.abs(known - pen) < _STEADY * pen).mean() > _OWN else usual)
    middle = middles_of(edges, np.repeat(pens, np.diff(starts)), usual)
    edges = _measured(lines, np.split(middle, starts[1:-1]), usual)
    width = np.repeat(pens, np.diff(edges.ways.starts))
    middle = middles_of(edges, width, usual)
    shift = ((middle - edges.ways.points) * edges.normals).sum(axis=1)
    off = edges.away + shift[:, None] * np.array([1, -1]) - width[:, None] / 2
    return _Fit(edges, middle, width, off, usual)


@dataclass(frozen=True)
class _Run:
    """Points of one line from `start` to before `stop` whose edge is off at one side: 0 left, 1 right."""

    line: int
    start: int
    stop: int
    side: int


def _inside(lines: Lines, fit: _Fit) -> Flags:
    """Return which places (n,) lie in the colouring."""
    x, y = np.clip(_whole(fit.edges.ways.points), 0, np.array(lines.cleared.shape[::-1]) - 1).T
    return np.asarray(lines.coloured[y, x] > 127, np.bool_)


def _off(fit: _Fit) -> Array:
    """Return how many widths edges (n, 2) are off, without sign."""
    return np.where(np.isfinite(fit.off), np.abs(fit.off), np.inf) / fit.width[:, None]


def _sound(fit: _Fit) -> Flags:
    """Return at which places (n,) one of the two edges is the pen's."""
    return np.asarray(_off(fit).min(axis=1) < _SOUND, np.bool_)


def _bulges(found: list[Course], fit: _Fit, inside: Flags, sound: Flags) -> list[_Run]:
    """Return where edges are off and it is sure where they should be."""
    ways, pens = fit.edges.ways, fit.pen / fit.edges.ways.pitch
    off = _off(fit)
    apart = round(_APART * pens)
    at = np.arange(len(off))
    ended = (ways.moved(-apart) != at - apart) | (ways.moved(apart) != at + apart)
    joined = np.concatenate(
        [
            course.joined[np.linspace(0, len(course.joined) - 1, count).round().astype(int)]
            for course, count in zip(found, np.diff(ways.starts).tolist(), strict=True)
        ]
    )
    trusted = inside & (ways.smooth(sound[:, None].astype(np.float64), 0.5 * fit.pen)[:, 0] > _FOUND)
    bulges = []
    for side in (0, 1):
        wrong = (off[None, :, side] > BULGE).astype(np.uint8)
        wide = cv2.dilate(wrong, np.ones((1, 2 * round(_MORE * pens) + 1), np.uint8))[0]
        barred = ended | joined[:, side]
        for start, stop in _runs(wide > 0):
            part = slice(start, stop)
            if stop - start >= _LEAST and not barred[part].any() and trusted[part].mean() > _MOST:
                bulges.append(_Run(int(ways.of[start]), start, stop, side))
    return bulges


def _runs(flags: Flags) -> list[tuple[int, int]]:
    """Return where runs of true (n,) start and stop."""
    steps = np.diff(np.concatenate([[0], flags.astype(np.int8), [0]]))
    return list(zip(np.flatnonzero(steps > 0).tolist(), np.flatnonzero(steps < 0).tolist(), strict=True))


def _paint(result: Grey, lines: Lines, course: Course, fit: _Fit, run: _Run) -> None:
    """Paint one side of a line, from its middle out to paper, from one of its points to another."""
    part, starts = slice(run.start, run.stop), fit.edges.ways.starts
    more = slice(max(starts[run.line], run.start - _BLUR), min(starts[run.line + 1], run.stop + _BLUR))
    half = (fit.width[more, None] / 2 - _SPILL) * fit.edges.normals[more]
    band = np.concatenate([fit.middle[more] - half, (fit.middle[more] + half)[::-1]])
    width = float(fit.width[run.start])
    out = np.maximum(np.nan_to_num(fit.off[part, run.side], nan=width), 0) + width / 2 + _BLUR
    edge = fit.middle[part] + (2 * run.side - 1) * out[:, None] * fit.edges.normals[part]
    zone = np.concatenate([fit.middle[part], edge[::-1]])
    ends = _whole(zone.min(axis=0)) - 2, _whole(zone.max(axis=0)) + 3
    corner, limit = (np.clip(end, 0, np.array(result.shape[::-1])) for end in ends)
    box = np.s_[corner[1] : limit[1], corner[0] : limit[0]]
    if not result[box].size:
        return
    others = lines.skeleton[box].copy()
    own = _whole(course.points - corner)
    own = own[((own >= 0) & (own < limit - corner)).all(axis=1)]
    others[own[:, 1], own[:, 0]] = 0
    free = (_filled(zone - corner, others.shape) > 127) & (cv2.dilate(others, disc(width + _BLUR)) == 0)
    ink = _filled(band - corner, others.shape)[free].astype(np.float32) / 255
    result[box][free] = (PAPER - (PAPER - lines.dark) * ink).astype(np.uint8)


def _whole(points: Array) -> NDArray[np.intp]:
    """Return points as whole pixels."""
    return np.round(points).astype(np.intp)


def _filled(outline: Array, shape: tuple[int, ...]) -> Mask:
    """Return how much of each pixel (h, w) lies within an outline (n, 2), 0 to 255."""
    mask = np.zeros(shape, np.uint8)
    cv2.fillPoly(mask, [np.round(16 * outline).astype(np.int32)], 255, cv2.LINE_AA, 4)
    return mask
