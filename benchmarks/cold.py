"""How long a command takes from the shell, in a fresh process: `python -m benchmarks.cold`."""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

TIMES = 5
BARE = ("-c", "pass")
YARDSTICK = ("-c", "sum(k * k for k in range(5_000_000))")
"""Work that is the same in every version: what is measured in it can be compared between machines."""

PACK = "{pack}"
"""Stands for a new folder."""


@dataclass(frozen=True)
class Command:
    """A command, and the most wall time it may take, ms: in all, or `over` that of bare Python."""

    arguments: tuple[str, ...]
    most: float
    over: bool = False

    @property
    def name(self) -> str:
        """As it is typed, without the folder."""
        return f"tracer {' '.join(self.arguments)}".removesuffix(f" -o {PACK}")


COMMANDS = (
    Command(("--help",), 350.0, over=True),
    Command(("groove", "--depth", "1/8in"), 350.0, over=True),
    Command(("check", "sample_art/boat-web.png"), 2000.0),
    Command(("template", "sample_art/boat-web.png", "--width", "140mm", "-o", PACK), 2500.0),
)
"""The last makes the whole pack of a drawing on an A4 sheet."""


def main() -> None:
    """Print a row a command."""
    bare, yardstick = cost(BARE), cost(YARDSTICK)
    title = f"median of {TIMES} fresh processes, ms"
    print(f"{title:56}{'wall':>8}{'CPU':>8}{'over bare':>11}{'yardsticks':>12}  bar")
    for name, (wall, cpu) in (("python -c pass", bare), ("yardstick: five million squares", yardstick)):
        print(f"{name:56}{wall:8.0f}{cpu:8.0f}{wall - bare[0]:11.0f}{wall / yardstick[0]:12.1f}")
    for command in COMMANDS:
        wall, cpu = cost(("-m", "tracer", *command.arguments))
        over = wall - bare[0]
        missed = "" if (over if command.over else wall) <= command.most else " MISSED"
        bar = f"{command.most:.0f} {'over' if command.over else 'in all'}{missed}"
        print(f"{command.name:56}{wall:8.0f}{cpu:8.0f}{over:11.0f}{wall / yardstick[0]:12.1f}  {bar}")


def cost(arguments: tuple[str, ...]) -> tuple[float, float]:
    """Return the median wall and CPU time in ms; one run before compiles and warms the disk's cache."""
    with tempfile.TemporaryDirectory() as compiled:
        runs = [once(arguments, compiled) for _ in range(TIMES + 1)][1:]
    return statistics.median(wall for wall, _ in runs), statistics.median(cpu for _, cpu in runs)


def once(arguments: tuple[str, ...], compiled: str) -> tuple[float, float]:
    """Return wall and CPU time (user and system, all its processes) of one command in ms.

    Byte code is kept in the folder `compiled`, as an installed package has it, whatever the environment says.
    """
    root = Path(__file__).parents[1]
    with tempfile.TemporaryDirectory() as folder:
        given = [str(Path(folder) / "pack") if one == PACK else one for one in arguments]
        byte_code = {"PYTHONPYCACHEPREFIX": compiled, "PYTHONDONTWRITEBYTECODE": ""}
        before, began = _children(), time.perf_counter()
        done = subprocess.run(
            [sys.executable, *given],
            cwd=root,
            env={**os.environ, "PYTHONPATH": str(root), **byte_code},
            capture_output=True,
            text=True,
            check=False,
        )
        wall, cpu = time.perf_counter() - began, _children() - before
    if done.returncode not in {0, 1}:  # 1 is a check that found losses
        raise SystemExit(f"{' '.join(given)} failed: {done.stderr}")
    return wall * 1000, cpu * 1000


def _children() -> float:
    """Return the CPU seconds of all processes waited for so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
