"""Edges of solids: half level, to a fraction of a pixel, whatever the grid of the masks."""

import cv2
import numpy as np
import pytest
import shapely
from pen import Page

from tracer.model.ink import Ink
from tracer.raster.ink import find_ink
from tracer.reading import Reading
from tracer.vector.edges import Outline, outlines


def found(page: Page) -> tuple[Ink, list[Outline]]:
    ink = find_ink(page.scan)
    return ink, outlines(ink)


@pytest.mark.parametrize("times", [1, 2, 4])
def test_the_edge_of_a_disc_is_its_circle(times: int) -> None:
    x, y, r = 150.3 * times, 110.2 * times, 40.0 * times
    page = Page(300 * times, 200 * times).line(
        (20 * times, 20 * times), (280 * times, 20 * times), width=8 * times
    )
    ink, (outline,) = found(page.disc(x, y, r))
    assert (ink.grain > 1) == (times > 1)
    points = outline.outer.points / ink.zoom
    assert not outline.inner
    assert np.abs(np.hypot(*(points - (x, y)).T) - r).max() < 0.25


def test_a_hole_is_an_inner_edge_and_what_is_in_it_a_solid_of_its_own() -> None:
    page = Page().line((20, 12), (280, 12), width=6).line((20, 190), (280, 190), width=6)
    page.line((15, 12), (15, 190), width=6).line((285, 12), (285, 190), width=6).solid(
        (80, 40), (220, 40), (220, 180), (80, 180)
    )
    page.fine[cv2.circle(np.zeros_like(page.fine), (1200, 880), 240, 1, -1) > 0] = 255
    ink, rings = found(page.disc(150, 110, 12))
    assert sorted(len(outline.inner) for outline in rings) == [0, 1]
    areas = [shapely.Polygon(edge.points).area / ink.zoom**2 for o in rings for edge in (o.outer, *o.inner)]
    # pi r^2 of the circles, side by side of the square
    assert sorted(areas) == pytest.approx([np.pi * 12**2, np.pi * 30**2, 140**2], rel=0.01)


@pytest.mark.parametrize("angle_deg", [0, 25, 50])
def test_the_edge_goes_straight_on_over_the_root_of_a_line(angle_deg: int) -> None:
    a = np.radians(angle_deg)
    way = [(150.0, 100.0), (150 + 120 * np.cos(a), 100 + 120 * np.sin(a))]
    _, (outline,) = found(Page().line(*way).line((20, 15), (280, 15)).disc(150, 100, 40))
    assert np.abs(np.hypot(*(outline.outer.points - (150, 100)).T) - 40).max() < 0.7


def test_following_edges_everything_is_outlined_and_nested() -> None:
    # A ring a pen wide, a disc in it, a line that leaves the picture: all solid, three outlines and a hole.
    page = Page().ring(120, 100, 60, width=10).disc(120, 100, 20).line((220, 20), (220, 230), width=12)
    ink = find_ink(page.scan, Reading(follow="edge"))
    assert not ink.line.any()
    assert not ink.skeleton.any()
    rings = outlines(ink)
    assert sorted(len(outline.inner) for outline in rings) == [0, 0, 1]
    ring = next(outline for outline in rings if outline.inner)
    for edge, radius in ((ring.outer, 65), (ring.inner[0], 55)):
        assert np.abs(np.hypot(*(edge.points / ink.zoom - (120, 100)).T) - radius).max() < 0.2


@pytest.mark.parametrize("gap", [1.5, 3.0])
def test_following_edges_fine_gaps_in_broad_ink_stay(gap: float) -> None:
    page = Page().solid((20, 20), (149.2, 20), (149.2, 180), (20, 180))
    page.solid((149.2 + gap, 20), (280, 20), (280, 180), (149.2 + gap, 180))
    rings = outlines(find_ink(page.scan, Reading(follow="edge")))
    assert len(rings) == 2
    widths = sorted(float(np.ptp(ring.outer.points[:, 0])) for ring in rings)
    assert widths == pytest.approx([280 - 149.2 - gap, 129.2], abs=0.5)
