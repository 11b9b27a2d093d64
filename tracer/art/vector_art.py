"""An SVG file as a Drawing: its own curves, nothing rasterised.

Stroked paths become lines with their widths; filled ones the edges of solids. A fill with a
line round it is a solid where both are about as dark, and colouring inside a line otherwise.
The edge of a solid is the border of its ink, half an outline's width outside of its path.
"""

import hashlib
import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tracer.art.files import opened
from tracer.art.svg_ink import inked, marks_of
from tracer.art.svg_marks import colouring, count_paints, on_page
from tracer.art.svg_notes import nothing_to_follow, sentences
from tracer.art.svg_own import own_strokes
from tracer.art.svg_page import Page, page_of
from tracer.art.svg_size import size_of
from tracer.art.svg_solids import dotted, line_width, nested, thin_areas
from tracer.art.svg_strokes import drawn
from tracer.art.svg_walk import Walk
from tracer.art.svg_xml import tree_of
from tracer.errors import ArtError
from tracer.geometry import affine, bezier
from tracer.geometry.joints import find_joints
from tracer.model.drawing import Drawing, Joint, Region, Stroke
from tracer.reading import AS_IT_IS, Reading

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

SIDE = 1000.0
"""Art pixels of the figure's longer side are this to twice this: what is measured in pixels elsewhere
then means about the same for every file. The factor is a power of two, which changes no digit."""

MOST = 60_000
"""Curves in a file: a colouring page has some hundreds to a few thousand."""

MEETING = 0.3
"""Middles nearer than this many line widths meet, as in pictures."""

NEAREST = 0.5
"""Middles nearer than this many art pixels meet however thin the lines are."""


def read_svg(path: Path, reading: Reading = AS_IT_IS) -> Drawing:
    """Return the strokes of the SVG file in `path`, packed (.svgz) or not, in art pixels.

    An art pixel is a CSS pixel of the page times a power of two such that the figure's longer
    side is 1000 to 2000. A known length is given in the units of the root's view box.

    Raises
    ------
    ArtError
        Where the file cannot be read, is no SVG or draws nothing that can be followed.
    """
    with opened(path) as file:
        data = file.read()
    _check_reading(path.name, reading)
    root = tree_of(data, path.name)
    page = page_of(root)
    walk = Walk(root, page, path.name)
    own = own_strokes(walk)
    painted = [mark for mark in marks_of(walk) if mark.shape not in own]
    _check_number(sum(len(sub.curves) for mark in painted for sub in mark.subpaths), path.name)
    counts = Counter(walk.left)
    marks = on_page(painted, walk, page, counts)
    ink = inked(marks, page.box)
    count_paints(ink, counts)
    box = _box([*(stroke.curves for stroke in own.values()), *ink.followed()])
    if box is None:
        raise nothing_to_follow(path.name, counts)
    page, shift = (page, (0.0, 0.0)) if page.box is not None else _page_round(box, page)
    zoom = 2.0 ** math.ceil(math.log2(SIDE / max(box[2] - box[0], box[3] - box[1], 1e-9)))
    scale = affine.compose(affine.scaling(zoom), affine.translation(*shift))
    found, left = drawn(ink, walk.windows, scale)
    counts.update(left)
    mine = [stroke.transformed(scale) for stroke in own.values()]
    strokes = _numbered(mine, dotted(found))
    if not strokes:
        raise nothing_to_follow(path.name, counts)
    regions = _regions(strokes)
    counts["thin"] += thin_areas(strokes, regions, SIDE)
    mm, source = size_of(page, reading, path.name)
    width = line_width(strokes)
    return Drawing(
        strokes=strokes,
        joints=_joints(strokes, max(MEETING * width, NEAREST)),
        size_px=(math.ceil(zoom * (page.width or 0.0)), math.ceil(zoom * (page.height or 0.0))),
        mm_per_px=None if mm is None else mm / zoom,
        scale_source=source,
        line_width=width,
        regions=regions,
        mends=tuple(colouring(ink, scale)),
        name=path.name,
        sha256=hashlib.sha256(data).hexdigest(),
        notes=tuple(_notes(reading, counts)),
    )


def _check_number(curves: int, name: str) -> None:
    """Refuse drawings of more curves than a hand would ever follow."""
    if curves > MOST:
        raise ArtError(
            f"{name} has {curves} curves, up to {MOST} are read: that is no line drawing. Simplify it in the "
            "drawing program, or save it as a picture (PNG, 300 dpi) and trace that."
        )


def _box(chains: Sequence[Array]) -> Box | None:
    """Return the extent (x0, y0, x1, y1) of chains, None where there is none."""
    return bezier.bounds(np.concatenate(chains)) if chains else None


def _check_reading(name: str, reading: Reading) -> None:
    """Refuse what is said of pictures only: in curves there are no pages, sheets or closed gaps."""
    if reading.page > 1:
        raise ArtError(f"{name} is an SVG file and has one page: leave out --page {reading.page}.")
    said = {
        "--corners": reading.corners is not None,
        "--photo-of": reading.photo_of not in ("auto", "no"),
        "--deskew": reading.deskew,
        "--open-gaps": bool(reading.open_gaps),
    }
    for option in (key for key, is_said in said.items() if is_said):
        raise ArtError(f"{name} is an SVG file, whose curves are followed as they are: leave out {option}.")


def _page_round(box: Box, page: Page) -> tuple[Page, tuple[float, float]]:
    """Return a page that is the figure's extent, and the shift of the figure onto it."""
    wide, high = box[2] - box[0], box[3] - box[1]
    return replace(page, width=wide or high, height=high or wide), (-box[0], -box[1])


def _numbered(own: Sequence[Stroke], found: Sequence[Stroke]) -> tuple[Stroke, ...]:
    """Return all strokes numbered from the top; our own keep their numbers where nothing is new."""
    if not found and len({stroke.number for stroke in own}) == len(own):
        return tuple(sorted(own, key=lambda stroke: stroke.number))
    strokes = [*own, *found]
    order = sorted(range(len(strokes)), key=lambda k: (strokes[k].bounds[1], strokes[k].bounds[0], k))
    return tuple(replace(strokes[k], number=n) for n, k in enumerate(order, start=1))


def _regions(strokes: Sequence[Stroke]) -> tuple[Region, ...]:
    """Return the solids that the closed edges bound."""
    edges = [stroke for stroke in strokes if stroke.kind == "edge" and stroke.closed]
    solids = nested([edge.curves for edge in edges])
    return tuple(Region(edges[o].number, tuple(edges[k].number for k in inner)) for o, inner in solids)


def _joints(strokes: Sequence[Stroke], tolerance: float) -> tuple[Joint, ...]:
    """Return where strokes meet within `tolerance` art pixels."""
    meetings = find_joints([(stroke.curves, stroke.closed) for stroke in strokes], tolerance)
    return tuple(
        Joint(np.array(m.point), tuple((strokes[k].number, t) for k, t in m.members)) for m in meetings
    )


def _notes(reading: Reading, counts: Mapping[str, int]) -> Iterator[str]:
    """Yield what was done on reading."""
    yield "read as curves, nothing was rasterised"
    if reading.follow == "edge":
        yield "lines are followed along their middle all the same: an SVG file says where that is"
    yield from sentences(counts)
