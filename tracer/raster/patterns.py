"""What the paper itself shows is left out before anything else: its screens, rulings and creases."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.model.scan import Scan
from tracer.raster.fold import may_be_folded, without_folds
from tracer.raster.lanes import halved_to
from tracer.raster.light import even_light
from tracer.raster.ruling import MOST, may_be_ruled, without_ruling
from tracer.raster.screen import may_be_screened, without_screen

Grey = NDArray[np.uint8]
Step = tuple[Callable[[Grey], bool], Callable[[Sequence[Grey]], tuple[list[Grey], list[Mend]]]]

SMALLEST = 64
"""Pixels of a picture's shorter side below which there is no pattern to be seen."""

STEPS: tuple[Step, ...] = ((may_be_ruled, without_ruling), (may_be_folded, without_folds))
"""How each pattern is looked for on a small copy, and how it is left out of even channels."""


def without_patterns(scan: Scan) -> tuple[Scan, list[Mend]]:
    """Return a picture without what its paper shows, and what was left out; then its light is even, too.

    A cheap look at a small copy says whether there is anything to do; else it comes back as it is.
    """
    if min(scan.grey.shape) < SMALLEST:
        return scan, []
    copy = halved_to(scan.grey, MOST)[0]
    steps = [leave_out for may_be, leave_out in STEPS if may_be(copy)]
    screened = may_be_screened(scan.grey)
    if not steps and not screened:
        return scan, []
    layers = [scan.grey] if scan.colour is None else cv2.split(scan.colour)
    channels = [even_light(np.asarray(layer, np.uint8)) for layer in layers]
    mends: list[Mend] = []
    if screened:
        channels, mends = without_screen(channels, scan.mm_per_px)
    for leave_out in steps:
        channels, left_out = leave_out(channels)
        mends += left_out
    return (_scan_of(scan, channels), mends) if mends else (scan, [])


def _scan_of(scan: Scan, channels: list[Grey]) -> Scan:
    """Return a picture with other channels."""
    if len(channels) == 1:
        return replace(scan, grey=channels[0])
    colour = np.asarray(cv2.merge(channels), np.uint8)
    return replace(scan, grey=np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), np.uint8), colour=colour)
