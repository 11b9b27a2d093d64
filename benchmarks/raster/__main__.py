"""Pictures as people have them, against true centre lines: `python -m benchmarks.raster`."""

import os

for _pool in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_pool, "1")  # before numpy is imported: it reads them then

import argparse  # noqa: E402
from collections.abc import Sequence  # noqa: E402
from contextlib import suppress  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import get_args  # noqa: E402

import cv2  # noqa: E402

from benchmarks.raster import judge, levels, speed, table  # noqa: E402
from benchmarks.strokes import art, sources, worst  # noqa: E402


def main() -> None:
    """Print what was asked for."""
    cv2.setNumThreads(1)
    options = _options()
    if options.speed:
        speed.print_speed()
        return
    arts = _arts(options)
    names = options.levels.split(",")
    if options.write:
        _write(arts, names, options.write)
        return
    found: list[judge.Judged] = []
    with suppress(KeyboardInterrupt):  # what is done by then is told
        found.extend(judge.told(judge.judged(arts, names), len(arts) * len(names)))
    table.print_table(found)
    _print_worst(found, options.worst, options.keep)


def _options() -> argparse.Namespace:
    """Return what the command line says."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.raster", description=__doc__)
    parser.add_argument("--half", choices=["tune", "judge", "all"], default="judge")
    parser.add_argument("--sets", default="icons,words", help="of: icons, words")
    parser.add_argument("--levels", default=",".join(levels.LEVELS), help=f"of: {', '.join(levels.LEVELS)}")
    parser.add_argument("--limit", type=int, metavar="N", help="at most N drawings of a set and half")
    parser.add_argument("--names", default="", help="only drawings with one of these in their names")
    parser.add_argument("--worst", type=int, default=0, metavar="N", help="list the N worst of each level")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="draws what was found: the worst, or all")
    parser.add_argument("--write", type=Path, metavar="FOLDER", help="only writes the aged pictures")
    parser.add_argument("--speed", action="store_true", help="time and memory of the raster stage")
    return parser.parse_args()


def _arts(options: argparse.Namespace) -> list[art.Art]:
    """Return the drawings that were asked for."""
    halves = get_args(art.Half) if options.half == "all" else (options.half,)
    wanted = [name for name in options.names.split(",") if name]
    arts = []
    for kind in options.sets.split(","):
        for half in halves:
            known = sources.drawings(kind, (half,))
            arts += [a for a in known if not wanted or any(w in a.name for w in wanted)][: options.limit]
    return arts


def _write(arts: Sequence[art.Art], names: Sequence[str], folder: Path) -> None:
    """Write the aged pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    for one in arts:
        for name in names:
            print(levels.aged(one, name).save(folder, f"{name}-{one.name.replace('%', 'p')}"))


def _print_worst(found: Sequence[judge.Judged], count: int, keep: Path | None) -> None:
    """List the worst of each level, or all where only pictures of them were asked for."""
    if not count and keep is None:
        return
    for name in dict.fromkeys(r.level.name for r in found):
        rows = [r for r in found if r.level.name == name]
        worst.print_worst(rows, count or len(rows), keep)


if __name__ == "__main__":
    main()
