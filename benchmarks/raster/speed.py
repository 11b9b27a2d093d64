"""Time and memory of the raster stage: a clean scan, a photograph, a page of 70 million pixels."""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.raster.photo import photographed
from benchmarks.raster.stages import ink_of_file, scan_of_file
from benchmarks.strokes.art import Art
from benchmarks.strokes.degrade import INCH, QUALITY, TURN_DEG, exposed, painted
from benchmarks.strokes.sources import drawings
from benchmarks.strokes.speed import A4, lit, page, seconds
from tracer.errors import TracerError
from tracer.raster import ink as ink_stage

A3 = (297.0, 420.0)
"""mm (ISO 216)."""

CAMERA = (3000, 4000)
"""Pixels of a photograph of 12 million, held upright."""

THINNING_BAR = 0.7
"""Most that the raster stage may take of the time of plain thinning, on a clean A4 scan at 300 dpi."""

PHOTO_BAR = 1.5
"""Seconds."""

MEMORY_BAR = 2.5e9
"""Bytes, of the whole process."""

ROUNDS = 5


def print_speed() -> None:
    """Print the three, each with its bar."""
    print("one thread; medians of processor seconds")
    with tempfile.TemporaryDirectory() as folder:
        _print_scan(Path(folder) / "a4.jpg")
        _print_photo(Path(folder))
        large = Path(folder) / "a3.png"
        _write(large, A3, 600, np.random.default_rng(600))
        _print_large(large, "A3 at 600 dpi")
        _colour_in(large)
        _print_large(large, "the same coloured in")


def _print_scan(path: Path) -> None:
    """Print the raster stage without its own thinning, beside scikit-image's thinning of the same ink."""
    from skimage.filters import threshold_otsu
    from skimage.morphology import skeletonize

    _write(path, A4, 300, np.random.default_rng(300))
    scan = scan_of_file(path)
    even = lit(scan.grey)
    mask = even < threshold_otsu(even)
    runs, plain = [], []
    for _ in range(ROUNDS + 1):
        runs.append(_without_thinning(scan))
        plain.append(seconds(lambda: skeletonize(mask))[0])
    own, thinning = float(np.median(runs[1:])), float(np.median(plain[1:]))
    ratio = own / thinning
    times = f"ink without thinning {1000 * own:.0f} ms, skeletonize {1000 * thinning:.0f} ms"
    print(f"clean A4 at 300 dpi: {times}, ratio {ratio:.2f}{_missed(ratio, THINNING_BAR)}", flush=True)


def _without_thinning(scan: object) -> float:
    """Return the seconds of the raster stage less those of its thinning."""
    spent = []
    thin = ink_stage.thin

    def timed(*arguments: object, **options: object) -> object:
        took, result = seconds(lambda: thin(*arguments, **options))
        spent.append(took)
        return result

    ink_stage.thin = timed
    try:
        whole = seconds(lambda: ink_stage.find_ink(scan))[0]
    finally:
        ink_stage.thin = thin
    return whole - sum(spent)


def _print_photo(folder: Path) -> None:
    """Print a photograph's way to its ink, warm."""
    art: Art = drawings("icons", ("judge",))[0]
    path = photographed(art, np.random.default_rng(12), CAMERA).save(folder, "photo")
    try:
        took = float(np.median([seconds(lambda: ink_of_file(path))[0] for _ in range(4)][1:]))
    except TracerError as error:
        print(f"photograph of 12 Mpx: {error} MISSED", flush=True)
        return
    words = f"read, flattened, made ink in {took:.2f} s"
    print(f"photograph of 12 Mpx: {words}{_missed(took, PHOTO_BAR)}", flush=True)


def _colour_in(path: Path) -> None:
    """Lay orange over the middle of a page, and blue that laps over it."""
    page = np.array(Image.open(path).convert("RGB"))
    rows, columns = page.shape[:2]
    for channel, top, left in ((2, 0.2, 0.2), (1, 0.2, 0.2), (0, 0.5, 0.4)):
        part = np.s_[
            round(top * rows) : round(0.8 * rows), round(left * columns) : round(0.8 * columns), channel
        ]
        page[part] = page[part] * (0.35 if channel != 1 else 0.7)
    Image.fromarray(page).save(path, dpi=(600, 600))


def _print_large(path: Path, name: str) -> None:
    """Print memory and time of a page of 70 million pixels, in a fresh process."""
    command = [sys.executable, "-m", "benchmarks.raster.memory", str(path)]
    said = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    inked, whole, most = (float(word) for word in said)
    width, height = Image.open(path).size
    words = f"{width * height / 1e6:.0f} Mpx, cold: ink in {inked:.1f} s, strokes in {whole:.1f} s"
    print(f"{name}, {words}, {most / 1e9:.2f} GB{_missed(most, MEMORY_BAR)}", flush=True)


def _write(path: Path, size: tuple[float, float], dpi: int, rng: np.random.Generator) -> None:
    """Write the page of many drawings as a scan that lies a little askew, in its own size."""
    grow = size[0] / A4[0]
    turned = f'<g transform="rotate({TURN_DEG} {size[0] / 2} {size[1] / 2}) scale({grow})">{page()[0]}</g>'
    pixels = exposed(painted(turned, size, INCH / dpi).astype(np.float32), rng)
    Image.fromarray(pixels).save(path, dpi=(dpi, dpi), quality=QUALITY)


def _missed(value: float, bar: float) -> str:
    """Return a bar in words, and whether it was missed."""
    return f", bar {bar:.4g}" + (" MISSED" if value > bar else "")
