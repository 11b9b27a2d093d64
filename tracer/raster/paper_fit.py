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

_MIDDLE_DOUBT = 0.05
"""Part of the longer side by which the lens's axis may miss the picture's middle: pictures are cropped."""

_MIDDLES = np.stack(np.meshgrid(*[np.linspace(-0.1, 0.1, 7)] * 2), axis=-1).reshape(-1, 2)
"""Principal points tried, from the middle, by the longer side."""

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

    The picture's middle, of `size` (width, height) px, is near the principal point. The right
    angles of the sheet tell the focal length unless it is tilted about its own sides or not at
    all (Zhang and He 2006, Whiteboard scanning and image enhancement); then a telephone's
    usual one is thought likely. All cameras are weighed against the known papers. Sheets of the
    A series have one shape: A4 stands for all.
    """
    unlikely, shapes = _seen_through(corners, size)
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
    """Return by what part the ratio of a sheet's sides, at least 1, is off what its corners (4, 2) allow."""
    unlikely, shapes = _seen_through(corners, size)
    seen = np.abs(np.log(shapes[unlikely < unlikely.min() + _TOLD_APART]))
    return float(np.expm1(np.abs(seen - math.log(aspect)).min()))


def _seen_through(corners: Array, size: tuple[int, int]) -> tuple[Array, Array]:
    """Return how unlikely (n,) each of some cameras is, and the ratio (n,) of the sheet's sides in its eye.

    Unlikely in squared deviations: of its focal length and principal point from the usual, and
    of the sheet's angles from right ones.
    """
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float64)
    matrix = homography(unit, (corners - np.array(size) / 2) / max(size))
    flat = matrix[:2, None, :2] - _MIDDLES.T[..., None] * matrix[2, :2]  # (xy, middle, side)
    flat = flat[:, :, None] / _FOCALS[None, None, :, None]
    deep = np.broadcast_to(matrix[2, :2], flat.shape[1:])
    sides = np.concatenate([flat, deep[None]])
    lengths = np.sqrt((sides**2).sum(axis=0))
    cosine = (sides[..., 0] * sides[..., 1]).sum(axis=0) / lengths.prod(axis=-1)
    unlikely = (cosine / _SQUARE_DOUBT) ** 2 + (np.log(_FOCALS / USUAL_FOCAL) / _FOCAL_DOUBT) ** 2
    unlikely += ((_MIDDLES**2).sum(axis=1) / _MIDDLE_DOUBT**2)[:, None]
    return unlikely.ravel(), (lengths[..., 0] / lengths[..., 1]).ravel()
