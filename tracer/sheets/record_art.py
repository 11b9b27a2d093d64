"""What report.json tells of each piece's art: its size, and what was changed on the way to strokes."""

from typing import Any

from tracer.model.ink import Mend
from tracer.model.layout import Piece


def art_record(number: int, piece: Piece) -> dict[str, Any]:
    """Return the entry of piece `number`, from 1; places and sizes are in art pixels."""
    drawing = piece.drawing
    return {
        "piece": number,
        "name": piece.name,
        "sha256": drawing.sha256,
        "size_px": list(drawing.size_px),
        "mm_per_px": drawing.mm_per_px,
        "scale_source": drawing.scale_source,
        "line_width_px": drawing.line_width,
        "notes": list(drawing.notes),
        "mends": [_mend(mend) for mend in drawing.mends],
        "strokes": len(drawing.strokes),
        "art_to_wood": [[float(value) for value in row] for row in piece.matrix],
    }


def _mend(mend: Mend) -> dict[str, Any]:
    return {
        "kind": mend.kind,
        "number": mend.number or None,
        "x_px": mend.x,
        "y_px": mend.y,
        "size_px": mend.size_px,
    }
