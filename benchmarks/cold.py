"""How long a command takes from the shell, in a fresh process: `python -m benchmarks.cold`."""

import os
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path

TIMES = 5
BARE = ("-c", "pass")
COMMANDS: tuple[tuple[str, tuple[str, ...], float], ...] = (
    ("tracer --help", ("-m", "tracer", "--help"), 350.0),
    ("tracer groove --depth 1/8in", ("-m", "tracer", "groove", "--depth", "1/8in"), 350.0),
    (
        "tracer check sample_art/boat-web.png",
        ("-m", "tracer", "check", "sample_art/boat-web.png"),
        2000.0,
    ),
)
"""What is run, and the most wall time it may take over bare Python, ms (the last: in all)."""


def main() -> None:
    """Print a row a command."""
    bare = cost(BARE)
    print(
        f"{'median of ' + str(TIMES) + ' fresh processes, ms':40}{'wall':>8}{'CPU':>8}{'over bare':>11}  bar"
    )
    print(f"{'python -c pass':40}{bare[0]:8.0f}{bare[1]:8.0f}")
    for name, arguments, bar in COMMANDS:
        wall, cpu = cost(arguments)
        whole = bar > 1000
        held = (wall if whole else wall - bare[0]) <= bar
        words = f"{bar:.0f} {'in all' if whole else 'over'}{'' if held else ' MISSED'}"
        print(f"{name:40}{wall:8.0f}{cpu:8.0f}{wall - bare[0]:11.0f}  {words}")


def cost(arguments: tuple[str, ...]) -> tuple[float, float]:
    """Return the median wall and CPU time in ms; one run before warms the disk's cache."""
    runs = [once(arguments) for _ in range(TIMES + 1)][1:]
    return statistics.median(wall for wall, _ in runs), statistics.median(cpu for _, cpu in runs)


def once(arguments: tuple[str, ...]) -> tuple[float, float]:
    """Return wall and CPU time (user and system, all threads) of one process in ms."""
    root = Path(__file__).parents[1]
    before, began = _children(), time.perf_counter()
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=False,
    )
    wall, cpu = time.perf_counter() - began, _children() - before
    if done.returncode not in {0, 1}:  # 1 is a check that found losses
        raise SystemExit(f"{' '.join(arguments)} failed: {done.stderr}")
    return wall * 1000, cpu * 1000


def _children() -> float:
    """Return the CPU seconds of all processes waited for so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
