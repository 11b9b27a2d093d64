"""Corners of edges: sharp where they were drawn sharp, none on bows."""

import cv2
import numpy as np
import pytest
import shapely
from pen import Page

from tracer.art.read import scan_of
from tracer.raster.ink import find_ink
from tracer.reading import Reading
from tracer.vector.edges import outlines
from tracer.vector.outline_corners import cornered


def found(page: Page, blur: float) -> tuple[np.ndarray, np.ndarray]:
    """The edge and the corners of the one solid, art pixels."""
    grey = cv2.GaussianBlur(page.grey, (0, 0), blur) if blur else page.grey
    ink = find_ink(scan_of(grey), Reading(follow="edge"))
    (outline,) = outlines(ink)
    edge, corners = cornered(outline.outer, ink.zoom)
    return edge.points / ink.zoom, edge.points[corners] / ink.zoom


@pytest.mark.parametrize("blur", [0, 0.8])
@pytest.mark.parametrize("turn_deg", [3, 20, 37])
@pytest.mark.parametrize("sides", [3, 4, 5])
def test_polygons_have_their_corners(sides: int, turn_deg: float, blur: float) -> None:
    t = np.radians(turn_deg) + 2 * np.pi * np.arange(sides) / sides
    true = np.column_stack([100.3 + 40 * np.cos(t), 90.2 + 40 * np.sin(t)])
    edge, corners = found(Page(200, 180).solid(*map(tuple, true)), blur)
    assert len(corners) == sides
    for corner in true:
        assert np.hypot(*(corners - corner).T).min() < 0.7
    outline = shapely.LinearRing(true)
    assert shapely.distance(shapely.points(edge), outline).max() < 0.7


@pytest.mark.parametrize("blur", [0, 0.8])
@pytest.mark.parametrize(("across", "down"), [(6, 6), (8, 11), (20, 30), (60, 30)])
def test_bows_have_none(across: float, down: float, blur: float) -> None:
    t = np.linspace(0, 2 * np.pi, 300)[:-1]
    page = Page(200, 180)
    page.solid(*zip(100.3 + across * np.cos(t), 90.2 + down * np.sin(t), strict=True))
    _, corners = found(page, blur)
    assert not len(corners)
