"""What is said of a photographed sheet: which paper, which corners, what is in doubt."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.lengths import MM_PER_INCH
from tracer.raster.paper_fit import Fit, misfit
from tracer.raster.quad import Quad
from tracer.raster.sheet_edges import Edge
from tracer.shop.paper import Paper

Array = NDArray[np.float64]

BOWED = 0.005
"""Part of an edge's length by which it may bow before that is said (common practice)."""

HIDDEN = 0.06
"""Part of an edge that must be hidden in one piece before that is said."""

ODD = 0.05
"""Part by which the sides' ratio may differ from that of the paper named before that is said."""

_EDGES = ("top", "right", "bottom", "left")
_CORNERS = ("top left", "top right", "bottom right", "bottom left")


def size_doubt(paper: Paper, or_else: Paper | None = None) -> float:
    """Return by what part of itself the longer side of a sheet may differ from its name, or from another's.

    ISO 216 allows 1.5 mm up to 150 mm, 2 mm up to 600 mm, 3 mm above. American office paper is
    cut to 1/32 in (common practice, no source). Other sheets are taken to be no better than ISO's.
    """
    if or_else is not None:
        return abs(or_else.height / paper.height - 1)
    if paper.name in ("Letter", "Legal", "Tabloid"):
        return MM_PER_INCH / 32 / paper.height
    allowed = 1.5 if paper.height <= 150 else 2.0 if paper.height <= 600 else 3.0
    return allowed / paper.height


def the_sheet(paper: Paper) -> str:
    """Name a sheet: "an A4 sheet"."""
    return f"{'an' if paper.name[0] in 'AEIO' else 'a'} {paper.name} sheet"


def flat_notes(
    quad: Quad, fit: Fit, paper: Paper | None, size: tuple[int, int], *, named: bool
) -> Iterator[str]:
    """Say what was done with a photo, of `size` (width, height) px, and what is not sure of it."""
    where = ", ".join(f"({x:.0f}, {y:.0f})" for x, y in quad.corners_seen)
    yield f"the sheet was flattened by its corners at {where} in the photo"
    yield from _of_paper(quad.corners, fit, paper, size, named=named)
    yield from _of_corners(quad.corners_seen, quad.edges, size)
    if quad.lens is not None:
        yield "the lens bent its edges, all in one manner, and that was taken out"
    for edge, name in zip(quad.edges, _EDGES, strict=False):
        if edge.bow > BOWED:
            yield (
                f"the sheet's {name} edge bows by {edge.bow:.1%} of its length: it lay curled, or the lens "
                "bends; sizes there are off by as much"
            )


def _of_paper(
    corners: Array, fit: Fit, paper: Paper | None, size: tuple[int, int], *, named: bool
) -> Iterator[str]:
    """Say which paper was taken, and what else it may be."""
    if paper is None:
        yield (
            f"its sides are as 1 to {max(fit.aspect, 1 / fit.aspect):.2f}, which no known paper has, so its "
            "true size is not known: say the paper, or its width x height, with --photo-of"
        )
        return
    if named:
        off = misfit(corners, size, paper.height / paper.width)
        if off > ODD:
            yield f"its sides differ by {off:.0%} from those of {the_sheet(paper)}: check which paper it is"
        return
    alike = " (A3 and A5 have the same shape)" if paper.name == "A4" else ""
    yield f"{the_sheet(paper)} fits best{alike}: if it was another, say which with --photo-of"
    if fit.or_else is not None:
        yield f"{the_sheet(fit.or_else)} fits nearly as well, and its size would differ"


def _of_corners(corners: Array, edges: Sequence[Edge], size: tuple[int, int]) -> Iterator[str]:
    """Say which corners and edges were not seen; nothing of corners that were said by hand."""
    for k, (x, y) in enumerate(corners if edges else ()):
        if not (0 <= x <= size[0] and 0 <= y <= size[1]):
            yield f"its {_CORNERS[k]} corner lies out of the photo: it was worked out from the edges"
        elif not (edges[k].ends[0] and edges[k - 1].ends[1]):
            yield f"its {_CORNERS[k]} corner is covered: it was worked out from the edges"
    for edge, name in zip(edges, _EDGES, strict=False):
        if edge.hidden > HIDDEN:
            yield f"something hides {edge.hidden:.0%} of its {name} edge, and may be taken for lines"
