"""Peak memory from file to strokes, in a fresh process: `python -m benchmarks.strokes.memory FILE`."""

import sys
from pathlib import Path

import cv2
import numpy as np

from tracer.art.read import read_picture, scan_of
from tracer.raster.ink import find_ink
from tracer.vector.strokes import find_strokes

STATUS = Path("/proc/self/status")
"""Where Linux tells a process its memory (proc(5))."""


def main() -> None:
    """Print the peak over what the decoded picture itself takes, in bytes a pixel."""
    cv2.setNumThreads(1)
    _warm_up()
    Path("/proc/self/clear_refs").write_text("5")  # the peak is counted from here (proc(5))
    before = _kibibytes("VmRSS")
    scan = read_picture(Path(sys.argv[1]))
    find_strokes(scan, find_ink(scan))
    decoded = scan.grey.nbytes + (0 if scan.colour is None else scan.colour.nbytes)
    print((1024 * (_kibibytes("VmHWM") - before) - decoded) / scan.grey.size)


def _warm_up() -> None:
    """Load what is loaded on first use."""
    page = np.full((200, 200), 255, np.uint8)
    page[50:54, 20:180] = page[20:180, 100:104] = page[120:170, 30:80] = 0
    scan = scan_of(page)
    find_strokes(scan, find_ink(scan))


def _kibibytes(entry: str) -> int:
    """Return one of the kernel's figures for this process."""
    lines = STATUS.read_text().splitlines()
    return int(next(line for line in lines if line.startswith(entry)).split()[1])


if __name__ == "__main__":
    main()
