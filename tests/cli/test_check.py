"""`tracer check`: what is printed, what is proposed, and what is written only when told to."""

import json
from pathlib import Path
from typing import Any

import cv2
import pytest
import typer
from pen import Page
from typer.testing import CliRunner

from tracer.cli.check import check
from tracer.errors import JobError
from tracer.settle import resolve

app = typer.Typer()
app.command()(check)


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Nine whiskers, 12 px apart: 3 mm where 400 px are 100 mm."""
    page = Page(460, 200)
    for k in range(9):
        page.line((30, 40 + 12 * k), (430, 40 + 12 * k), width=5)
    path = tmp_path_factory.mktemp("art") / "whiskers.png"
    cv2.imwrite(str(path), page.grey)
    return path


@pytest.fixture(autouse=True)
def bench(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "no-shop.toml"))
    monkeypatch.setenv("COLUMNS", "80")


def run(*words: object) -> Any:
    result = CliRunner().invoke(app, [str(word) for word in words])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


SIZED = ("--width", "100 mm", "--depth", "1.5875 mm", "--max-widening", "3", "--ratio", "1:2")


def test_the_whole_first_then_each_finding_with_its_remedy(picture: Path) -> None:
    result = run(picture, *SIZED)
    assert result.exit_code == 0
    whole, *findings = result.stdout.strip().split("\n\n")
    assert whole.startswith("Every stroke can be cut, but")
    assert findings[0].startswith("RISK  ")
    for line in findings[0].splitlines()[1:]:
        assert line.startswith("      ")
    assert any(line.startswith("      -> ") for finding in findings for line in finding.splitlines())
    assert max(map(len, result.stdout.splitlines())) <= 80


@pytest.mark.parametrize("columns", [20, 60, 300])
def test_lines_fit_the_window_and_the_eye(
    picture: Path, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    longest = max(map(len, run(picture, *SIZED).stdout.splitlines()))
    assert longest <= min(100, max(40, columns))
    assert longest > min(100, max(40, columns)) - 20


def test_a_proposal_without_a_job_file_is_printed_to_paste(picture: Path, tmp_path: Path) -> None:
    before = picture.read_bytes()
    out = run(picture, *SIZED, "--fix").stdout
    assert "Thinning out 1 bundle by 4 strokes cures 8 of 8 places." in out
    assert [line.split() for line in out.splitlines() if line.startswith("Wood too")] == [
        ["Wood", "too", "thin", "8", "0"]
    ]
    table = out[out.index("[strokes]") :]
    path = tmp_path / "pasted.toml"
    path.write_text(table, encoding="utf-8")
    assert resolve({}, job_file=path).acts.thin_out == (tuple(range(1, 10)),)
    assert picture.read_bytes() == before


def test_it_is_written_only_when_told_to(picture: Path, tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    text = f'# mine\n[rules]\nmax-widening = 3   # bold\n[[pieces]]\nart = "{picture}"\nwidth = "100 mm"\n'
    path.write_text(text)
    run("--job", path, "--fix")
    assert path.read_text() == text
    assert sorted(one.name for one in tmp_path.iterdir()) == ["my.toml"]
    out = run("--job", path, "--fix", "--write").stdout
    assert "Written into" in out
    assert path.read_text().startswith(text)
    assert "leave" not in path.read_text()
    again = " ".join(run("--job", path, "--fix", "--write").stdout.split())
    assert "there is nothing to leave out for" in again
    assert "Written" not in again
    assert json.loads(run("--job", path, "--json").stdout)["totals"]["plunges"] == 5


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--write",), r"--write is for what --fix proposes: say --fix, too"),
        (("--fix", "--write"), r"--write needs a job file to write into"),
        (("--fix", "--json"), r"--json does not go with --fix"),
        (
            ("--leave-out", "99"),
            r"`leave-out` \(said on the command line\) names stroke 99, and this drawing has",
        ),
    ],
)
def test_options_that_do_not_go_together(picture: Path, words: tuple[str, ...], why: str) -> None:
    with pytest.raises(JobError, match=why):
        run(picture, *SIZED, *words)


def test_how_it_was_read_and_what_the_clean_up_changed_is_said_last(tmp_path: Path) -> None:
    page = Page(460, 200)
    for k in range(3):
        y = 40 + 60 * k
        page.line((30, y), (200, y)).line((212 + 2 * k, y), (430, y))
    page.line((230, 70), (230, 70.1), width=2)
    path = tmp_path / "gaps.png"
    cv2.imwrite(str(path), page.grey)
    said = run(path, *SIZED).stdout.strip().split("\n\n")[-1]
    assert " ".join(said.split()) == (
        "gaps.png, scale: unknown: the file says no resolution. "
        "Clean-up: 3 gaps closed (1-3), 1 speck dropped: the report of tracer template shows where; "
        "--open-gaps 1 leaves gap 1 open."
    )
    said = run(path, *SIZED, "--open-gaps", "2").stdout.strip().split("\n\n")[-1]
    assert "2 gaps closed (1, 3), 1 gap left open (2), 1 speck dropped" in " ".join(said.split())
    assert "Clean-up: 3 gaps left open (1-3), 1 speck" in run(path, *SIZED, "--no-close-gaps").stdout
