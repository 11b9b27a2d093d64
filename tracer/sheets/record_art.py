"""What report.json tells of each piece: its art, and what was changed on the way to strokes; its words."""

from typing import Any

from tracer.model.ink import Mend
from tracer.model.layout import Piece
from tracer.model.marks import Marks


def art_record(number: int, piece: Piece) -> dict[str, Any]:
    """Return the entry of piece `number`, from 1; places and sizes are in art pixels."""
    drawing = piece.drawing
    return {
        "piece": number,
        "name": piece.name,
        "kind": _kind(piece),
        "words": None if drawing.marks is None else _words(drawing.marks, piece.scale),
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


def _kind(piece: Piece) -> str:
    if piece.border:
        return "border"
    return "art" if piece.drawing.marks is None else "words"


def _words(marks: Marks, scale: float) -> dict[str, Any]:
    """Return how words are set; `scale` is mm on the wood for the drawing's unit."""
    how = marks.lettering
    return {
        "text": how.words,
        "face": marks.face,
        "licence": marks.licence,
        "cap_height_mm": marks.cap_height * scale,
        "cut": how.cut,
        "raised": how.raised,
        "align": how.align,
        "tracking": how.tracking,
        "pitch": how.pitch,
        "arc_mm": how.arc,
    }


def _mend(mend: Mend) -> dict[str, Any]:
    return {
        "kind": mend.kind,
        "number": mend.number or None,
        "x_px": mend.x,
        "y_px": mend.y,
        "size_px": mend.size_px,
    }
