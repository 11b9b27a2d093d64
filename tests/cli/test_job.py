from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tracer.cli.job import job
from tracer.errors import OutputError
from tracer.job import Job
from tracer.settle import resolve

app = typer.Typer()
app.command()(job)


def run(*words: str) -> str:
    result = CliRunner().invoke(app, list(words), catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


def test_writes_a_file_that_resolves(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    assert f"--job {path}" in run("--new", str(path))
    assert resolve({}, job_file=path) == Job()


def test_never_writes_over_a_file_unforced(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text("mine")
    with pytest.raises(OutputError, match="left alone"):
        run("--new", str(path))
    assert path.read_text() == "mine"
    run("--new", str(path), "--force")
    assert path.read_text() != "mine"


def test_the_file_is_asked_for() -> None:
    result = CliRunner().invoke(app, [])
    assert result.exit_code == 2
    assert "--new" in result.output
