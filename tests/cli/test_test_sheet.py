"""`test-sheet` at the command line, and the whole way round: print, measure, type what the sheet says, plan.

A workshop that nobody has told anything of: its printer, linkage and bit are known to the test alone. All
that the program learns of them comes through the commands printed on the sheet, their blanks filled in.
"""

import math
import shlex
from pathlib import Path

import numpy as np
import pytest
from sheets.drawn import drawn
from sheets.pages import texts
from typer.testing import CliRunner, Result

from tracer.cli import app
from tracer.errors import JobError, OutputError
from tracer.pipeline import Work
from tracer.settle import resolve
from tracer.sheets.job_sheet import write_job_sheet
from tracer.sheets.marks import TRACK
from tracer.sheets.template import write_template
from tracer.shop.bits import VBit
from tracer.shop.settings import load_shop

PRINTS = np.array([0.992, 1.004])
"""What the printer makes of a millimetre in the file, across and down."""

UNPRINTABLE = 4.2
RATIO = 0.598
BIT = VBit(58.4, 12.7, flat=0.35)
RED = tuple(round(255 * part) for part in TRACK)
KITE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<path d="M40 5 L75 30 L40 55 L5 30 Z" fill="none" stroke="black" stroke-width="1.5"/></svg>'
)


@pytest.fixture(autouse=True)
def _shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "shop.toml"))
    monkeypatch.chdir(tmp_path)


def run(*words: str) -> Result:
    result = CliRunner().invoke(app, words)
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def commands(page: int) -> list[str]:
    """The commands printed on a page of the sheet, each whole."""
    found: list[str] = []
    goes_on = False
    for line in map(str.strip, texts(Path("test-sheet.pdf"))[page].splitlines()):
        if goes_on and (found[-1].count('"') % 2 or line.startswith(("--", '"'))):
            found[-1] += f" {line}"
        else:
            goes_on = line.startswith("tracer ")
            found += [line] if goes_on else []
    return found


def type_in(command: str, *values: str) -> str:
    """Fill in the blanks of a printed command and run it."""
    assert command.count("______") == len(values), command
    for value in values:
        command = command.replace("______", value, 1)
    return run(*shlex.split(command)[1:]).output


def reds(path: Path, page: int) -> np.ndarray:
    """Points of the lines to follow as they come out on paper, mm."""
    return np.concatenate([line.points for line in drawn(path, page)[0] if line.colour == RED]) * PRINTS


def bars() -> tuple[float, float]:
    """The bars of page 1 as they come out, read to 0.1 mm."""
    thin = [line.points for line in drawn(Path("test-sheet.pdf"), 0)[0] if line.width < 0.11]
    across, down = (max(np.ptp(p[:, k]) for p in thin if np.ptp(p[:, 1 - k]) < 0.01) for k in (0, 1))
    return round(across * PRINTS[0], 1), round(down * PRINTS[1], 1)


def widest_margin() -> int:
    """The number of the last line that shows, at the edge that shows fewest."""
    return math.ceil(UNPRINTABLE)


def test_what_the_sheet_asks_for_makes_the_next_plan_true(tmp_path: Path) -> None:
    run("test-sheet", "-o", "test-sheet.pdf", "--date", "2026-11-26")
    bar, margin, again = commands(0)
    type_in(bar, *(f"{side:g}" for side in bars()))
    type_in(margin, str(widest_margin() + 1))
    type_in(again)

    ratio, turned = commands(1)
    square = np.ptp(reds(Path("test-sheet.pdf"), 1), axis=0)
    assert square == pytest.approx(180.0, abs=0.1)  # true on paper, once the bar was told
    cut = [f"{side * RATIO:.2f}" for side in square]
    said = type_in(ratio, *(f"{side:.1f}" for side in square), *cut)
    assert "the same as nearly as rules are read" in said
    type_in(turned, "yes")

    (groove,) = commands(2)
    measured = [f"{value:.2f}" for depth in (1.0, 3.0) for value in (BIT.width_at(depth), depth)]
    type_in(groove, *measured)

    Path("kite.svg").write_text(KITE)
    job = resolve({"art": "kite.svg", "width": "150 mm", "depth": "2 mm"}, shop=load_shop())
    assert "measured" in job.origin("ratio")
    assert "measured" in job.origin("bit")
    assert job.linkage.turned
    assert job.printer.margin == 6.0
    plan = Work().plan(job)
    write_template(plan, tmp_path / "template.pdf")
    kite = max((line.points for line in drawn(tmp_path / "template.pdf", 0)[0]), key=len)
    carved = np.ptp(kite * PRINTS, axis=0) * RATIO
    assert carved == pytest.approx([150.0, 150.0 * 50 / 70], abs=0.15)  # the kite is 70 x 50
    assert plan.grooves[0].width == pytest.approx(BIT.width_at(2.0), abs=0.02)
    write_job_sheet(plan, tmp_path / "job.pdf")
    told = " ".join(" ".join(texts(tmp_path / "job.pdf")).split())
    assert f"from the shop file, measured {job.date.isoformat()}" in told  # the bit
    assert "59.8 %" in told


def test_page_one_is_for_its_own_command(tmp_path: Path) -> None:
    said = ["--bit", "V 90deg 1/4in", "--paper", "Letter", "--units", "in", "--square", "6"]
    run("test-sheet", "-o", "test-sheet.pdf", *said)
    options = '--bit "V 90deg 1/4in" --paper "Letter" --units "in" --square "6"'
    assert commands(0)[-1] == f"tracer test-sheet -o test-sheet.pdf {options} --force"
    assert '--bit "V 90deg 1/4in"' in commands(2)[0]


def test_a_name_that_no_shell_leaves_alone_is_not_printed() -> None:
    run("shop", "set", 'bits.my "$(best)" V', "V 90deg 1/4in")
    run("test-sheet", "-o", "test-sheet.pdf")
    assert commands(2)[0].startswith('tracer groove --bit "V 90deg 1/4in" --measured')


def test_a_file_that_no_viewer_would_open_is_refused_with_its_right_name(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"does not end in \.pdf: say -o sheet\.pdf"):
        run("test-sheet", "-o", "sheet")
    assert not any(tmp_path.glob("sheet*"))
    run("test-sheet", "-o", "Sheet.PDF")
    assert Path("Sheet.PDF").read_bytes().startswith(b"%PDF")


def test_an_existing_file_stays_unless_forced(tmp_path: Path) -> None:
    Path("sheet.pdf").write_text("mine")
    with pytest.raises(OutputError, match="is there already"):
        run("test-sheet", "-o", "sheet.pdf")
    assert Path("sheet.pdf").read_text() == "mine"
    run("test-sheet", "-o", "sheet.pdf", "--force")
    assert Path("sheet.pdf").read_bytes().startswith(b"%PDF")
    with pytest.raises(JobError, match="the test sheet needs"):
        run("test-sheet", "-o", "small.pdf", "--paper", "A5")
    assert not Path("small.pdf").exists()
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []
