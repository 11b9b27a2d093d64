"""Strips where two waxes cross are no lines: neither of their edges is a pen's."""

import numpy as np
import pytest

from tracer.raster.band import Edges, Ways
from tracer.raster.strips import Light, strips, wipe

PEN, LONG = 12.0, 120
ALONG = np.arange(LONG, dtype=np.float64)
SCALLOPS = 0.25 * np.abs(np.sin(np.pi * ALONG / 10)) + 0.1
NONE = np.zeros(LONG)
RIPPLES = 0.055 * np.sign(np.sin(2 * np.pi * (ALONG + 0.5) / 6))


RED, BLUE = np.array([0.7, 0.02, 0.03]), np.array([0.01, 0.2, 0.5])  # light let through


def told(left: np.ndarray, right: np.ndarray, own: float = 0.02, *, inside: bool = True) -> bool:
    """Whether a line is a strip, red on its left and blue on its right, that throws back so much light.

    Its edges are so many widths beyond those of its pen.
    """
    ways = Ways(np.column_stack([ALONG, NONE + 40]), np.array([0, LONG]), 1.0)
    normals = np.column_stack([NONE, NONE + 1])
    page = np.full((80, LONG, 3), own, np.float32)
    page[:30], page[50:] = RED, BLUE
    edges = Edges(ways, normals, np.full((LONG, 2), PEN / 2), NONE)
    off = np.column_stack([left, right])
    sound = np.abs(np.nan_to_num(off, nan=9)).min(axis=1) < 0.06
    return bool(strips(edges, off, np.full(LONG, inside), sound, light=Light(1, page), pen=PEN)[0])


def test_scallops_at_both_edges_are_a_strip() -> None:
    assert told(SCALLOPS, np.roll(SCALLOPS, 4))


def test_what_is_far_darker_than_both_colours_over_one_another_is_ink() -> None:
    # Beer-Lambert: red and blue together let 0.7 x 0.01, 0.02 x 0.2 and 0.03 x 0.5 through
    assert not told(SCALLOPS, np.roll(SCALLOPS, 4), own=0.003)


@pytest.mark.parametrize("edges", [(NONE, SCALLOPS), (SCALLOPS, RIPPLES), (NONE, np.full(LONG, np.nan))])
def test_one_edge_that_is_the_pens_makes_a_line(edges: tuple[np.ndarray, np.ndarray]) -> None:
    assert not told(*edges)


def test_a_brush_line_that_swells_smoothly_is_a_line() -> None:
    swell = 0.3 * np.sin(np.pi * ALONG / LONG)
    assert not told(swell, swell)


def test_out_of_the_colouring_nothing_is_a_strip() -> None:
    assert not told(SCALLOPS, np.roll(SCALLOPS, 4), inside=False)


def test_a_line_without_any_edge_is_no_strip() -> None:
    assert not told(np.full(LONG, np.nan), np.full(LONG, np.nan))


def test_wiping_a_strip_leaves_the_line_that_it_runs_into() -> None:
    page = np.full((100, 100), 250, np.uint8)
    page[44:56, :] = 20  # the line
    page[:44, 40:62] = 20  # the strip
    skeleton = np.zeros((100, 100), np.uint8)
    skeleton[50, :] = 1
    skeleton[4:50, 51] = 1
    wipe(page, skeleton, np.column_stack([np.full(46, 51), np.arange(4, 50)]).astype(np.float64), PEN)
    assert (page[:38, :] == 250).all()
    assert (page[44:56, :] == 20).all()
