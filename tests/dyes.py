"""Pages with dyes on them, made by their law.

Light passes layers one after the other, so what they let through multiplies and their densities
add (Beer 1852, Lambert 1760).
"""

import cv2
import numpy as np
from pen import Page

Colour = tuple[int, int, int]


def outlines() -> np.ndarray:
    """A ring, a bar across it and a line beside it; pen 8 px."""
    return Page(480, 360).line((40, 40), (440, 40)).ring(240, 200, 100).line((60, 100), (60, 330)).grey


def through(clean: np.ndarray, ink: Colour = (12, 12, 12)) -> np.ndarray:
    """What the lines of a grey page let through, (H, W, 3) 0 to 1."""
    covered = 1 - clean[..., None] / 255.0
    return 1 - covered * (1 - np.array(ink) / 255)


def patch(dye: Colour, corner: tuple[int, int], size: tuple[int, int], shape: tuple[int, int]) -> np.ndarray:
    """What a rectangle of dye lets through, (H, W, 3); its edge is soft."""
    inside = np.zeros(shape, np.float32)
    inside[corner[1] : corner[1] + size[1], corner[0] : corner[0] + size[0]] = 1
    inside = cv2.GaussianBlur(inside, (0, 0), 1.5)
    return 1 - inside[..., None] * (1 - np.array(dye) / 255)


def seen(light: np.ndarray, paper: Colour = (250, 250, 250)) -> np.ndarray:
    """The picture a scanner takes: blur of a pixel, noise of two greys."""
    blurred = cv2.GaussianBlur(light * np.array(paper), (0, 0), 0.8)
    return (blurred + np.random.default_rng(4).normal(0, 2, light.shape)).clip(0, 255).astype(np.uint8)
