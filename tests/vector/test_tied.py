"""Loose ends at junctions are tied to the nearest line over ink, over nothing else."""

from itertools import pairwise

import numpy as np
import pytest
from pen import Page

from tracer.raster.ink import find_ink
from tracer.vector.samples import Samples
from tracer.vector.tied import tied


def along(*points: tuple[float, float]) -> Samples:
    way = np.concatenate([np.linspace(p, q, 221) for p, q in pairwise(points)])
    return Samples(way, np.full(len(way), 8.0), np.ones(len(way), bool), closed=False)


BAR, STEM = ((40.0, 60.0), (260.0, 60.0)), ((150.0, 160.0), (150.0, 72.0))


@pytest.mark.parametrize(("free", "foot"), [((True, False), 60.0), ((True, True), 72.0)])
def test_an_end_at_a_junction_goes_on_to_its_line_and_a_free_one_stays(
    free: tuple[bool, bool], foot: float
) -> None:
    # The stem is drawn up to the bar at y = 60; its samples stop 12 px short of the bar's middle.
    ink = find_ink(Page().line(*BAR).line((150, 160), (150, 60)).scan)
    _, stem = tied(ink, [along(*BAR), along(*STEM)], [(True, True), free])
    assert stem.points[-1] == pytest.approx([150, foot], abs=1.1)  # samples lie a pixel apart
    assert len(stem.points) == len(stem.widths) == len(stem.clean)


def test_nothing_is_tied_over_paper() -> None:
    ink = find_ink(Page().line(*BAR).line((150, 160), (150, 73)).scan)  # 4 px of paper between the caps
    _, stem = tied(ink, [along(*BAR), along((150, 160), (150, 73))], [(True, True), (True, False)])
    assert stem.points[-1][1] > 71


def test_nothing_is_tied_over_a_neck() -> None:
    # The stem's round cap reaches half a pixel into the bar: at the narrowest 2.8 of 8 px of ink.
    ink = find_ink(Page().line(*BAR).line((150, 160), (150, 67.5)).scan)
    _, stem = tied(ink, [along(*BAR), along((150, 160), (150, 67.5))], [(True, True), (True, False)])
    assert stem.points[-1][1] > 66
