"""The middle of a font's strokes: outlines of letters become single strokes, as a hand would carve them."""

from tracer.middles.middle import figures, middle_of

__all__ = ["figures", "middle_of"]
