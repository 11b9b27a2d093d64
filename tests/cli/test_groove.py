"""`groove` at the command line: either way, both units, and sentences where there is no answer."""

import json
import subprocess
import sys

import pytest
import typer
from typer.testing import CliRunner, Result

from tracer.cli.groove import groove
from tracer.errors import BitError, JobError, LengthError, TracerError

APP = typer.Typer()
APP.command()(groove)


def run(*words: str) -> Result:
    return CliRunner().invoke(APP, words)


def answer(*words: str) -> dict[str, object]:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)  # type: ignore[no-any-return]


def test_width_from_depth() -> None:
    lines = run("--depth", "1/8in").stdout.splitlines()
    assert lines[0] == (
        "Bit     V bit, 60 deg included angle (30 deg a side), 1/2 in (12.7 mm) across, sharp tip; "
        "full width at 7/16 in (11.0 mm) deep"
    )
    assert lines[1] == "Depth   1/8 in (3.18 mm)"
    assert lines[2] == "Width   9/64 in (3.67 mm), at most 1/2 in (12.7 mm) with this bit"
    # 2 x 1/64 in x tan 30 deg = 0.458 mm: derived.
    assert lines[3].endswith("1/64 in (0.46 mm) wider")
    assert lines[4].startswith("Passes  1, at 1/8 in deep (at most 1/8 in (3.18 mm) a pass; ")
    assert "maker" in lines[4]
    assert "manual" in lines[4]


def test_depth_from_width() -> None:
    found = answer("--width", "1/8in")
    assert found["depth_mm"] == pytest.approx(2.750, abs=6e-4)  # d = w / (2 tan 30 deg), derived
    assert found["width_mm"] == pytest.approx(3.175)
    assert found["bit"] == "V 60deg 1/2in"


def test_answers_in_the_units_of_the_question_or_as_told() -> None:
    assert "Depth   3 mm (1/8 in)" in run("--depth", "3mm").stdout
    assert "Depth   1/8 in (3 mm)" in run("--depth", "3mm", "--units", "in").stdout
    assert "Depth   3 mm (1/8 in)" in run("--depth", "3", "--units", "mm").stdout


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
        "Sanded  3.4 mm (9/64 in) wide once 0.3 mm (1/64 in) is sanded" in run(*bit, "--depth", "2mm").stdout
    )


def test_passes_at_the_usual_and_at_a_given_limit() -> None:
    assert "Passes  2, at 1/8 in then 1/4 in deep" in run("--depth", "1/4in").stdout
    found = answer("--depth", "4mm", "--limit", "3mm")
    assert found["pass_depths_mm"] == pytest.approx([2.828, 4.0], abs=6e-4)


def test_says_when_there_is_no_room_for_an_error() -> None:
    assert "deeper than this bit can cut" in run("--width", "1/2in").stdout
    assert answer("--width", "1/2in")["wider_if_off_mm"] is None


@pytest.mark.parametrize(
    ("words", "error", "why"),
    [
        ((), JobError, "give --depth or --width, one of the two"),
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
