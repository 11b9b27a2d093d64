"""The tracer's own way from a file to the ink, stage by stage, as its hall goes it."""

from pathlib import Path

from tracer.art.read import read_picture
from tracer.model.ink import Ink
from tracer.model.scan import Scan
from tracer.raster.ink import find_ink
from tracer.raster.straighten import straightened
from tracer.reading import AS_IT_IS, Reading


def scan_of_file(path: Path, reading: Reading = AS_IT_IS) -> Scan:
    """Return a picture read and straightened."""
    return straightened(read_picture(path, reading), reading)


def ink_of_file(path: Path, reading: Reading = AS_IT_IS) -> tuple[Scan, Ink]:
    """Return a picture and its ink."""
    scan = scan_of_file(path, reading)
    return scan, find_ink(scan, reading)
