"""A picture of the vector stage, for whoever debugs."""

from pathlib import Path

import cv2
import numpy as np

from tracer.model.drawing import Drawing
from tracer.model.scan import Scan

_SIDE = 3000
"""Pixels the longer side is enlarged to."""

_COLOURS = ((200, 60, 0), (0, 120, 0), (160, 0, 160), (0, 100, 200), (140, 120, 0))


def write_stroke_step(scan: Scan, drawing: Drawing, folder: Path) -> None:
    """Write 3-strokes.png: strokes over the faded art, breakpoints red, joints as rings."""
    folder.mkdir(parents=True, exist_ok=True)
    zoom = max(1, _SIDE // max(scan.grey.shape))
    faded = 160 + cv2.resize(scan.grey, None, fx=zoom, fy=zoom, interpolation=cv2.INTER_NEAREST) // 3
    picture = cv2.cvtColor(np.asarray(faded, np.uint8), cv2.COLOR_GRAY2BGR)
    for stroke in drawing.strokes:
        points = np.round(stroke.points(0.1) * zoom * 16 - 8).astype(np.int32)
        colour = _COLOURS[stroke.number % len(_COLOURS)]
        cv2.polylines(picture, [points], isClosed=False, color=colour, thickness=2, shift=4)
        for x, y in np.round(stroke.curves[:, 0] * zoom).astype(int).tolist():
            cv2.circle(picture, (x, y), 2, (0, 0, 255), -1)
    for joint in drawing.joints:
        x, y = np.round(joint.point * zoom).astype(int).tolist()
        cv2.circle(picture, (x, y), 6, (255, 0, 0), 1, cv2.LINE_AA)
    cv2.imwrite(str(folder / "3-strokes.png"), picture)
