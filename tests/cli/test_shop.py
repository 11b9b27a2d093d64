from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tracer.cli.shop import app as shop
from tracer.errors import JobError, LengthError
from tracer.shop.settings import load_shop

app = typer.Typer()
app.add_typer(shop, name="shop")


@pytest.fixture
def path(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    path = tmp_path / "shop.toml"
    monkeypatch.setenv("TRACER_SHOP", str(path))
    return path


def run(*words: str) -> str:
    result = CliRunner().invoke(app, ["shop", *words])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code == 0
    return result.output


def test_shows_what_is_assumed(path: Path) -> None:
    shown = run()
    assert f"{path} (not there yet)" in shown
    ratio = next(line for line in shown.splitlines() if "linkage.ratio" in line)
    assert ratio.split()[1] == "assumed"
    assert "the carving is half of the template (1:2)" in ratio
    assert not path.exists()


def test_sets_and_shows(path: Path) -> None:
    said = run("set", "linkage.ratio", "59.5%", "--measured", "2026-11-01")
    assert "linkage.ratio, measured 2026-11-01: the carving is 59.5 % of the template (1:1.681)" in said
    assert str(path) in said
    assert "V bit, 90 deg included" in run("set", "bits.sign V", "V 90deg 1/2in")
    run("set", "printer.bar", "94 mm")
    shown = run()
    assert "measured 2026-11-01" in shown
    assert "bits.sign V" in shown
    assert "print again at 100 %" in shown
    assert "not there yet" not in shown


def test_a_new_ratio_is_not_measured_on_the_old_day(path: Path) -> None:
    run("set", "linkage.ratio", "59.5%", "--measured", "2026-11-01")
    assert "say so with --measured" in run("set", "linkage.ratio", "60%")
    linkage = load_shop(path).linkage
    assert linkage is not None
    assert linkage.measured_on is None
    assert "measured 2026-11-02" in run("set", "linkage.measured", "2026-11-02")


def test_bad_values_change_nothing(path: Path) -> None:
    run("set", "linkage.ratio", "1:2")
    before = path.read_text()
    with pytest.raises(LengthError, match="two ways"):
        run("set", "linkage.ratio", "60")
    with pytest.raises(JobError, match=r"--measured goes with linkage\.ratio"):
        run("set", "hand.error", "1 mm", "--measured", "2026-11-01")
    assert path.read_text() == before


def test_path(path: Path) -> None:
    assert run("path").strip() == str(path)
