"""True-scale templates for carving with a router on a hand-moved copying linkage.

`trace` recovers the strokes of a picture, `plan` says what will happen in the wood,
`write` makes the template pack. Everything is loaded when first used.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tracer.errors import TracerError
    from tracer.job import Beside, Border, Job, PieceSpec
    from tracer.laid_out import lay_out
    from tracer.lettering import Lettering
    from tracer.model.drawing import Drawing, Joint, Stroke
    from tracer.model.layout import Board, Layout, Piece
    from tracer.model.plan import Plan
    from tracer.pipeline import Work, letter, plan, write
    from tracer.reading import Reading
    from tracer.tracing import trace

__all__ = [
    "Beside",
    "Board",
    "Border",
    "Drawing",
    "Job",
    "Joint",
    "Layout",
    "Lettering",
    "Piece",
    "PieceSpec",
    "Plan",
    "Reading",
    "Stroke",
    "TracerError",
    "Work",
    "lay_out",
    "letter",
    "plan",
    "trace",
    "write",
]

_HOMES = {
    "Beside": "job",
    "Board": "model.layout",
    "Border": "job",
    "Drawing": "model.drawing",
    "Job": "job",
    "Joint": "model.drawing",
    "Layout": "model.layout",
    "Lettering": "lettering",
    "Piece": "model.layout",
    "PieceSpec": "job",
    "Plan": "model.plan",
    "Reading": "reading",
    "Stroke": "model.drawing",
    "TracerError": "errors",
    "lay_out": "laid_out",
    "trace": "tracing",
}


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives."""
    if name not in __all__:
        raise AttributeError(f"module 'tracer' has no attribute {name!r}")
    return getattr(import_module(f"tracer.{_HOMES.get(name, 'pipeline')}"), name)
