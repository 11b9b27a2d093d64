"""What is true of each picture, as JSON beside it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from sample_art.scene import Mark


def strokes_truth(
    art: str, marks: Sequence[Mark], page_mm: tuple[float, float], size_px: tuple[int, int], mm_per_px: float
) -> str:
    """JSON of a picture's strokes; curves in page mm, origin top left, y down; px = mm / mm_per_px.

    The first pixel's centre is at (0.5, 0.5). A solid's curves are its outline; a dot's one curve is a point.
    """
    strokes = [
        {
            "name": mark.name,
            "kind": mark.kind,
            "closed": mark.closed,
            "width_mm": round(mark.width, 4),
            "curves": np.round(mark.curves, 4).tolist(),
        }
        for mark in marks
    ]
    head = {"art": art, "page_mm": page_mm, "size_px": size_px, "mm_per_px": round(mm_per_px, 9)}
    body = ",\n".join("  " + json.dumps(stroke, separators=(",", ":")) for stroke in strokes)
    return json.dumps(head)[:-1] + ',\n "strokes": [\n' + body + "\n]}\n"


def write_photo_truth(
    path: Path, page: str, size_px: tuple[int, int], corners: np.ndarray, matrix: np.ndarray
) -> None:
    """Where the page lies in the photo: its corners and the 3 x 3 matrix from page mm to photo px."""
    truth = {
        "art": path.name.replace(".truth.json", ".jpg"),
        "page": page,
        "size_px": size_px,
        "corners_px": corners.tolist(),
        "page_mm_to_photo_px": np.round(matrix, 9).tolist(),
    }
    path.write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
