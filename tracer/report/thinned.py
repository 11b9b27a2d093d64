"""Bundles of near-parallel strokes thinned out: every second goes, evenly, until the wood between holds."""

from collections.abc import Collection, Mapping, Sequence, Set

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.polyline import resample
from tracer.model.drawing import Stroke

Array = NDArray[np.float64]

THINNED = "thinned out"
"""The reason why a stroke is not cut."""

_LOOKS = 9
"""Points of a stroke from which its distance to others is taken."""

_FINE = 0.1
"""mm; tolerance of the polylines that distances are taken on."""


def next_out(
    bundles: Sequence[Sequence[int]],
    strokes: Mapping[int, Stroke],
    failing: Set[frozenset[int]],
    keep: Collection[int] = (),
) -> frozenset[int]:
    """Return the numbers of the strokes that go next; none where the wood in every bundle holds.

    One round: of each bundle in which wood fails every second stroke goes; the outermost
    stay, but for the shorter of a pair. To be called again with what is left, and with
    the lands between that, until nothing more goes.

    Parameters
    ----------
    bundles : stroke numbers, in any order; those no longer among `strokes` are passed over.
    strokes : what is still cut, by number, wood mm.
    failing : pairs of strokes with too little wood between them.
    keep : strokes that stay whatever happens.
    """
    out: set[int] = set()
    for bundle in bundles:
        left = [number for number in bundle if number in strokes]
        if any(pair <= set(left) and len(pair) == 2 for pair in failing):
            out |= _every_second(across([strokes[number] for number in left]))
    return frozenset(out - set(keep))


def across(bundle: Sequence[Stroke]) -> list[Stroke]:
    """Return the strokes in order across a bundle: by their mean distance from an outermost one.

    That orders parallel lines, fans and rings round one another alike. Of the two outermost
    the one with the lower number comes first.
    """
    if len(bundle) < 2:
        return list(bundle)
    polylines = [stroke.points(_FINE) for stroke in sorted(bundle, key=lambda stroke: stroke.number)]
    looks = np.array([_even(polyline) for polyline in polylines])
    gaps = np.array([_distances(own, looks) for own in looks])
    gaps = gaps + gaps.T
    first = int(np.unravel_index(gaps.argmax(), gaps.shape)[0])
    by_number = sorted(bundle, key=lambda stroke: stroke.number)
    return [by_number[k] for k in np.argsort(gaps[first], kind="stable").tolist()]


def _even(polyline: Array) -> Array:
    """Return _LOOKS points (_LOOKS, 2) evenly along a polyline."""
    size = float(np.hypot(*np.diff(polyline, axis=0).T).sum())
    if size == 0:
        return np.repeat(polyline[:1], _LOOKS, axis=0)
    return resample(polyline, size / (_LOOKS - 1))


def _distances(own: Array, looks: Array) -> Array:
    """Return the mean distance (n,) from points `own` (p, 2) to the nearest of each of `looks` (n, p, 2)."""
    gaps = np.linalg.norm(own[None, :, None, :] - looks[:, None, :, :], axis=3)
    mean: Array = gaps.min(axis=2).mean(axis=1)
    return mean


def _every_second(bundle: Sequence[Stroke]) -> set[int]:
    """Return the numbers that go so that the rest is spread evenly over the bundle."""
    if len(bundle) == 2:
        return {min(bundle, key=lambda stroke: (stroke.length, -stroke.number)).number}
    stay = np.round(np.linspace(0, len(bundle) - 1, (len(bundle) + 1) // 2)).astype(int).tolist()
    return {stroke.number for k, stroke in enumerate(bundle) if k not in stay}
