"""Darkness between the colouring beside ink and the ink: its half lies on the edge whatever lies there."""

import cv2
import numpy as np
import pytest

from tracer.raster.grounds import darkness_on, tones_at, tones_of

LEFT, RIGHT = (250, 120, 30), (30, 100, 196)  # orange on one side of a line, blue on the other


def tints(noise: float = 0.0) -> list[np.ndarray]:
    """A black line 16 px wide from x = 40 on, between two colours, blurred by a pixel."""
    picture = np.zeros((80, 96, 3), np.float32)
    picture[:, :40], picture[:, 40:56], picture[:, 56:] = LEFT, (45, 45, 45), RIGHT
    picture = cv2.GaussianBlur(picture, (0, 0), 1.0)
    picture += np.random.default_rng(5).normal(0, noise, picture.shape)
    return [np.ascontiguousarray(picture[..., k].clip(0, 255).astype(np.uint8)) for k in range(3)]


def masks() -> tuple[np.ndarray, np.ndarray]:
    ground, ink = (np.zeros((80, 96), np.uint8) for _ in range(2))
    ground[:, :36] = ground[:, 60:] = ink[:, 43:53] = 255
    return ground, ink


@pytest.mark.parametrize("noise", [0.0, 6.0])
def test_half_the_darkness_is_where_the_edge_is_on_either_colour(noise: float) -> None:
    channels = tints(noise)
    dark = darkness_on(channels, tones_of(channels, *masks(), 4, 4.0), 4).astype(float)[20:60].mean(axis=0)
    first, last = np.flatnonzero(dark > 127)[[0, -1]]
    left = first - (dark[first] - 127.5) / (dark[first] - dark[first - 1])
    right = last + (dark[last] - 127.5) / (dark[last] - dark[last + 1])
    assert (left + 0.5, right + 0.5) == pytest.approx((40, 56), abs=0.35)
    assert dark[10:30].max() < 40
    assert dark[44:52].min() > 215


def test_tones_are_those_near_by_and_unknown_far_from_all() -> None:
    values = np.full((40, 40, 3), 200, np.float32)
    values[:, 20:] = 100
    ground = np.ones((40, 40), np.float32)
    ground[:, 16:24] = 0
    tones = tones_at(values, ground, np.zeros((40, 40), np.float32), 5.0)
    assert tones.ground[20, 17] == pytest.approx([200] * 3, abs=8)
    assert tones.ground[20, 22] == pytest.approx([100] * 3, abs=8)
    assert (tones.ink == -1).all()
    assert not darkness_on([np.full((160, 160), 60, np.uint8)] * 3, tones, 4).any()
