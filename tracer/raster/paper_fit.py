"""Which paper a sheet in a photograph is: its proportions, seen through a pinhole."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.raster.homography import homography
from tracer.shop.paper import PAPERS, Paper

Array = NDArray[np.float64]

USUAL_FOCAL = 0.75
"""Focal length of a telephone's main camera by the picture's longer side: 26 to 28 mm by 36 (from memory)."""

_FOCALS = USUAL_FOCAL * np.exp(np.linspace(-0.7, 1.4, 85))
"""Focal lengths tried: from wide angle to a crop of a third of the picture."""

_FOCAL_DOUBT = 0.25
"""Natural logarithm: how far focal lengths usually lie from the usual one."""

_SQUARE_DOUBT = 0.006
"""Cosine of the sheet's angles that a slight bow or a lens leaves in doubt."""

_SHAPE_DOUBT = 0.01
"""Natural logarithm of the sides' ratio: what a lens, a curl and the paper's own tolerance leave in doubt."""

_RARE = {"A3": 9.0, "Legal": 1.5, "Tabloid": 4.0}
"""Papers that are less often drawn on, and by how much better they have to fit; A3 has the shape of A4."""

_FITS, _TOLD_APART = 9.0, 4.0
"""Squared deviations up to which a paper fits, and by how much worse the next has to fit to be ruled out."""


@dataclass(frozen=True)
class Fit:
    """What paper a sheet may be.

    Attributes
    ----------
    paper : the one that fits best, or None where none does.
    or_else : the next best, where it fits nearly as well.
    aspect : width by height of the sheet as it lies, by the likeliest focal length.
    """

    paper: Paper | None
    or_else: Paper | None
    aspect: float


def fit_paper(corners: Array, size: tuple[int, int]) -> Fit:
    """Return the paper whose sheet, seen by a pinhole camera, has its corners (4, 2) there, art px.

    The picture's middle, of `size` (width, height) px, is taken for the principal point. The
    right angles of the sheet tell the focal length unless it is tilted about its own sides or
    not at all (Zhang and He 2006, Whiteboard scanning and image enhancement); then a
    telephone's usual one is thought likely. All focal lengths are weighed against the
    known papers. Sheets of the A series have one shape: A4 stands for all.
    """
    squareness, shapes = _seen_through(corners, size)
    unlikely = (squareness / _SQUARE_DOUBT) ** 2 + (np.log(_FOCALS / USUAL_FOCAL) / _FOCAL_DOUBT) ** 2
    aspect = float(shapes[int(np.argmin(unlikely))])
    costs = []
    for paper in PAPERS:
        ratio = paper.height / paper.width
        off = (np.abs(np.log(shapes)) - math.log(ratio)) / _SHAPE_DOUBT
        costs.append((float((unlikely + off**2).min()) + _RARE.get(paper.name, 0.0), paper))
    costs.sort(key=lambda cost: cost[0])
    least = float(unlikely.min())
    if costs[0][0] - least > _FITS:
        return Fit(None, None, aspect)
    others = [paper for cost, paper in costs[1:] if cost - costs[0][0] < _TOLD_APART]
    return Fit(costs[0][1], others[0] if others else None, aspect)


def misfit(corners: Array, size: tuple[int, int], aspect: float) -> float:
    """Return by what part of itself width by height `aspect` differs from what the corners (4, 2) allow."""
    squareness, shapes = _seen_through(corners, size)
    unlikely = (squareness / _SQUARE_DOUBT) ** 2 + (np.log(_FOCALS / USUAL_FOCAL) / _FOCAL_DOUBT) ** 2
    possible = np.abs(np.log(shapes[unlikely < unlikely.min() + _FITS] / aspect))
    return float(np.expm1(possible.min()))


def _seen_through(corners: Array, size: tuple[int, int]) -> tuple[Array, Array]:
    """Return for each of the focal lengths the cosine between the sheet's sides, and their ratio."""
    longer = max(size)
    centred = (corners - np.array(size) / 2) / longer
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float64)
    matrix = homography(unit, centred)
    flat = (matrix[:2, None, :2] / _FOCALS[None, :, None]).transpose(1, 2, 0)  # (f, side, xy)
    deep = np.broadcast_to(matrix[2, :2], (len(_FOCALS), 2))
    sides = np.concatenate([flat, deep[..., None]], axis=-1)
    lengths = np.linalg.norm(sides, axis=-1)
    cosine = (sides[:, 0] * sides[:, 1]).sum(axis=-1) / lengths.prod(axis=-1)
    return cosine, lengths[:, 0] / lengths[:, 1]
