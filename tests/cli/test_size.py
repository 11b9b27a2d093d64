"""`size` at the command line: answers in both units, a table, a chart, and sentences for what cannot be."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
import typer
from PIL import Image, ImageDraw
from typer.testing import CliRunner, Result

from tracer.cli.size import size
from tracer.errors import ArtError, JobError, OutputError

APP = typer.Typer()
APP.command()(size)


@pytest.fixture(autouse=True)
def no_shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nobody's own shop file."""
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "none.toml"))


@pytest.fixture
def art(tmp_path: Path) -> Path:
    """Three lines across, two of them close, 8 px of 600 wide."""
    page = Image.fromarray(np.full((400, 700), 255, np.uint8))
    pen = ImageDraw.Draw(page)
    for y in (100, 130, 300):
        pen.line((50, y, 650, y), fill=0, width=8)
    path = tmp_path / "lines.png"
    page.save(path)
    return path


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(APP, [str(word) for word in words])


def said(*words: str | Path) -> list[str]:
    result = run(*words)
    assert result.exit_code == 0, result.exception
    return result.stdout.splitlines()


def test_says_what_is_held_fixed_and_from_where_on_nothing_is_lost(art: Path) -> None:
    lines = said(art, "--width", "150mm", "--units", "mm")
    assert lines[0].startswith("lines, 150 mm (5 29/32 in) wide")
    assert lines[1].startswith("Held fixed: V bit, 60 deg")
    assert any("The ratio changes the printed sheet" in line for line in lines)
    assert max(map(len, lines)) <= 130
    answers = {line[:27].strip(): line[27:] for line in lines}
    # Lines 30 of 600 px apart: (groove 1.83 + land along the grain 3 mm, the rule for pine) / 0.05.
    assert answers["all wood between holds"].startswith("from 97 mm")
    # 8 px of 600 drawn, at most twice as wide: 1.83 / 2 / 0.0133 (derived).
    assert answers["no stroke too thin"].startswith(("from 68 mm", "from 69 mm", "from 70 mm"))
    assert answers["Nothing is lost"].startswith("from 97 mm")


def test_the_table_marks_the_size_asked_for_and_the_largest_on_the_board(art: Path) -> None:
    lines = said(art, "--width", "6in", "--board", "14 x 9 x 3/4 in", "--units", "in")
    assert any(line.startswith("> ") and "6 in (152.4 mm)" in line for line in lines)
    assert sum(line.startswith("# ") for line in lines) == 1
    board = next(line for line in lines if line.startswith("Largest on this board"))
    assert "12 11/32 in" in board  # 14 in less two margins of 20 mm and a groove of 1.83 mm (derived)


def test_the_users_bits_are_compared(art: Path, tmp_path: Path) -> None:
    job = tmp_path / "my.toml"
    job.write_text(
        f'units = "mm"\n[[pieces]]\nart = "{art}"\nwidth = "60 mm"\n'
        '[[bits]]\nname = "fine"\nspec = "V 30deg 1/4in"\n[[bits]]\nname = "broad"\nspec = "V 90deg 1/2in"\n'
    )
    lines = said("--job", job)
    best = next(line for line in lines if line.startswith("> ") and "fine" in line)
    assert "100 %" in best
    assert any(line.startswith("Ask for it with --bit ") for line in lines)


def test_as_json(art: Path) -> None:
    found = json.loads("\n".join(said(art, "--width", "150mm", "--json")))
    assert found["width_mm"] == pytest.approx(150)
    assert found["nothing_lost"]["size_mm"] == found["all_wood_holds"]["size_mm"]
    assert [row["width_mm"] for row in found["sizes"]] == sorted(row["width_mm"] for row in found["sizes"])
    assert sum(choice["best"] for choice in found["choices"]) == 1


def test_draws_a_chart(art: Path, tmp_path: Path) -> None:
    path = tmp_path / "chart.svg"
    said(art, "--width", "150mm", "-o", path)
    root = ET.fromstring(path.read_text(encoding="utf-8"))
    rows = len(json.loads("\n".join(said(art, "--width", "150mm", "--json")))["sizes"])
    lines = root.findall("{http://www.w3.org/2000/svg}polyline")
    assert [len((line.get("points") or "").split()) for line in lines] == [rows] * 4
    texts = [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"asked for", "nothing lost from here on", "finished width", "150 mm"} <= set(texts)


def test_refuses_with_a_sentence(art: Path, tmp_path: Path) -> None:
    refused = [
        (run(), JobError, "Nothing to carve was named"),
        (run(tmp_path / "none.png"), ArtError, "none.png"),
        (run(art, "--width", "150mm", "-o", tmp_path / "no" / "chart.svg"), OutputError, "--output"),
    ]
    for result, error, why in refused:
        assert type(result.exception) is error
        assert why in str(result.exception)
