"""Strokes against true centre lines and against the ink: `python -m benchmarks.strokes`."""

import os

for _pool in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_pool, "1")  # before numpy is imported: it reads them then

import argparse  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import get_args  # noqa: E402

import cv2  # noqa: E402

from benchmarks.strokes import art, degrade, pictures, run, sources, speed, table, worst  # noqa: E402


def main() -> None:
    """Print what was asked for."""
    cv2.setNumThreads(1)
    options = _options()
    if options.make_pictures:
        from benchmarks.strokes.make_pictures import make_pictures

        make_pictures(options.make_pictures)
    elif options.speed:
        speed.print_speed(options.dpi)
    elif options.pictures:
        pictures.print_pictures(options.pictures, options.keep, options.limit)
    else:
        _judge(options)


def _options() -> argparse.Namespace:
    """Return what the command line says."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.strokes", description=__doc__)
    parser.add_argument("--half", choices=["tune", "judge", "all"], default="judge")
    parser.add_argument("--sets", default="icons,words", help="of: icons, words")
    parser.add_argument("--levels", default="clean,scan", help=f"of: {', '.join(degrade.LEVELS)}")
    parser.add_argument("--limit", type=int, metavar="N", help="at most N drawings of a set and half")
    parser.add_argument("--names", default="", help="only drawings with one of these in their names")
    parser.add_argument("--without-plain", action="store_true", help="leave the plain chain out")
    parser.add_argument("--worst", type=int, default=0, metavar="N", help="list the N worst drawings")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="draws what was found")
    parser.add_argument("--pictures", type=Path, metavar="FOLDER", help="judge pictures by their ink alone")
    parser.add_argument("--make-pictures", type=Path, metavar="FOLDER", help="draw pictures to tune on")
    parser.add_argument("--speed", action="store_true", help="time and memory of a dense A4 page")
    parser.add_argument("--dpi", type=_numbers, default=(75, 150, 300, 600), help="resolutions for --speed")
    return parser.parse_args()


def _numbers(text: str) -> tuple[int, ...]:
    """Return whole numbers that are separated by commas."""
    return tuple(int(part) for part in text.split(","))


def _judge(options: argparse.Namespace) -> None:
    """Print the tables of drawings whose true lines are known."""
    halves = get_args(art.Half) if options.half == "all" else (options.half,)
    levels = [degrade.LEVELS[name] for name in options.levels.split(",")]
    wanted = [name for name in options.names.split(",") if name]
    arts = []
    for kind in options.sets.split(","):
        for half in halves:
            known = sources.drawings(kind, (half,))
            arts += [a for a in known if not wanted or any(w in a.name for w in wanted)][: options.limit]
    found = list(run.results(arts, levels, plain=not options.without_plain))
    table.print_table(found)
    worst.print_worst(found, options.worst, options.keep)


if __name__ == "__main__":
    main()
