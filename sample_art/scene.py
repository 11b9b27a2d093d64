"""A picture put together from back to front: what is put later hides what it covers.

Strokes are cut exactly where a cover's outline crosses them, so the truth holds only what can be seen.
"""

from __future__ import annotations

import string
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from sample_art.curves import Chain, cut, flat, parameters, placed, points_at

Kind = Literal["line", "solid", "dot"]
Mask = NDArray[np.bool_]
_STEP_MM = 0.25


@dataclass(frozen=True)
class Mark:
    """One drawn stroke: its middle (line, dot: one point) or its outline (solid), pen width in mm."""

    name: str
    kind: Kind
    curves: Chain
    closed: bool
    width: float


@dataclass(frozen=True)
class Area:
    """One covered patch: its name, for the crayons, and its outline (m, 2) in mm."""

    name: str
    outline: NDArray[np.float64]


def line(name: str, curves: Chain, width: float) -> Mark:
    """A pen line along `curves`; closed where it ends on its start."""
    return Mark(name, "line", curves, bool(np.allclose(curves[0, 0], curves[-1, 3], atol=1e-6)), width)


def dot(name: str, x: float, y: float, width: float) -> Mark:
    """A round dot `width` mm across."""
    return Mark(name, "dot", np.full((1, 4, 2), (x, y), dtype=np.float64), closed=False, width=width)


def solid(name: str, curves: Chain) -> Mark:
    """A black area within the closed chain `curves`."""
    return Mark(name, "solid", curves, closed=True, width=0.0)


def inside(outline: NDArray[np.float64], points: NDArray[np.float64]) -> Mask:
    """Which of `points` (n, 2) lie inside the closed polygon `outline` (m, 2): even-odd rule."""
    result = np.zeros(len(points), dtype=bool)
    near = np.flatnonzero(((points >= outline.min(0)) & (points <= outline.max(0))).all(1))
    if len(near) == 0:
        return result
    start, end = outline, np.roll(outline, -1, axis=0)
    x, y = points[near, 0][:, None], points[near, 1][:, None]
    straddles = (start[:, 1] > y) != (end[:, 1] > y)
    rise = np.where(straddles, end[:, 1] - start[:, 1], 1.0)
    crossing = start[:, 0] + (y - start[:, 1]) * (end[:, 0] - start[:, 0]) / rise
    result[near] = (straddles & (x < crossing)).sum(1) % 2 == 1
    return result


@dataclass
class Scene:
    """A page being drawn; sizes and places in the scene's own unit (mm, or px of a web picture)."""

    width: float
    height: float
    marks: list[Mark] = field(default_factory=list)
    areas: list[Area] = field(default_factory=list)
    step: float = _STEP_MM
    window: NDArray[np.float64] | None = None

    def put(self, marks: Iterable[Mark], *, cover: Chain | None = None, area: str = "") -> None:
        """Add marks in front of all that is there; `cover` (closed) first hides what lies behind it."""
        if cover is not None:
            outline = flat(cover, self.step)
            self.marks = [part for mark in self.marks for part in _clip(mark, outline, self.step, keep=False)]
            self.areas.append(Area(area, outline))
        self.marks.extend(marks)

    def tint(self, outline: Chain, area: str) -> None:
        """Name the patch within the closed chain `outline` for the crayons; hides nothing."""
        self.areas.append(Area(area, flat(outline, self.step)))

    def keep_within(self, window: Chain) -> None:
        """Drop what lies outside the closed chain `window`."""
        self.window = outline = flat(window, self.step)
        self.marks = [part for mark in self.marks for part in _clip(mark, outline, self.step, keep=True)]

    def named(self) -> list[Mark]:
        """All marks, each with a name of its own: a second "leaf" becomes "leaf 2"."""
        seen: dict[str, int] = {}
        result = []
        for mark in self.marks:
            count = seen[mark.name] = seen.get(mark.name, 0) + 1
            result.append(mark if count == 1 else replace(mark, name=f"{mark.name} {count}"))
        return result

    def seen_area(self, name: str, per_unit: float) -> Mask:
        """Pixels (`per_unit` a mm) where the patch called `name` is the foremost."""
        size = (round(self.height * per_unit), round(self.width * per_unit))
        mask = np.zeros(size, np.uint8)
        for area in self.areas:
            _fill(mask, area.outline * per_unit, 255 if area.name == name else 0)
        if self.window is not None:
            glass = np.zeros(size, np.uint8)
            _fill(glass, self.window * per_unit, 255)
            mask &= glass
        return mask > 0


def _fill(mask: NDArray[np.uint8], outline_px: NDArray[np.float64], value: int) -> None:
    cv2.fillPoly(mask, [np.round((outline_px - 0.5) * 16).astype(np.int32)], value, shift=4)


def figure(marks: Iterable[Mark], **place: object) -> list[Mark]:
    """Marks drawn in a figure's own frame, moved as by `placed`."""
    return [replace(m, curves=placed(m.curves, **place)) for m in marks]  # type: ignore[arg-type]


def _clip(mark: Mark, outline: NDArray[np.float64], step: float, *, keep: bool) -> list[Mark]:
    chain = mark.curves
    if mark.kind != "line":
        return [mark] if bool(inside(outline, chain[0, :1])[0]) == keep else []
    if not keep and _apart(chain, outline):
        return [mark]
    where = parameters(chain, step)
    stays = inside(outline, points_at(chain, where)) == keep
    if stays.all():
        return [mark]
    runs = _runs(chain, outline, where, stays)
    pieces = [cut(chain, a, b) for a, b in runs if b - a > 1e-6]
    if mark.closed and len(pieces) > 1 and stays[0] and stays[-1]:
        pieces = [*pieces[1:-1], np.concatenate([pieces[-1], pieces[0]])]
    long = [p for p in pieces if np.hypot(*np.diff(flat(p, step), axis=0).T).sum() > max(mark.width, step)]
    tails = string.ascii_lowercase if len(long) > 1 else [""]
    return [
        replace(mark, name=mark.name + tail, curves=p, closed=False)
        for tail, p in zip(tails, long, strict=False)
    ]


def _apart(chain: Chain, outline: NDArray[np.float64]) -> bool:
    low, high = chain.min(axis=(0, 1)), chain.max(axis=(0, 1))
    return bool((low > outline.max(0)).any() or (high < outline.min(0)).any())


def _runs(
    chain: Chain, outline: NDArray[np.float64], where: NDArray[np.float64], stays: Mask
) -> list[tuple[float, float]]:
    edges = np.flatnonzero(stays[1:] != stays[:-1])
    cuts = [_crossing(chain, outline, where[i], where[i + 1]) for i in edges]
    if stays[0]:
        cuts.insert(0, 0.0)
    if stays[-1]:
        cuts.append(float(len(chain)))
    return list(zip(cuts[::2], cuts[1::2], strict=True))


def _crossing(chain: Chain, outline: NDArray[np.float64], low: float, high: float) -> float:
    first = inside(outline, points_at(chain, np.array([low])))[0]
    for _ in range(24):
        middle = (low + high) / 2
        if inside(outline, points_at(chain, np.array([middle])))[0] == first:
            low = middle
        else:
            high = middle
    return (low + high) / 2
