import json
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
    assert "tracer test-sheet -o test-sheet.pdf" in shown
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


def test_a_bit_is_measured_on_a_day_until_it_is_another(path: Path) -> None:
    said = run("set", "bits.sign V", "V 58deg 1/2in flat 0.3mm", "--measured", "2026-11-26")
    assert "bits.sign V, measured 2026-11-26: V bit, 58 deg included" in said
    assert "bits.sign V, said: V bit, 60 deg" in run("set", "bits.sign V", "V 60deg 1/2in")
    with pytest.raises(JobError, match="a day is expected"):
        run("set", "bits.sign V", "V 58deg 1/2in", "--measured", "soon")
    assert "60deg" in path.read_text()


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


def report(folder: Path, *, template_mm: float, plunges: int, name: str = "hare") -> Path:
    """What `tracer template` writes of a plan in one pass: the keys that its time needs."""
    path = folder / f"{name}.json"
    whole = {
        "job": {"name": name, "speed_mm_per_s": {"low": 10, "high": 20}, "plunge_s": {"low": 10, "high": 10}},
        "totals": {
            "template_length_mm": template_mm,
            "plunges_with_passes": plunges,
            "time_s": {"low": template_mm / 20 + 10 * plunges, "high": template_mm / 10 + 10 * plunges},
        },
    }
    path.write_text(json.dumps(whole))
    return path


def test_learns_the_speed_from_a_timed_job(path: Path, tmp_path: Path) -> None:
    # 36 m and 48 plunges at 10 s in 48 min: 36 000 / (2880 - 480) = 15 mm/s, a quarter either way. Derived.
    said = run("learn", str(report(tmp_path, template_mm=36_000, plunges=48)), "--took", "48 min")
    assert "hare: 36.0 m followed, 48 plunges" in said
    assert "hand.speed: 12 to 18.8 mm/s (was 10 to 20 mm/s)" in said
    assert "A plunge was taken as 10 s" in said
    shop = load_shop(path)
    assert (shop.speed_low, shop.speed_high) == pytest.approx((12, 18.8))
    assert "hand.plunge" not in shop.said


def test_learns_the_plunge_too_from_two_jobs(path: Path, tmp_path: Path) -> None:
    # At 15 mm/s and 8 s: 36 000 / 15 + 48 x 8 = 2784 s; 6000 / 15 + 60 x 8 = 880 s. Derived.
    hare = report(tmp_path, template_mm=36_000, plunges=48)
    sign = report(tmp_path, template_mm=6_000, plunges=60, name="sign")
    said = run("learn", str(hare), str(sign), "--took", "2784 s", "--took", "14 min 40 s")
    assert "hand.speed: 12 to 18.8 mm/s" in said
    assert "hand.plunge: 6.4 to 10 s (was 10 s)" in said
    shop = load_shop(path)
    assert (shop.plunge_low, shop.plunge_high) == pytest.approx((6.4, 10))


@pytest.mark.parametrize(
    ("took", "why"),
    [
        (("5 min",), "48 plunges at 10 s would take 480 s alone"),
        (("soon",), "--took “soon” cannot be read"),
        (("48 min", "48 min"), "1 reports and 2 times do not go together"),
    ],
)
def test_learns_nothing_from_what_cannot_be(
    path: Path, tmp_path: Path, took: tuple[str, ...], why: str
) -> None:
    words = [word for one in took for word in ("--took", one)]
    with pytest.raises(JobError, match=why):
        run("learn", str(report(tmp_path, template_mm=36_000, plunges=48)), *words)
    assert not path.exists()
