"""Whether strokes hang together as their ink does, and whether any is drawn twice."""

from dataclasses import replace

import numpy as np
import pytest
from pen import Page

from benchmarks.strokes.whole import whole

TEE = Page().line((50, 60), (250, 60)).line((150, 60), (150, 160))
APART = Page().line((50, 60), (250, 60)).line((150, 90), (150, 160))


def ink_of(page: Page) -> np.ndarray:
    return (page.grey < 128).astype(np.uint8)


@pytest.mark.parametrize("page", [TEE, APART, Page().disc(100, 100, 40).line((138, 100), (250, 100))])
def test_strokes_that_hang_together_as_their_ink_does_are_whole(page: Page) -> None:
    found = whole(ink_of(page), page.drawing)
    assert found.broken == 0
    assert found.twice == pytest.approx(0, abs=0.01)


def test_strokes_on_one_part_of_the_ink_without_a_joint_are_broken() -> None:
    assert whole(ink_of(TEE), replace(TEE.drawing, joints=())).broken == 1


def test_a_line_beside_another_is_drawn_twice() -> None:
    drawing = APART.drawing
    longest = max(drawing.strokes, key=lambda s: float(np.ptp(s.curves[..., 0])))
    moved = replace(longest, number=9, curves=longest.curves + np.array([0, 0.5]))
    # 200 px of 200 + 70 + 200, but for the half pixel by which both together are wider than one: 0.5 of 4.8.
    found = whole(ink_of(APART), replace(drawing, strokes=(*drawing.strokes, moved)))
    assert found.twice == pytest.approx(200 / 470 * (1 - 0.5 / 4.8), abs=0.01)
