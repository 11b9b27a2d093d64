"""The plain chain after its threshold: skeletonize, chains of pixels, approximate_polygon."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pixel = tuple[int, int]

TOLERANCE = 1.0
"""Pixels: largest distance of chain pixels from their polygon."""

AROUND = [(-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)]


def plain_chains(ink: NDArray[np.bool_], tolerance: float) -> list[tuple[Array, bool]]:
    """Return polylines (n, 2) of x and y in art pixels, and whether each ends on its first."""
    from skimage.measure import approximate_polygon
    from skimage.morphology import skeletonize

    strokes = []
    for chain in pixel_chains(skeletonize(ink)):
        points = approximate_polygon(np.array(chain, float), tolerance)[:, ::-1] + 0.5
        strokes.append((points, len(points) > 3 and chain[0] == chain[-1]))
    return strokes


def pixel_chains(skeleton: NDArray[np.bool_]) -> Iterator[list[Pixel]]:
    """Return the chains of (row, column) between ends and junctions; a ring ends on its first pixel."""
    pixels: set[Pixel] = {(int(r), int(c)) for r, c in np.argwhere(skeleton)}
    near = {p: _neighbours(p, pixels) for p in pixels}
    nodes = {p for p in pixels if len(near[p]) != 2}
    walked: set[tuple[Pixel, Pixel]] = set()
    seen: set[Pixel] = set()
    for node in sorted(nodes):
        seen.add(node)
        if not near[node]:
            yield [node]
        for step in near[node]:
            if (node, step) not in walked:
                chain = _walk(node, step, near, nodes)
                walked |= {(chain[0], chain[1]), (chain[-1], chain[-2])}
                seen.update(chain)
                yield chain
    for pixel in sorted(pixels - seen):
        if pixel not in seen:
            chain = _walk(pixel, near[pixel][0], near, {pixel})
            seen.update(chain)
            yield chain


def _neighbours(pixel: Pixel, pixels: set[Pixel]) -> list[Pixel]:
    """Return a pixel's neighbours; a diagonal one only where no straight one leads there too."""
    r, c = pixel
    found = []
    for dr, dc in AROUND:
        if (r + dr, c + dc) in pixels:
            round_the_corner = dr and dc and ((r + dr, c) in pixels or (r, c + dc) in pixels)
            if not round_the_corner:
                found.append((r + dr, c + dc))
    return found


def _walk(start: Pixel, step: Pixel, near: dict[Pixel, list[Pixel]], nodes: set[Pixel]) -> list[Pixel]:
    """Return the pixels from a node on to the next."""
    chain = [start, step]
    while chain[-1] not in nodes:
        ahead = [p for p in near[chain[-1]] if p != chain[-2]]
        chain.append(ahead[0])
    return chain
