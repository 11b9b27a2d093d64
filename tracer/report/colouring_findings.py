"""What is said of coloured-in pictures: where lines may have gone with the colouring."""

from collections.abc import Iterator

import numpy as np

from tracer.geometry import affine
from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.ink import Mend, MendKind
from tracer.model.layout import Layout, Piece
from tracer.report.words import mostly, said


def about_colouring(layout: Layout, job: Job) -> Iterator[Finding]:
    """Say of each picture what may be lost under dark colouring, and which coloured lines are no ink."""
    for piece in layout.pieces:
        if dark := _of_kind(piece, "dark colouring left out"):
            yield _under_dark(piece, dark, layout, job)
        if thin := _of_kind(piece, "coloured line left out"):
            yield _lines(piece, thin, layout, job)


def _under_dark(piece: Piece, dark: list[Mend], layout: Layout, job: Job) -> Finding:
    """Return what is said of colours in which a black line hardly shows."""
    many = "" if len(dark) == 1 else f" in {len(dark)} places"
    return Finding(
        check="lines under dark colouring",
        severity="risk",
        message=(
            f"The colouring of {piece.drawing.name} is about as dark as its lines{many}: lines under it may "
            f"be lost or ragged, {_where(piece, dark, layout, job)}."
        ),
        where=_places(piece, dark[:1])[0],
        remedy="Compare the strokes with the art there; go over those lines with a black pen.",
    )


def _lines(piece: Piece, thin: list[Mend], layout: Layout, job: Job) -> Finding:
    """Return what is said of lines in a colour that is also a filling."""
    lines = "1 coloured line was" if len(thin) == 1 else f"{len(thin)} coloured lines were"
    return Finding(
        check="coloured lines left out",
        severity="loss",
        message=(
            f"Only the dark lines of {piece.drawing.name} were followed: {lines} taken for colouring, as the "
            f"same colour fills areas, {_where(piece, thin, layout, job)}."
        ),
        where=_places(piece, thin[:1])[0],
        remedy="Go over them with a black pen, or make them black in a paint program, to have them carved.",
    )


def _of_kind(piece: Piece, kind: MendKind) -> list[Mend]:
    """Return the changes of a kind, the largest first."""
    return sorted((m for m in piece.drawing.mends if m.kind == kind), key=lambda m: -m.size_px)


def _places(piece: Piece, mends: list[Mend]) -> list[tuple[float, float]]:
    """Return where changes lie on the wood, mm."""
    points = affine.apply(piece.matrix, np.array([(m.x, m.y) for m in mends]))
    return [(x, y) for x, y in points.tolist()]


def _where(piece: Piece, mends: list[Mend], layout: Layout, job: Job) -> str:
    """Return where on the figure they are, and how large the largest is in the wood."""
    size = said(affine.scale_of(piece.matrix) * mends[0].size_px, job.units)
    which = "" if len(mends) == 1 else "the largest "
    return f"{mostly(layout, _places(piece, mends))} ({which}{size} across)"
