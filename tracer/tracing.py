"""From a picture to its strokes: art, raster and vector stage in turn."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from tracer.art.read import read_picture, scan_of
from tracer.art.svg_xml import holds_svg
from tracer.errors import ArtError, OutputError
from tracer.model.drawing import Drawing
from tracer.model.ink import Ink
from tracer.model.scan import Scan
from tracer.raster.ink import find_ink
from tracer.raster.steps import write_ink_steps
from tracer.raster.straighten import straightened
from tracer.reading import AS_IT_IS, Reading
from tracer.vector.steps import write_stroke_step
from tracer.vector.strokes import find_strokes

Say = Callable[[str], None]


def silent(_: str) -> None:
    """Say nothing."""


def trace(
    art: Any,
    reading: Reading = AS_IT_IS,
    *,
    tolerance: float | None = None,
    keep_steps: Path | None = None,
    say: Say = silent,
) -> Drawing:
    """Return the strokes of a picture, in art pixels.

    Parameters
    ----------
    art : path of a picture or an SVG file, or an array (H, W) or (H, W, 3) of red, green, blue.
    reading : how it is to be read: its size, what to follow, and more.
    tolerance : largest distance from the refined centres to the fitted cubics, in typical line widths.
    keep_steps : folder that gets a picture of each stage; an SVG file goes through none.
    say : is told what is being done.

    Raises
    ------
    ArtError
        Where the picture cannot be read, or holds nothing to follow.
    """
    return traced(art, reading, tolerance, keep_steps, say)[1]


def traced(
    art: Any, reading: Reading, tolerance: float | None, keep_steps: Path | None, say: Say
) -> tuple[Scan | None, Drawing]:
    """Read art and find its strokes, as `trace` does; an SVG file has its own and gives no scan."""
    if not isinstance(art, np.ndarray) and holds_svg(Path(art)):
        from tracer.art.vector_art import read_svg

        say(f"reading the curves of {Path(art).name}")
        return None, read_svg(Path(art), reading)
    scan = _read(art, reading, say)
    return scan, _drawn(scan, reading, tolerance, keep_steps, say)


def _read(art: Any, reading: Reading, say: Say) -> Scan:
    """Read a picture, and lay it straight."""
    if isinstance(art, np.ndarray):
        return straightened(scan_of(art, reading), reading)
    say(f"reading {Path(art).name}")
    return straightened(read_picture(Path(art), reading), reading)


def _drawn(
    scan: Scan, reading: Reading, tolerance: float | None, keep_steps: Path | None, say: Say
) -> Drawing:
    """Find the ink and the strokes of a scan."""
    say(f"finding the ink of {scan.name}")
    ink: Ink = find_ink(scan, reading)
    say("following its lines" if reading.follow == "line" else "following its edges")
    drawing = find_strokes(scan, ink, tolerance=tolerance)
    if keep_steps is not None:
        _keep(scan, ink, drawing, keep_steps)
    if not drawing.strokes:
        raise ArtError(f"{scan.name} holds no line to follow: use a picture with darker or larger lines.")
    return drawing


def _keep(scan: Scan, ink: Ink, drawing: Drawing, folder: Path) -> None:
    """Write a picture of each stage."""
    try:
        write_ink_steps(ink, folder)
        write_stroke_step(scan, drawing, folder)
    except OSError as error:
        raise OutputError(
            f"The pictures of the stages could not be written to {folder} ({error.strerror or error}): "
            "name another folder with --keep-steps."
        ) from None
