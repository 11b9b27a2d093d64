"""The house keeps its rooms apart: who may import whom, heavy packages at home, nothing grown too large."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "tracer"
MODULES = sorted(ROOT.rglob("*.py"))

_SAID = {"act_words", "reading_words", "lettering_words"}
_SHOP = {"errors", "lengths", "shop", "acts", "reading", "lettering"} | _SAID
_JOB = _SHOP | {"job", "job_file", "new_job", "settle", "piece_order", "piece_words"}
_STAGE = _JOB | {"geometry", "model"}
_HALL = _STAGE | {"hands", "art", "raster", "vector", "letters", "report", "sheets", "laid_out", "border"}

MAY_IMPORT = {
    "__init__": _STAGE | {"laid_out", "pipeline", "tracing"},
    "__main__": {"cli"},
    "errors": set(),
    "hands": {"errors"},
    "lengths": {"errors"},
    "acts": set(),
    "lettering": set(),
    "act_words": {"errors", "lengths", "shop", "acts"},
    "reading": {"errors", "lengths", "shop"},
    "reading_words": _SHOP,
    "lettering_words": _SHOP,
    "geometry": {"errors", "lengths"},
    "shop": {"errors", "lengths"},
    "job_file": _SHOP | {"new_job", "piece_words"},
    "new_job": set(),
    "piece_words": _SHOP | {"job"},
    "job": _SHOP,
    "settle": _SHOP | {"job", "job_file", "piece_order", "piece_words"},
    "piece_order": {"errors", "lengths", "lettering", "job"},
    "model": _JOB | {"geometry"},
    "art": _STAGE,
    "raster": _STAGE,
    "vector": _STAGE,
    "letters": _STAGE,
    "laid_out": _STAGE | {"border"},
    "border": _STAGE,
    "report": _STAGE,
    "sheets": _STAGE | {"hands"},
    "middles": _HALL,  # a part of the hall: letters through the stages that read pictures
    "tracing": _STAGE | {"art", "raster", "vector"},  # a part of the hall
    "pipeline": _HALL | {"middles", "tracing"},
    "cli": _JOB | {"model", "hands", "pipeline", "tracing", "sheets"},  # sheets: words and records to print
}
"""What each part may import, beside itself. Stages never import one another."""

_CRUNCHES = _HALL - _JOB | {"middles", "tracing"}

HOMES = {
    "numpy": _CRUNCHES | {"shop"},  # in shop for the names of types
    "scipy": {"geometry", "raster", "vector", "report", "sheets"},
    "cv2": {"raster", "vector", "middles", "sheets"},
    "skimage": {"raster", "vector"},
    "uharfbuzz": {"letters"},
    "HersheyFonts": {"letters"},
    "PIL": {"art", "raster", "sheets"},
    "pillow_heif": {"art"},
    "pypdfium2": {"art"},
    "shapely": {"geometry", "vector", "letters", "report"},
    "rustworkx": {"report"},
    "svgelements": {"art"},
    "svgpathtools": {"art"},
    "reportlab": {"sheets"},
    "jinja2": {"sheets"},
    "tomlkit": {"shop", "job_file"},
    "typer": {"cli"},
    "rich": {"cli"},
}
"""The parts in which each package from outside may be used."""

ONLY_INSIDE_FUNCTIONS = {
    "uharfbuzz",
    "HersheyFonts",
    "scipy",
    "skimage",
    "svgelements",
    "svgpathtools",
    "reportlab",
    "jinja2",
    "tomlkit",
    "rich",
    "pillow_heif",
    "pypdfium2",
}
"""Packages too slow to load before they are needed."""

LIGHT = {"__init__", "__main__", "cli", "hands", *_JOB}
"""Parts that load with every command: nothing heavy at the top of their modules, at any remove."""

LONGEST_FUNCTION = 60
LONGEST_MODULE = 350
MOST_POSITIONAL = 5

LONG_MODULES: dict[str, int] = {}
"""The exceptions, each with its own limit and a reason."""


def part_of(path: Path) -> str:
    """The part of the house a module belongs to: its folder, or its own name at the top."""
    relative = path.relative_to(ROOT)
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


def own_targets(path: Path, node: ast.Import | ast.ImportFrom) -> Iterator[str]:
    """Full dotted names of what one statement imports; relative ones made absolute."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
        return
    base = node.module or ""
    if node.level:
        here = ["tracer", *path.relative_to(ROOT).parts[:-1]]
        base = ".".join([*here[: len(here) - node.level + 1], *([base] if base else [])])
    yield from ([f"{base}.{alias.name}" for alias in node.names] if base == "tracer" else [base])


def called_import(node: ast.AST) -> str | None:
    """The name in `import_module("name")` or `__import__("name")`, else None."""
    if not (isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant)):
        return None
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return str(node.args[0].value) if name in {"import_module", "__import__"} else None


def imports(path: Path) -> Iterator[tuple[str, int, bool]]:
    """(dotted name, line, whether at the top of the module) of every import, inside functions too."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {
        id(node)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef)
        for node in ast.walk(function)
    }
    typing_only = {
        id(node)
        for block in ast.walk(tree)
        if isinstance(block, ast.If) and "TYPE_CHECKING" in ast.unparse(block.test)
        for statement in block.body
        for node in ast.walk(statement)
    }
    for node in ast.walk(tree):
        at_top = id(node) not in inside | typing_only
        if isinstance(node, ast.Import | ast.ImportFrom):
            for name in own_targets(path, node):
                yield name, node.lineno, at_top
        elif called := called_import(node):
            yield called, getattr(node, "lineno", 0), at_top


def is_part(name: str) -> bool:
    return (ROOT / name).is_dir() or (ROOT / f"{name}.py").is_file()


def complaints(path: Path) -> list[str]:
    """What this module imports and may not."""
    part, found = part_of(path), []
    for name, line, at_top in imports(path):
        package, _, rest = name.partition(".")
        where = f"{path.relative_to(ROOT.parent)}:{line}"
        if package == "tracer":
            target = rest.split(".")[0] if is_part(rest.split(".")[0]) else "__init__"
            if target not in MAY_IMPORT.get(part, set()) | {part} and (target, part) != ("__init__", "cli"):
                found.append(f"{where}: {part} may not import {target}")
        elif package not in sys.stdlib_module_names:
            if part not in HOMES.get(package, set()):
                found.append(f"{where}: {package} is not at home in {part}")
            if at_top and (package in ONLY_INSIDE_FUNCTIONS or (part in LIGHT and package != "typer")):
                found.append(f"{where}: import {package} inside the function that needs it")
    return found


def oversized(path: Path) -> list[str]:
    """Functions and modules that outgrew the limits."""
    text, name = path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix()
    found = []
    if (lines := len(text.splitlines())) > LONG_MODULES.get(name, LONGEST_MODULE):
        found.append(f"{name}: {lines} lines")
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if (lines := (node.end_lineno or 0) - node.lineno + 1) > LONGEST_FUNCTION:
            found.append(f"{name}:{node.lineno}: {node.name} has {lines} lines")
        positional = [
            a.arg for a in [*node.args.posonlyargs, *node.args.args] if a.arg not in {"self", "cls"}
        ]
        if len(positional) > MOST_POSITIONAL:
            found.append(f"{name}:{node.lineno}: {node.name} has {len(positional)} positional arguments")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_module_imports_only_what_its_part_may(path: Path) -> None:
    assert complaints(path) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_nothing_outgrows_the_limits(path: Path) -> None:
    assert oversized(path) == []


def test_every_part_is_in_the_table() -> None:
    parts = {part_of(path) for path in MODULES}
    assert parts <= set(MAY_IMPORT), f"not in the table: {sorted(parts - set(MAY_IMPORT))}"


def test_exceptions_are_still_needed() -> None:
    needless = [n for n in LONG_MODULES if len((ROOT / n).read_text().splitlines()) <= LONGEST_MODULE]
    assert needless == []


@pytest.mark.parametrize(
    ("module", "code", "complaint"),
    [
        ("vector/x.py", "def f():\n    from tracer.raster import thin", "vector may not import raster"),
        ("vector/x.py", "from ..sheets import pdf", "vector may not import sheets"),
        ("vector/x.py", "from tracer import cli", "vector may not import cli"),
        ("report/x.py", "import cv2", "cv2 is not at home in report"),
        ("report/x.py", "import a_package_nobody_knows", "is not at home in report"),
        ("report/x.py", "import scipy.sparse", "inside the function"),
        ("raster/x.py", "import importlib\nimportlib.import_module('tracer.vector')", "import vector"),
        ("shop/x.py", "import numpy", "inside the function"),
        ("attic/x.py", "import tracer.lengths", "attic may not import lengths"),
    ],
)
def test_the_walk_sees_what_it_should(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: str, code: str, complaint: str
) -> None:
    (tmp_path / "tracer" / module).parent.mkdir(parents=True)
    (tmp_path / "tracer" / module).write_text(code)
    for part in ("raster", "sheets", "cli"):
        (tmp_path / "tracer" / part).mkdir(exist_ok=True)
    for name in ("lengths", "vector"):
        (tmp_path / "tracer" / f"{name}.py").touch()
    monkeypatch.setattr(sys.modules[__name__], "ROOT", tmp_path / "tracer")
    assert any(complaint in line for line in complaints(tmp_path / "tracer" / module))


@pytest.mark.parametrize(
    ("code", "complaint"),
    [
        ("def f(a, b, c, d, e, g): ...", "6 positional"),
        ("def f():\n" + "    a = 1\n" * 60, "61 lines"),
        ("a = 1\n" * 351, "351 lines"),
    ],
)
def test_the_measuring_sees_what_it_should(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: str, complaint: str
) -> None:
    (tmp_path / "x.py").write_text(code)
    monkeypatch.setattr(sys.modules[__name__], "ROOT", tmp_path)
    assert any(complaint in line for line in oversized(tmp_path / "x.py"))
