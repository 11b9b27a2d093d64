"""`ratio` at the command line: measured, read off a dial, kept, and what it does to a piece."""

import datetime
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner, Result

from tracer.cli.ratio import ratio
from tracer.errors import BitError, JobError, LengthError, TracerError
from tracer.shop.linkage import Linkage
from tracer.shop.settings import load_shop

APP = typer.Typer()
APP.command()(ratio)

SQUARE = ("--traced", "200mm", "--cut", "119 x 118.6 mm")
SKEW = ("--traced", "200mm", "--cut", "119 x 116 mm")


@pytest.fixture(autouse=True)
def shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    path = tmp_path / "shop.toml"
    monkeypatch.setenv("TRACER_SHOP", str(path))
    return path


def run(*words: str) -> Result:
    return CliRunner().invoke(APP, words)


def said(*words: str) -> str:
    result = run(*words)
    assert result.exit_code == 0, result.exception
    return result.stdout


def answer(*words: str) -> dict[str, Any]:
    return json.loads(said(*words, "--json"))  # type: ignore[no-any-return]


def test_shows_the_ratio_and_how_to_measure_it(shop: Path) -> None:
    text = said()
    assert "the carving is half of the template (1:2), assumed" in text
    assert "print at 200.00 % of the finished size" in text
    assert "Print a square of 200 mm" in text
    assert "from middle to middle" in text
    assert "Print a square of 8 in" in said("--units", "in")
    assert max(map(len, text.splitlines())) <= 100
    assert not shop.exists()


def test_shows_what_the_shop_file_holds(shop: Path) -> None:
    shop.write_text('units = "in"\n[linkage]\nratio = "59.5%"\n')
    assert "(1:1.681), said in the shop file, not measured" in said()
    assert "Print a square of 8 in" in said()
    shop.write_text('[linkage]\nratio = "59.5%"\nmeasured = 2026-11-01\n')
    assert "(1:1.681), measured 2026-11-01" in said()


def test_ratio_from_a_traced_square() -> None:
    # 119 / 200 = 0.595; print at 100 / 0.595 = 168.07 %. Derived.
    found = answer("--traced", "200mm", "--cut", "119mm")
    assert found["ratio"]["value"] == pytest.approx(0.595)
    assert found["ratio"]["template_percent"] == pytest.approx(168.07, abs=0.006)
    # Root of (0.25 / 119)^2 + (0.5 / 200)^2 is 0.326 %, 0.98 mm of 300: derived.
    assert found["trace"]["doubt_percent"] == pytest.approx(0.326, abs=6e-4)
    assert found["trace"]["size_doubt_mm"] == pytest.approx(0.98, abs=6e-3)
    text = said("--traced", "200mm", "--cut", "119mm", "--size", "600mm")
    assert "0.33 % either way" in text
    assert "1.96 mm (5/64 in) on a piece of 600 mm" in text


def test_rules_read_nearer_leave_less_doubt() -> None:
    # Root of (0.1 / 119)^2 + (0.1 / 200)^2 is 0.0978 %: derived. Axes 0.4 % apart then tell of the linkage.
    found = answer("--traced", "200mm", "--cut", "119mm", "--read-to", "0.1mm")
    assert found["trace"]["doubt_percent"] == pytest.approx(0.0978, abs=6e-5)
    assert answer(*SQUARE)["trace"]["unequal"] is False
    assert answer(*SQUARE, "--read-to", "0.1mm")["trace"]["unequal"] is True


def test_two_axes_that_agree_and_two_that_do_not() -> None:
    assert "the same as nearly as rules are read" in said(*SQUARE)
    assert answer(*SQUARE)["ratio"]["value"] == pytest.approx(0.594)
    text = said(*SKEW)
    assert "across 59.5 %, down 58 %" in text
    assert "out of square or sprung" in text
    assert "a circle 300 mm wide comes out 292.4 mm high" in text  # 300 x 116 / 119, derived
    assert answer(*SKEW)["trace"]["unequal"] is True
    oblong = answer("--traced", "200 x 100 mm", "--cut", "119 x 59.5 mm")
    assert oblong["trace"]["unequal"] is False
    assert oblong["ratio"]["value"] == pytest.approx(0.595)


def test_a_dial_is_shown_both_ways() -> None:
    # 100 / 0.6 = 166.67 %; 300 mm printed for one and cut at the other: 200 or 450 mm. Derived.
    dial = answer("--dial", "60", "--size", "300mm")["dial"]
    assert dial["reduced_to"] == pytest.approx(
        {
            "ratio": 0.6,
            "template_percent": 166.667,
            "template_mm": 500,
            "comes_out_if_other_mm": 200,
            "comes_out_if_other_percent": 66.667,
        },
        rel=1e-5,
    )
    assert dial["reduced_by"]["comes_out_if_other_mm"] == pytest.approx(450)
    lines = said("--dial", "60").splitlines()
    rows = [line.split()[-2:] for line in lines if line.split()[-1:] == ["mm"] and "    " in line.strip()]
    assert rows == [["750", "mm"], ["450", "mm"]]
    assert any(line.split()[-4:] == ["166.67", "%", "250.00", "%"] for line in lines)
    assert any(line.split()[-4:] == ["67", "%", "150", "%"] for line in lines)
    assert 'it cuts 120 mm if "to" is right, 80 mm if "by" is' in lines[-1]
    assert "assumed" not in said("--dial", "60")


def test_a_dial_at_fifty_is_safe() -> None:
    assert "50 is safe: both are the same." in said("--dial", "50%")
    assert answer("--dial", "50", "--size", "300mm")["dial"]["reduced_by"]["comes_out_if_other_mm"] == 300


@pytest.mark.parametrize(
    ("cut", "meant"), [("119mm", '"to" is right'), ("81mm", '"by" is right'), ("100mm", "neither")]
)
def test_what_was_measured_settles_a_dial(cut: str, meant: str) -> None:
    assert meant in said("--dial", "60", "--traced", "200mm", "--cut", cut).splitlines()[-1]


def test_a_ratio_measured_before_settles_a_dial(shop: Path) -> None:
    shop.write_text('[linkage]\nratio = "40.2%"\nmeasured = 2026-11-01\n')
    assert 'You measured 40.2 %: "by" is right' in said("--dial", "60")
    assert "Trace" not in said("--dial", "60")
    assert "To settle it" in said("--dial", "60", "--ratio", "40.2%")  # said, not measured


def test_stylus_for_an_edge() -> None:
    # w / k: 1/8 in at 0.4 is 5/16 in; (w - k D) / 2 of 3.175 mm both at 0.5 is 0.794 mm. Derived.
    edge = answer("--ratio", "40%", "--groove", "1/8in")["edge"]
    assert edge["stylus_diameter_mm"] == pytest.approx(7.9375)
    assert edge == answer("--ratio", "40%", "--bit", "straight 1/8in", "--depth", "2mm")["edge"]
    words = ("--ratio", "1:2", "--groove", "3.175mm", "--stylus")
    assert answer(*words, "3.175mm")["edge"]["overrun_mm"] == pytest.approx(0.794, abs=6e-4)
    assert "it runs past the edge by 0.79 mm" in said(*words, "3.175mm")
    assert "it stays short of the edge by 0.41 mm" in said(*words, "8mm")  # (3.175 - 4) / 2
    assert "it runs past" not in said(*words[:-1])
    assert "to size" in said(*words, "6.35mm")


def test_hand_on_the_wood(shop: Path) -> None:
    # k e; with play of 0.3 mm the root of (k e)^2 + 0.3^2 is 0.583. Derived.
    hand = answer("--hand", "1mm", "--ratio", "60%")["hand"]
    assert hand["on_wood_mm"] == pytest.approx(0.6)
    assert hand["force_share"] == pytest.approx(0.6)
    assert "no play at the router is counted" in said("--hand", "1mm")
    shop.write_text('[linkage]\nratio = 0.5\nplay = "0.3 mm"\n')
    assert answer("--hand", "1mm")["hand"]["on_wood_mm"] == pytest.approx(0.583, abs=6e-4)
    assert "play of 0.3 mm at the router is in it, and is not made smaller" in said("--hand", "1mm")


def test_size_and_set_ups(shop: Path) -> None:
    shop.write_text('[linkage]\nratio = 0.5\nreach = "200 x 300 mm"\n')
    # ceil((500 - 20) / (200 - 20)) = 3; 500 sin 1 deg = 8.73 mm: derived.
    size = answer("--size", "500mm")["size"]
    assert size["template_mm"] == pytest.approx(1000)
    assert size["set_ups"] == 3
    assert size["drift_at_1_deg_mm"] == pytest.approx(8.726, abs=6e-4)
    assert "3 set-ups of 200 mm (7 7/8 in), sharing 20 mm" in said("--size", "500mm")
    assert "set_ups" not in answer("--size", "200mm")["size"]


def test_keeps_what_was_measured_with_its_day(shop: Path) -> None:
    shop.write_text('# ours\n[linkage]\nplay = "0.3 mm"  # felt\n')
    text = said(*SQUARE, "--save", "--date", "2026-11-02")
    assert f"59.4 %, measured 2026-11-02, in {shop}" in text
    assert load_shop().linkage == Linkage(
        pytest.approx(0.594), measured_on=datetime.date(2026, 11, 2), play=0.3
    )
    assert "# felt" in shop.read_text()
    said("--traced", "200mm", "--cut", "100mm", "--save")
    linkage = load_shop().linkage
    assert linkage is not None
    assert linkage.ratio == 0.5
    assert linkage.measured_on == datetime.date.today()


@pytest.mark.parametrize(
    ("words", "error", "why"),
    [
        (("--traced", "200mm"), JobError, "give both, as --traced 200mm --cut 119mm"),
        (("--cut", "119mm"), JobError, "give both"),
        (("--traced", "200", "--cut", "119"), LengthError, "--traced “200” leaves a number without a unit"),
        (("--traced", "119mm", "--cut", "200mm"), LengthError, "bigger than the template"),
        (("--traced", "200 x 200 mm", "--cut", "119mm"), JobError, "give both sides cut"),
        (("--traced", "0mm", "--cut", "119mm"), LengthError, "--traced “0mm” is 0"),
        ((*SQUARE, "--ratio", "0.6"), JobError, "either measured or said"),
        (("--read-to", "0.1mm"), JobError, "give --traced and --cut with it"),
        ((*SQUARE, "--read-to", "0mm"), LengthError, "--read-to “0mm” is 0"),
        (("--save",), JobError, "only a measured ratio is kept"),
        (("--ratio", "50%", "--save"), JobError, "only a measured ratio is kept"),
        ((*SQUARE, "--date", "2026-11-02"), JobError, "give --save with it"),
        ((*SQUARE, "--save", "--date", "yesterday"), JobError, "a day is expected, year first"),
        ((*SKEW, "--save"), JobError, "no one ratio fits both: set the linkage square"),
        (("--ratio", "60"), LengthError, "--ratio “60” can be read two ways"),
        (("--dial", "sixty"), LengthError, "--dial “sixty” is no per cent"),
        (("--groove", "3mm", "--bit", "straight 3mm"), JobError, "either said or cut by a bit"),
        (("--bit", "straight 3mm"), JobError, "give both --bit and --depth"),
        (("--depth", "3mm"), JobError, "give both --bit and --depth"),
        (("--bit", "V 60deg 6mm", "--depth", "30mm"), BitError, "too deep"),
        (("--stylus", "3mm"), JobError, "--stylus is for a groove that follows an edge"),
        (("--hand", "a bit"), LengthError, "--hand “a bit”"),
        (("--size", "wide"), LengthError, "--size “wide”"),
    ],
)
def test_refuses_with_a_sentence_and_changes_nothing(
    shop: Path, words: tuple[str, ...], error: type[TracerError], why: str
) -> None:
    result = run(*words)
    assert type(result.exception) is error
    assert why in str(result.exception)
    assert not result.stdout
    assert not shop.exists()


def test_loads_nothing_heavy() -> None:
    code = (
        "import sys, tracer.cli.ratio, tracer.shop.learn, tracer.shop.groove_words\n"
        "heavy = {'numpy', 'cv2', 'scipy', 'PIL', 'shapely', 'skimage', 'tomlkit'} & set(sys.modules)\n"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
