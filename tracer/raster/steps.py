"""Pictures of the raster stage, for whoever debugs."""

from pathlib import Path

import cv2
import numpy as np

from tracer.model.ink import Ink


def write_ink_steps(ink: Ink, folder: Path) -> None:
    """Write 1-darkness.png and 2-ink.png: lines grey, solids red, skeleton black."""
    folder.mkdir(parents=True, exist_ok=True)
    cv2.imwrite(str(folder / "1-darkness.png"), 255 - ink.darkness)
    picture = np.full((*ink.line.shape, 3), 255, np.uint8)
    picture[ink.line], picture[ink.solid], picture[ink.skeleton] = 190, (120, 120, 255), 0
    cv2.imwrite(str(folder / "2-ink.png"), picture)
