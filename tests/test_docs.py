"""What the documents say is what the program has."""

import importlib.util
import re
import shlex
import struct
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
import typer
from sheets.plans import small_plan
from typer.testing import CliRunner

import tracer
from tracer.cli import app
from tracer.job import Job
from tracer.sheets.paper_words import paper_sentences
from tracer.sheets.preview import print_scale
from tracer.shop.printer import Printer, doubts
from tracer.shop.settings import load_shop

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = ROOT / "docs" / "commands.md"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

PUBLIC = [
    "Beside",
    "Board",
    "Border",
    "Drawing",
    "Job",
    "Joint",
    "Layout",
    "Lettering",
    "Piece",
    "PieceSpec",
    "Plan",
    "Reading",
    "Stroke",
    "TracerError",
    "Work",
    "lay_out",
    "letter",
    "plan",
    "trace",
    "write",
]
"""The public names: whoever adds or takes one away says so here and in CHANGELOG.md."""


def load(script: str) -> Any:
    """The docs' own script as a module."""
    spec = importlib.util.spec_from_file_location(Path(script).stem, ROOT / "docs" / script)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def command_lines() -> str:
    """The README's blocks for a shell."""
    return "\n".join(re.findall(r"^```(?:sh|bat)\n(.*?)^```", README, re.MULTILINE | re.DOTALL))


def test_commands_page_is_up_to_date() -> None:
    assert COMMANDS.read_text(encoding="utf-8") == load("make_commands.py").page(), (
        "run: python docs/make_commands.py"
    )


def test_every_command_and_option_is_documented() -> None:
    text = README + COMMANDS.read_text(encoding="utf-8")
    for words, command in load("make_commands.py").commands().items():
        assert words in text
        for option in command.params:
            if option.param_type_name == "option" and not option.hidden and option.name != "help":
                assert all(f"`{name}`" in text for name in [*option.opts, *option.secondary_opts]), words


def test_readme_uses_only_commands_and_options_that_exist() -> None:
    commands = load("make_commands.py").commands()
    known = {
        words: {n for p in c.params for n in [*p.opts, *p.secondary_opts]} for words, c in commands.items()
    }
    used = re.findall(
        r"tracer (?=[a-z])([a-z-]+)((?: [^\n`]*)?)",
        "\n".join(re.findall(r"`[^`\n]+`|^tracer .*$", README, re.M)),
    )
    assert used
    for name, rest in used:
        one, two = f"tracer {name}", " ".join(["tracer", name, *rest.split()[:1]])
        words = two if two in known else one
        assert words in known
        assert set(re.findall(r"(?<![\w-])--[a-z-]+", rest)) <= known[words] | {"--help"}, words


def test_public_names_are_pinned() -> None:
    assert list(tracer.__all__) == PUBLIC == sorted(PUBLIC)
    for name in tracer.__all__:
        assert getattr(tracer, name).__doc__, f"{name} says nothing about itself"


def test_readme_sets_up_on_a_bare_machine_with_one_line() -> None:
    lines = command_lines().splitlines()
    assert "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/tracer demo" in lines
    assert 'python3 -m venv .venv && .venv/bin/pip install -e ".[test]" && .venv/bin/pytest' in lines
    assert r"py -m venv .venv && .venv\Scripts\pip install . && .venv\Scripts\tracer demo" in lines


def test_links_of_the_documents_lead_somewhere() -> None:
    for document in [ROOT / "README.md", ROOT / "DEVELOPERS.md"]:
        for target in re.findall(r"\]\(([^)#]+)\)", document.read_text(encoding="utf-8")):
            assert (document.parent / target).exists(), f"{document.name}: {target}"


@pytest.mark.parametrize("stage", ["raster", "vector", "report", "letters"])
def test_every_module_of_the_larger_stages_has_its_line(stage: str) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split(f"| {stage} | in one line |")[1].split("\n\n")[0]
    named = re.findall(r"`(\w+)`", "\n".join(row.split("|")[1] for row in table.splitlines() if row))
    modules = {path.stem for path in (ROOT / "tracer" / stage).glob("*.py")} - {"__init__", "steps"}
    assert sorted(named) == sorted(modules)


def test_answers_shown_in_the_readme_are_those_given(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "none.toml"))
    shown = re.findall(r"^```\ntracer ([^\n]*)\n```\n\n```text\n(.*?)^```", README, re.M | re.S)
    assert shown
    for arguments, answer in shown:
        assert CliRunner().invoke(app, arguments.split()).output == answer


def test_the_readmes_sheets_for_a_shop_are_settled_as_it_says(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    jobs: list[Job] = []

    def kept(job: Job, *_: object, **__: object) -> None:
        jobs.append(job)
        raise typer.Exit

    monkeypatch.setattr(sys.modules["tracer.cli.template"], "make_pack", kept)
    part = README.split("## Sheets for your shop\n")[1].split("\n## ")[0].split("\n| ")[0]
    lines = re.findall(r"^tracer (.*)$", part, re.M)
    lasting = [line for line in lines if line.startswith("shop set ")]
    for number, line in enumerate([*lasting, *lines[len(lasting) :]]):
        # What lasts is in one shop file; the jobs after it are for a shop that nothing is known of.
        shop = "shop.toml" if number < len(lasting) else "none.toml"
        monkeypatch.setenv("TRACER_SHOP", str(tmp_path / shop))
        assert CliRunner().invoke(app, shlex.split(line)).exit_code == 0, line
    lasts = load_shop(tmp_path / "shop.toml")
    wide, set_ups = jobs
    assert (wide.paper.name, wide.hold, wide.overlap, wide.revision) == ("A3", "landscape", 15.0, "B")
    assert wide.linkage.reach is None
    for bar, linkage in ((lasts.printer, lasts.linkage), (set_ups.printer, set_ups.linkage)):
        assert linkage is not None
        assert (bar.bar_x, bar.bar_y, linkage.reach, linkage.turned) == (99.2, 99.4, (400.0, 300.0), True)
    assert doubts(lasts.printer) == ()
    assert (lasts.printer.margin, lasts.router_base) == (5.0, 160.0)
    options = ["bar", "paper-margin", "turned", "reach", "table", "router-base", "hold", "overlap", "paper"]
    assert [option for option in options if f"--{option}" not in part] == []


def test_bars_given_as_an_example_are_those_of_a_sound_printer() -> None:
    new_job = (ROOT / "tracer" / "new_job.py").read_text(encoding="utf-8")
    told = [README, COMMANDS.read_text(encoding="utf-8"), new_job, *paper_sentences(small_plan())]
    bars = [re.findall(r'"(99[\d.]*|10[\d.]+) ?(?:mm)? x ([\d.]+) ?mm"', text) for text in told]
    assert all(bars)
    for across, down in {bar for found in bars for bar in found}:
        assert doubts(Printer(float(across), float(down), measured=True)) == ()


def test_the_readme_says_where_the_preview_has_300_dots_an_inch() -> None:
    # 300 dots an inch over 3000 pixels: 10 in, 254 mm (derived).
    said = next(line for line in README.splitlines() if "`preview-print.png`" in line)
    assert "254 mm (10 in)" in said
    for width, dpi in ((254.0, 300.0), (508.0, 150.0)):
        plan = small_plan(board=(width, 100.0, 19.05))
        assert print_scale(plan) * 25.4 == pytest.approx(dpi)


def test_picture_of_the_result_is_small_enough_to_load() -> None:
    picture = ROOT / "docs" / "preview.png"
    assert picture.stat().st_size <= 400_000
    # Width in the IHDR chunk: PNG (ISO/IEC 15948), bytes 16 to 19.
    assert struct.unpack(">I", picture.read_bytes()[16:20])[0] >= 800


def test_notices_name_every_dependency() -> None:
    notices = (ROOT / "NOTICES").read_text(encoding="utf-8")
    required = [re.split(r"[<>=~!\[ ]", line)[0] for line in PROJECT["dependencies"]]
    extra = [
        re.split(r"[<>=~!\[ ]", line)[0]
        for group in PROJECT["optional-dependencies"].values()
        for line in group
    ]
    assert [name for name in required + extra if name not in notices] == []


@pytest.mark.parametrize("name", PROJECT["license-files"])
def test_licence_files_are_there(name: str) -> None:
    assert (ROOT / name).stat().st_size > 100


def test_changelog_has_this_version() -> None:
    assert f"## {PROJECT['version']}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


def test_python_floor_is_the_one_in_use_or_below() -> None:
    least = tuple(map(int, PROJECT["requires-python"].removeprefix(">=").split(".")))
    assert sys.version_info >= least
    assert f"Python {'.'.join(map(str, least))}" in README


def test_the_readmes_headboard_is_the_sample_job() -> None:
    _, after = README.split("docs/headboard.png)", 1)
    told = after.split("```toml\n", 1)[1].split("```", 1)[0]
    said = tomllib.loads((ROOT / "sample_art" / "headboard.toml").read_text(encoding="utf-8"))
    assert tomllib.loads(told) == said
