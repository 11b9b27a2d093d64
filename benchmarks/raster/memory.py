"""Seconds and memory from file to strokes, in a fresh process: `python -m benchmarks.raster.memory FILE`."""

import resource
import sys
import time
from pathlib import Path

import cv2

from benchmarks.raster.stages import ink_of_file
from tracer.vector.strokes import find_strokes


def main() -> None:
    """Print the seconds to the ink and to the strokes, and the most memory this process ever had, bytes."""
    cv2.setNumThreads(1)
    start = time.perf_counter()
    scan, ink = ink_of_file(Path(sys.argv[1]))
    inked = time.perf_counter() - start
    find_strokes(scan, ink)
    most = 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss  # kilobytes on Linux (getrusage(2))
    print(inked, time.perf_counter() - start, most)


if __name__ == "__main__":
    main()
