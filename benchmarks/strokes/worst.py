"""The worst drawings: what is wrong with each, and a picture to look at."""

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.run import FLAT, Result
from tracer.model.drawing import Drawing

Array = NDArray[np.float64]
Canvas = NDArray[np.uint8]

COLOURS = ((200, 60, 20), (30, 120, 220), (20, 150, 60), (180, 40, 160), (220, 130, 0), (0, 150, 160))
"""Red, green, blue of strokes, in turn."""

RING = 14
"""Canvas pixels: radius of the rings round faults."""


def print_worst(found: Sequence[Result], count: int, keep: Path | None) -> None:
    """List the `count` worst drawings, by faults, then by the largest distance; draw them into `keep`."""
    order = sorted(found, key=lambda r: (-bool(r.own.failure), -r.own.score.faults, -r.own.score.hausdorff))
    for result in order[:count]:
        print(f"{result.art.kind} {result.level.name} {result.art.name}: {_wrong(result)}")
        if keep is not None:
            keep.mkdir(parents=True, exist_ok=True)
            path = keep / f"{result.art.kind}-{result.level.name}-{result.art.name.replace('%', 'p')}.png"
            cv2.imwrite(str(path), overlay(result)[..., ::-1])


def _wrong(result: Result) -> str:
    """Return what is wrong, with places in art pixels."""
    if result.own.failure:
        return result.own.failure
    s = result.own.score
    worst = f"Hausdorff {s.hausdorff:.2f} mm at {_px(result, s.worst[None])}"
    low, high = result.truth.parts
    parts = "" if s.parts_right else f", {s.parts} parts of {low if low == high else f'{low}-{high}'}"
    places = {
        "spurs": s.spurs,
        "missed ends": s.missed_ends,
        "crossings missed": s.crossings_missed,
        "crossings invented": s.crossings_invented,
    }
    words = [f", {len(p)} {name} {_px(result, p)}" for name, p in places.items() if len(p)]
    return f"{worst}{parts}{''.join(words)}, F1 {s.f1[0]:.3f} {s.f1[1]:.3f}, segments {s.segments:.2f}"


def _px(result: Result, points: Array) -> str:
    """Return the first places in art pixels."""
    return " ".join(f"({x:.0f}, {y:.0f})" for x, y in result.shot.to_pixels(points)[:4])


def overlay(result: Result) -> Canvas:
    """Return the faded art with strokes in colour, true lines thin and black, faults in rings.

    Red rings: spurs; blue: missed ends; green: crossings missed; purple: crossings invented; orange: the
    largest distance.
    """
    scale = max(1, round(2400 / max(result.shot.pixels.shape)))
    canvas = faded(result.shot.pixels, scale)
    if result.own.drawing is not None:
        draw_strokes(canvas, result.own.drawing, scale)
    for line in result.art.lines:
        _polyline(canvas, result.shot.to_pixels(line.points) * scale, (0, 0, 0), 1)
    s = result.own.score
    rings = (
        (s.worst[None], (240, 150, 0)), (s.spurs, (220, 0, 0)), (s.missed_ends, (0, 60, 220)),
        (s.crossings_missed, (0, 140, 0)), (s.crossings_invented, (150, 0, 180)),
    )  # fmt: skip
    for k, (points, colour) in enumerate(rings):
        for x, y in result.shot.to_pixels(points) * scale:
            cv2.circle(canvas, (round(x), round(y)), RING + 3 * k, colour, 2, cv2.LINE_AA)
    return canvas


def faded(pixels: Canvas, scale: int) -> Canvas:
    """Return a picture (H, W, 3), `scale` times as large, light enough to draw on."""
    colour = pixels if pixels.ndim == 3 else np.repeat(pixels[..., None], 3, axis=2)
    large = cv2.resize(colour, None, fx=scale, fy=scale, interpolation=cv2.INTER_NEAREST)
    return np.asarray(255 - (255 - large.astype(np.uint16)) // 3, np.uint8)


def draw_strokes(canvas: Canvas, drawing: Drawing, scale: float) -> None:
    """Draw strokes in colours, dots as crosses, and their breakpoints."""
    for k, stroke in enumerate(drawing.strokes):
        colour = COLOURS[k % len(COLOURS)]
        if stroke.kind == "dot":
            x, y = stroke.curves[0, 0] * scale
            cv2.drawMarker(canvas, (round(x), round(y)), colour, cv2.MARKER_TILTED_CROSS, 12, 2)
            continue
        _polyline(canvas, stroke.points(FLAT) * scale, colour, 3 if stroke.kind == "line" else 2)
        for x, y in np.append(stroke.curves[:, 0], stroke.curves[-1:, 3], axis=0) * scale:
            cv2.circle(canvas, (round(x), round(y)), 4, colour, 1, cv2.LINE_AA)


def _polyline(canvas: Canvas, points: Array, colour: tuple[int, int, int], thick: int) -> None:
    """Draw a polyline; a pixel's centre is at its half here, at its whole number in the drawing library."""
    places = np.round((points - 0.5) * 16).astype(np.int32)
    cv2.polylines(canvas, [places], False, colour, thick, cv2.LINE_AA, 4)  # noqa: FBT003 - not closed
