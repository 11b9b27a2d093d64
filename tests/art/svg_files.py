"""SVG files for tests, made from a few elements."""

from pathlib import Path

from tracer.art.vector_art import read_svg
from tracer.model.drawing import Drawing
from tracer.reading import AS_IT_IS, Reading

PEN = 'fill="none" stroke="black" stroke-width="2"'


PAGE = 'width="200" height="100"'


def svg(body: str, root: str = PAGE) -> str:
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f"<svg {names} {root}>{body}</svg>"


def read(folder: Path, body: str, root: str = PAGE, reading: Reading = AS_IT_IS) -> Drawing:
    path = folder / "a.svg"
    path.write_text(svg(body, root), encoding="utf-8")
    return read_svg(path, reading)


def user_scale(drawing: Drawing, width: float = 200.0) -> float:
    """Art pixels to a CSS pixel of a page `width` wide."""
    return drawing.size_px[0] / width


def kinds(drawing: Drawing) -> list[str]:
    return [stroke.kind for stroke in drawing.strokes]


def told(drawing: Drawing, words: str) -> bool:
    return any(words in note for note in drawing.notes)
