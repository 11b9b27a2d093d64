"""Lands and islands against a raster of 0.05 mm: `python -m benchmarks.wood [--boards N] [--hard FOLDER]`."""

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).parents[1] / "tests"))

from report import hard_drawings
from report.against_raster import Outside
from report.random_boards import random_board

from benchmarks.wood_pictures import picture
from tracer.job import Job
from tracer.report.build import build_plan

CHECKS = (
    "land missed",
    "land invented",
    "land not at its least",
    "land's width wrong",
    "land said twice",
    "standing wood missed",
    "standing wood invented",
    "widest wrong",
    "area wrong",
    "enclosed strokes missed",
    "enclosed strokes invented",
    "too few plunges",
)


def main() -> None:
    """Random boards by seed, or the ten hard drawings as pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--boards", type=int, default=200, help="how many random boards")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--keep", type=Path, help="folder for a picture of each board with a disagreement")
    parser.add_argument("--hard", type=Path, help="folder for pictures of the hard drawings")
    said = parser.parse_args()
    if said.hard:
        _hard(said.hard)
    else:
        _random(range(said.first, said.first + said.boards), said.keep)


def _random(seeds: range, keep: Path | None) -> None:
    """Print each disagreement, then how many of each kind, and how much was compared."""
    count: Counter[str] = Counter()
    for seed in seeds:
        layout, job = random_board(seed)
        start = time.perf_counter()
        plan = build_plan(layout, job)
        count["seconds of planning"] += time.perf_counter() - start  # type: ignore[assignment]
        outside = Outside(plan)
        faults = outside.faults
        count["pairs of strokes with a failing land"] += len(
            np.unique(outside.places.pair[outside.places.sure], axis=0)
        )
        count["pieces of standing wood"] += sum(one.sure for one in outside.standing)
        count["enclosed parts"] += sum(body.nesting > 0 for body in outside.bodies[0])
        count.update(fault.check for fault in faults)
        for fault in faults:
            x, y = fault.where
            print(f"seed {seed:4}  {fault.check:34} {fault.what}  at ({x:.1f}, {y:.1f})")
        if keep and faults:
            keep.mkdir(parents=True, exist_ok=True)
            picture(outside, faults).save(keep / f"seed-{seed}.png")
    print(f"\n{len(seeds)} random boards from seed {seeds.start}")
    for name in count.keys() - set(CHECKS):
        print(f"{name:40}{count[name]:8.6g}")
    for check in CHECKS:
        print(f"{check:40}{count[check]:8}{'  MISSED' if count[check] else ''}")


def _hard(folder: Path) -> None:
    """A picture of each hard drawing at its own size and the usual job; a table of what was found."""
    folder.mkdir(parents=True, exist_ok=True)
    print(
        f"{'drawing':16}{'strokes':>9}{'lands':>7}{'islands':>9}{'break':>7}{'plunges':>12}{'disagreements':>15}"
    )
    for name in hard_drawings.HARD:
        job = Job()
        plan = build_plan(hard_drawings.layout(name, job), job)
        outside = Outside(plan)
        faults = outside.faults
        picture(outside, faults).save(folder / f"{name.replace(' ', '-')}.png")
        plunges = f"{plan.totals.plunges_without_retracing}/{plan.totals.plunges_with_retracing}"
        breaking = sum(island.breaks for island in plan.islands)
        print(
            f"{name:16}{len(plan.cut):9}{len(plan.lands):7}{len(plan.islands):9}{breaking:7}{plunges:>12}{len(faults):15}"
        )
        for fault in faults:
            print(f"    {fault.check}: {fault.what} at ({fault.where[0]:.1f}, {fault.where[1]:.1f})")


if __name__ == "__main__":
    main()
