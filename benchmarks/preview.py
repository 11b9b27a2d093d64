"""Whether the preview is cut as the bit cuts, and how long it takes: `python -m benchmarks.preview`."""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).parents[1] / "tests"))

from sheets.bit_sections import BITS, largest_error

from tracer.model.plan import Plan
from tracer.pipeline import Work
from tracer.settle import resolve
from tracer.sheets import carved, preview, proof

ART = Path(__file__).parents[1] / "sample_art" / "boat-web.png"

PLACES, BAR = 100, 0.05
"""Places beside a curved stroke, and mm of depth that each may be off."""

SECONDS = 0.5
"""Most processor time for the screen's picture."""

TIMES = 7


def main() -> None:
    """Print the largest error for each bit, then processor times."""
    print(f"{'depths at ' + str(PLACES) + ' places against the section':44}{'largest error, mm':>20}  bar")
    for name in BITS:
        off = largest_error(name, places=PLACES)
        print(f"{name:44}{off:20.4f}  {BAR:g}{'' if off <= BAR else ' MISSED'}")
    work = Work()
    plan = work.plan(resolve({"art": str(ART), "width": "140 mm", "units": "mm"}))
    print(f"\n{'boat 140 mm wide, processor time':44}{'seconds':>20}  {'of a plain pass':>15}")
    _print_times(plan)


def _print_times(plan: Plan) -> None:
    """Print the least time of each picture, beside that of a pass over as many numbers."""
    plain = _least(_plain_pass)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a"
        rows: dict[str, Callable[[], object]] = {
            "picture for the screen": lambda: preview.preview_image(plan),
            "preview.png and preview-print.png": lambda: (
                preview.write_preview(plan, path),
                preview.write_print(plan, path),
            ),
            "proof.pdf by itself": lambda: proof.write_proof(plan, path),
        }
        for name, do in rows.items():
            seconds = _least(do)
            bar = ""
            if name == "picture for the screen":
                bar = f"  {SECONDS:g} s{'' if seconds <= SECONDS else ' MISSED'}"
            print(f"{name:44}{seconds:20.2f}  {seconds / plain:15.0f}{bar}")


def _plain_pass() -> None:
    """Go over as many numbers as the screen's picture has pixels, a few times."""
    field = np.ones((1300, 1600), np.float32)
    for _ in range(4):
        field = np.sqrt(field * field + field)


def _least(do: Callable[[], object]) -> float:
    """Return the least processor time of several tries, nothing kept from one to the next."""
    times = []
    for _ in range(TIMES):
        carved.light_on.cache_clear()
        preview._finest.cache_clear()
        began = time.process_time()
        do()
        times.append(time.process_time() - began)
    return min(times)


if __name__ == "__main__":
    main()
