"""Help, settings and formulas answer at once: nothing that crunches numbers is loaded for them."""

import subprocess
import sys
from statistics import median
from time import perf_counter

import pytest

HEAVY = {
    "PIL",
    "cv2",
    "jinja2",
    "numpy",
    "pypdfium2",
    "reportlab",
    "scipy",
    "shapely",
    "skimage",
    "svgpathtools",
}
SLOWEST = 0.35  # s more than bare Python
ROOM = 3  # times: the machine may be busy with other things; the figure itself is for the benchmarks

LOADED = """
import sys
sys.argv = ["tracer", *sys.argv[1:]]
from tracer.cli import main
try:
    main()
except SystemExit as left:
    assert not left.code, left.code
print("loaded:", *sorted({name.split(".")[0] for name in sys.modules}))
"""


def run(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["template", "--help"],
        ["check", "--help"],
        ["strokes", "--help"],
        ["demo", "--help"],
        ["groove", "--depth", "1/8in"],
        ["groove", "--width", "1/8in", "--json"],
    ],
    ids=" ".join,
)
def test_light_commands_load_nothing_heavy(arguments: list[str]) -> None:
    loaded = run("-c", LOADED, *arguments).rpartition("loaded:")[2].split()
    assert "tracer" in loaded
    assert HEAVY.isdisjoint(loaded), HEAVY.intersection(loaded)


def test_importing_tracer_loads_nothing_heavy() -> None:
    loaded = run("-c", "import sys, tracer; print(*{n.split('.')[0] for n in sys.modules})").split()
    assert "tracer" in loaded
    assert HEAVY.isdisjoint(loaded), HEAVY.intersection(loaded)


def test_module_and_help_start_quickly() -> None:
    def seconds(*arguments: str) -> float:
        began = perf_counter()
        run(*arguments)
        return perf_counter() - began

    bare = median(seconds("-c", "pass") for _ in range(3))
    shown = median(seconds("-m", "tracer", "--help") for _ in range(3))
    assert shown - bare < SLOWEST * ROOM
