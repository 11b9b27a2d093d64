"""`strokes` at the command line."""

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tracer.cli.strokes import strokes

APP = typer.Typer()
APP.command()(strokes)


@pytest.mark.parametrize(("lines", "words"), [(1, "1 stroke is in "), (2, "2 strokes are in ")])
def test_strokes_are_counted_in_english(tmp_path: Path, lines: int, words: str) -> None:
    paths = "".join(f'<path d="M10 {20 * k + 20}h80" stroke="#000"/>' for k in range(lines))
    art = tmp_path / "a.svg"
    art.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm">{paths}</svg>')
    result = CliRunner().invoke(APP, [str(art), "-o", str(tmp_path / "b.svg")], catch_exceptions=False)
    assert words in result.output
