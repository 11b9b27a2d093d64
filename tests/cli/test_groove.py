"""`groove` at the command line: either way, both units, and sentences where there is no answer."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner, Result

from tracer.cli.groove import groove
from tracer.errors import BitError, JobError, LengthError, TracerError
from tracer.settle import resolve
from tracer.shop.bits import VBit
from tracer.shop.settings import load_shop
from tracer.shop.shop_file import save_shop
from tracer.shop.shop_words import shop_lines

pytestmark = pytest.mark.usefixtures("no_shop")

APP = typer.Typer()
APP.command()(groove)


@pytest.fixture
def no_shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nobody's own shop file."""
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "none.toml"))


def run(*words: str) -> Result:
    return CliRunner().invoke(APP, words)


def answer(*words: str) -> dict[str, object]:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)  # type: ignore[no-any-return]


def test_width_from_depth() -> None:
    lines = run("--depth", "1/8in").stdout.splitlines()
    assert lines[0] == (
        "Bit       V bit, 60 deg included angle (30 deg a side), 1/2 in (12.7 mm) across, sharp tip; "
        "full width at 7/16 in (11.0 mm) deep"
    )
    assert lines[1] == "Depth     1/8 in (3.18 mm)"
    assert lines[2] == "Width     9/64 in (3.67 mm), at most 1/2 in (12.7 mm) with this bit"
    # 2 x 1/64 in x tan 30 deg = 0.458 mm: derived.
    assert lines[3].endswith("1/64 in (0.46 mm) wider")
    assert lines[4] == "Passes    1, at 1/8 in deep: at most 1/8 in (3.18 mm) a pass"
    assert "maker" in lines[5]
    assert "manual" in lines[5]
    # d^2 tan 30 deg of 3.175 mm is 5.82 mm^2, so much mL a metre; 5.82 / 25.4^2 x 12 in: derived.
    assert lines[6].startswith("Wood      5.82 mL out of each metre (0.11 cubic in a foot)")
    assert len(lines) == 7


def test_depth_from_width() -> None:
    found = answer("--width", "1/8in")
    assert found["depth_mm"] == pytest.approx(2.750, abs=6e-4)  # d = w / (2 tan 30 deg), derived
    assert found["width_mm"] == pytest.approx(3.175)
    assert found["bit"] == "V 60deg 1/2in"


def test_answers_in_the_units_of_the_question_or_as_told() -> None:
    assert "Depth     3 mm (1/8 in)" in run("--depth", "3mm").stdout
    assert "Depth     1/8 in (3 mm)" in run("--depth", "3mm", "--units", "in").stdout
    assert "Depth     3 mm (1/8 in)" in run("--depth", "3", "--units", "mm").stdout


def test_any_bit() -> None:
    assert answer("--bit", "V 60deg 1/2in flat 0.5mm", "--depth", "2mm")["width_mm"] == pytest.approx(
        2.809, abs=6e-4
    )
    assert answer("--bit", "round 1/4in", "--depth", "2mm")["width_mm"] == pytest.approx(5.899, abs=6e-4)
    straight = answer("--bit", "straight 1/8in", "--depth", "5mm")
    assert straight["width_mm"] == 3.175
    assert straight["max_depth_mm"] is None
    assert straight["wider_if_off_mm"] == 0
    assert "no wider" in run("--bit", "straight 1/8in", "--depth", "5mm").stdout


def test_a_line_to_be_sanded_is_cut_deeper() -> None:
    # 90 deg: the line narrows by twice what is sanded off (2 s tan 45 deg), derived.
    bit = ("--bit", "V 90deg 1/2in", "--sanded", "0.3mm")
    asked_width = answer(*bit, "--width", "4mm")
    assert asked_width["depth_mm"] == pytest.approx(2.3)
    assert asked_width["width_mm"] == pytest.approx(4.6)
    assert asked_width["width_after_sanding_mm"] == pytest.approx(4.0)
    assert answer(*bit, "--depth", "2mm")["width_after_sanding_mm"] == pytest.approx(3.4)
    assert (
        "Sanded    3.4 mm (9/64 in) wide once 0.3 mm (1/64 in) is sanded"
        in run(*bit, "--depth", "2mm").stdout
    )


def test_passes_at_the_usual_and_at_a_given_limit() -> None:
    text = run("--depth", "1/4in").stdout
    assert "Passes    2, at 1/8 in then 1/4 in deep" in text
    # Equal wood in a V is at 70.7 % of the depth, 0.177 in: more than 1/8 in. Wood goes with d^2: derived.
    assert "25 % then 75 % of the wood; equal shares, at 11/64 in then 1/4 in, would pass that limit" in text
    found = answer("--depth", "4mm", "--limit", "3mm")
    assert found["pass_depths_mm"] == pytest.approx([2.828, 4.0], abs=6e-4)
    assert found["equal_wood_depths_mm"] == pytest.approx([2.828, 4.0], abs=6e-4)
    assert found["pass_wood_percent"] == pytest.approx([50, 50])
    assert "50 % then 50 % of the wood: equal shares" in run("--depth", "4mm", "--limit", "3mm").stdout


def test_a_board_out_of_flat() -> None:
    # 60 deg V, 0.5 mm high or low: 2 x 0.5 tan 30 deg = 0.577 mm, derived.
    found = answer("--depth", "3mm", "--out-of-flat", "0.5mm")
    assert found["wider_where_high_mm"] == pytest.approx(0.577, abs=6e-4)
    assert found["wider_where_low_mm"] == pytest.approx(-0.577, abs=6e-4)
    text = run("--depth", "3mm", "--out-of-flat", "0.5mm").stdout
    assert "Not flat  0.5 mm (1/64 in) high: 0.58 mm (1/64 in) wider" in text
    assert "0.5 mm (1/64 in) low: 0.58 mm (1/64 in) narrower" in text


def test_a_board_so_uneven_that_the_line_goes() -> None:
    found = answer("--depth", "0.4mm", "--out-of-flat", "0.5mm", "--bit", "V 90deg 1/2in")
    assert found["wider_where_low_mm"] == pytest.approx(-0.8)  # all of it
    assert "low: the line is gone" in run("--depth", "0.4mm", "--out-of-flat", "0.5mm").stdout
    deep = run("--depth", "10.8mm", "--out-of-flat", "0.5mm").stdout
    assert "high: deeper than this bit can cut" in deep
    straight = run("--bit", "straight 1/8in", "--depth", "3mm", "--out-of-flat", "0.5mm").stdout
    assert "high: no wider" in straight
    assert "low: no narrower" in straight


def test_wood_removed_and_speed() -> None:
    # 90 deg V, 3 mm deep: 9 mm^2, 9 mL a metre. 1/2 in at 24000 turns a minute: pi D n, 16.0 m/s. Derived.
    found = answer("--bit", "V 90deg 1/2in", "--depth", "3mm", "--rpm", "24000")
    assert found["wood_ml_per_m"] == pytest.approx(9.0)
    assert found["rim_speed_m_per_s"] == pytest.approx(16.0, abs=0.06)
    assert found["rim_speed_ft_per_min"] == pytest.approx(3142, abs=0.6)
    assert found["rim_speed_mph"] == pytest.approx(35.7, abs=0.06)
    assert found["usual_rpm_limit"] == 24_000
    text = run("--depth", "3mm", "--rpm", "24000 rpm").stdout
    assert "usually at most 24000 turns a minute" in text
    assert "The bit's own marking comes first" in text
    assert "TOO FAST" not in text


def test_a_wide_bit_turned_too_fast() -> None:
    # Published charts stop at 18 000 for a bit of 2 in.
    assert "TOO FAST" not in run("--bit", "V 90deg 2in", "--depth", "3mm", "--rpm", "18000").stdout
    text = run("--bit", "V 90deg 2in", "--depth", "3mm", "--rpm", "18001").stdout
    assert "TOO FAST for a bit so wide: usually at most 18000" in text
    assert "The bit's own marking comes first" in text


def test_a_bit_by_its_name_in_the_shop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text('[[bits]]\nname = "Fine V"\nspec = "V 30deg 1/4in"\n')
    monkeypatch.setenv("TRACER_SHOP", str(shop))
    assert answer("--bit", "fine v", "--depth", "1mm")["bit"] == "V 30deg 1/4in"
    assert isinstance(run("--bit", "coarse v", "--depth", "1mm").exception, BitError)


def test_a_measured_groove_gives_the_bit_back() -> None:
    # 0.5 + 4 tan 30 deg = 2.809 mm: derived.
    text = run("--measured", "2.81mm", "--depth", "2mm").stdout
    assert (
        "Tip flat   0.50 mm (0.020 in), sure to 0.15 mm (0.006 in) either way; it was said to be sharp"
        in text
    )
    assert answer("--measured", "2.81mm", "--depth", "2mm")["true_bit"] == "V 60deg 1/2in flat 0.5mm"
    two = answer("--measured", "1.408mm", "--depth", "1mm", "--measured", "3.625mm", "--depth", "3mm")
    assert two["true_bit"] == "V 58deg 1/2in flat 0.3mm"


def test_a_measured_bit_is_kept_and_the_next_plan_takes_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    shop = tmp_path / "shop.toml"
    monkeypatch.setenv("TRACER_SHOP", str(shop))
    words = ("--measured", "2.81mm", "--depth", "2mm", "--save", "--date", "2026-11-26")
    assert "which plans take where no other is said" in run(*words).stdout
    job = resolve({}, shop=load_shop())
    assert job.bit == VBit(60.0, 12.7, flat=0.5)
    assert job.origin("bit") == "from the shop file, measured 2026-11-26"
    assert resolve({"bit": "V 60deg 1/2in"}, shop=load_shop()).origin("bit").endswith("measured 2026-11-26")
    assert answer("--depth", "2mm")["width_mm"] == pytest.approx(2.809, abs=6e-4)
    assert any(line.known == "measured 2026-11-26" for line in shop_lines(load_shop()))
    said = run("--bit", "round 1/4in", "--measured", "5.7mm", "--depth", "2mm", "--save").stdout
    assert 'which a plan takes with --bit "round 1/4in"' in said
    save_shop({"bits.V 60deg 1/2in": "V 60deg 1/2in"})  # a new one, which nobody measured
    assert "V 60deg 1/2in" not in load_shop().bits_measured


def test_what_does_not_part_from_the_marking_is_kept_as_marked_with_its_day(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "shop.toml"))
    grooves = ("--measured", "1.4mm", "--depth", "1mm", "--measured", "3.8mm", "--depth", "3mm")
    said = run(*grooves, "--save", "--date", "2026-11-26").stdout
    assert 'Saved as "V 60deg 1/2in", as said, measured 2026-11-26' in said
    job = resolve({}, shop=load_shop())
    assert job.bit == VBit(60.0, 12.7)
    assert job.origin("bit") == "from the shop file, measured 2026-11-26"


def test_says_when_there_is_no_room_for_an_error() -> None:
    assert "deeper than this bit can cut" in run("--width", "1/2in").stdout
    assert answer("--width", "1/2in")["wider_if_off_mm"] is None


@pytest.mark.parametrize(
    ("words", "error", "why"),
    [
        ((), JobError, "give --depth or --width, one of the two"),
        (("--depth", "1mm", "--depth", "2mm"), JobError, "give --depth or --width, one of the two"),
        (("--measured", "2mm"), JobError, "1 measured widths and 0 depths do not go together"),
        (("--measured", "2mm", "--depth", "1mm", "--width", "2mm"), JobError, "give one of the two"),
        (("--depth", "1mm", "--save"), JobError, "only a measured bit is kept"),
        (
            ("--measured", "2mm", "--depth", "1mm", "--rpm", "9000"),
            JobError,
            "--rpm asks of a groove to be cut",
        ),
        (("--measured", "2mm", "--depth", "1mm", "--date", "2026-11-26"), JobError, "give --save with it"),
        (("--depth", "1mm", "--width", "1mm"), JobError, "one of the two"),
        (("--depth", "1in"), BitError, "too deep"),
        (("--depth", "3"), LengthError, "depth “3” has no unit"),
        (("--width", "2in"), BitError, "more than this V bit cuts"),
        (("--width", "1/2in", "--sanded", "1mm"), BitError, "too deep"),
        (("--depth", "1mm", "--sanded", "1mm"), BitError, "takes the whole groove away"),
        (("--bit", "straight 1/8in", "--width", "1/8in"), BitError, "at any depth"),
        (("--bit", "nonsense", "--depth", "1mm"), BitError, "does not begin with its kind"),
        (("--depth", "1mm", "--limit", "0mm"), LengthError, "limit “0mm” is 0"),
        (("--depth", "9mm", "--limit", "0.01mm"), BitError, "100 at most"),
        (("--depth", "1mm", "--out-of-flat", "0mm"), LengthError, "out of flat “0mm” is 0"),
        (("--depth", "1mm", "--rpm", "fast"), JobError, "--rpm is “fast”; a number is expected"),
        (("--depth", "1mm", "--rpm", "24"), JobError, "--rpm is “24”; 1000 to 60000 is expected"),
    ],
)
def test_refuses_with_a_sentence_and_prints_no_answer(
    words: tuple[str, ...], error: type[TracerError], why: str
) -> None:
    result = run(*words)
    assert type(result.exception) is error
    assert why in str(result.exception)
    assert not result.stdout


def test_loads_nothing_heavy() -> None:
    code = (
        "import sys, tracer.cli.groove, tracer.lengths, tracer.shop.bits\n"
        "heavy = {'numpy', 'cv2', 'scipy', 'PIL', 'shapely', 'skimage'} & set(sys.modules)\n"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
