"""`tracer letters`: words in, a pack out; what cannot be is said in a sentence."""

import html
import json
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest
from any_face import AnyFace
from typer.testing import CliRunner

import tracer.letters.faces
import tracer.pipeline
from tracer.cli import app
from tracer.errors import TracerError
from tracer.lettering import Lettering
from tracer.model.plan import Plan
from tracer.sheets.pack import NAMES

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "report.schema.json").read_text("utf-8"))
DATED = ("--date", "2026-03-01")


@pytest.fixture(autouse=True)
def made_by_hand(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """All words are set in the face made by hand: what fonts do is tested with them."""
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "none.toml"))
    monkeypatch.setattr(
        tracer.letters.faces, "face_named", lambda lettering: AnyFace(single=lettering.cut == "middle")
    )


@pytest.fixture
def unwritten(monkeypatch: pytest.MonkeyPatch) -> list[Plan]:
    """The plans that would have been written."""
    plans: list[Plan] = []
    monkeypatch.setattr(tracer.pipeline, "write", lambda plan, *_, **__: plans.append(plan))
    return plans


def run(*words: str | Path) -> str:
    result = CliRunner().invoke(app, [*map(str, words)], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def record_of(folder: Path) -> dict[str, object]:
    assert {path.name for path in folder.iterdir()} >= set(NAMES)
    found: dict[str, object] = json.loads((folder / "report.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(SCHEMA).validate(found)
    return found


def pieces(folder: Path) -> list[dict[str, object]]:
    record = record_of(folder)
    assert isinstance(record["art"], list)
    return record["art"]


def test_letters_that_the_sheets_cannot_show_are_told_before_a_file_is_written(tmp_path: Path) -> None:
    answer = run("letters", "ab", "--height", "35 mm", "--finish", "\u6f06", *DATED, "-o", tmp_path / "a")
    told = answer.index('The sheets print "?" for letters that their type lacks')
    assert answer.index("setting") < told < answer.index("writing template.pdf")
    assert answer.count("type lacks") == 1


def test_a_pack_that_is_out_of_reach_is_written_and_ends_with_status_1(unwritten: list[Plan]) -> None:
    words = ["letters", "ab", "--height", "300 mm", "--reach", "20 mm x 20 mm", "-o", "nowhere"]
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert len(unwritten) == 1
    assert "It cannot be cut with this reach." in result.output
    assert result.exit_code == 1
    words[5] = "900 mm x 900 mm"
    assert CliRunner().invoke(app, words, catch_exceptions=False).exit_code == 0


def test_words_become_a_pack_with_their_capitals_as_high_as_said(tmp_path: Path) -> None:
    answer = run("letters", "ab", r"c\nde", "--height", "35 mm", "--pitch", "2", *DATED, "-o", tmp_path / "a")
    assert "“ab c de”: capitals 35 mm (1 3/8 in) high, in Any (none needed).\n" in answer
    (piece,) = pieces(tmp_path / "a")
    assert (piece["kind"], piece["name"], piece["sha256"]) == ("words", "ab c de", "")
    assert piece["words"] == {
        "text": "ab\nc\nde", "face": "Any", "licence": "none needed", "cap_height_mm": 35.0, "cut": "middle",
        "raised": False, "align": "centre", "tracking": 0.0, "pitch": 2.0, "arc_mm": None,
    }  # fmt: skip
    record = record_of(tmp_path / "a")
    # Three lines: two pitches of 2 x 35 mm and a capital; two letters 600 of 700 of it apart.
    assert record["job"]["size_mm"] == pytest.approx([30.0, 175.0])  # type: ignore[index]
    assert record["job"]["name"] == "ab c de"  # type: ignore[index]


def test_every_option_reaches_the_words(unwritten: list[Plan], monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []
    monkeypatch.setattr(tracer.letters.faces, "face_named", lambda one: seen.append(one) or AnyFace())
    options = {
        "font": "oak.ttf", "instance": "Bold", "height": "20 mm", "cut": "outline", "align": "right",
        "tracking": "0.1", "pitch": "1.5", "arc": "-300 mm",
    }  # fmt: skip
    typed = [word for name, value in options.items() for word in (f"--{name}", value)]
    run("letters", "ab", *typed, "--raised", "-o", "out")
    (one,) = seen
    assert (one.words, one.face, one.instance, one.height) == ("ab", "oak.ttf", "Bold", 20.0)
    assert (one.cut, one.raised, one.align, one.tracking) == ("outline", True, "right", 0.1)
    assert (one.pitch, one.arc) == (1.5, -300.0)


@pytest.mark.parametrize(
    ("sized", "width", "height"),
    [
        (("--fit", "300 x 80 mm"), 80 / 700 * 1100, 80.0),
        (("--fit", "4 x 10 in"), 101.6, 101.6 / 1100 * 700),
        (("--fit", "board", "--board", "400 x 101.833 x 19 mm"), 60 / 700 * 1100, 60.0),
        (("--board", "400 x 101.833 x 19 mm"), 60 / 700 * 1100, 60.0),
        ((), 200.0, 200 / 1100 * 700),
    ],
)
def test_sizes(unwritten: list[Plan], sized: tuple[str, ...], width: float, height: float) -> None:
    run("letters", "ab", *sized, "--cut", "outline", "-o", "out")
    x0, y0, x1, y1 = unwritten[0].layout.extent
    assert (x1 - x0, y1 - y0) == pytest.approx((width, height), abs=1e-3)


def _job(folder: Path, pieces: str) -> Path:
    path = folder / "my.toml"
    path.write_text(f"[[pieces]]\n{pieces}\n", encoding="utf-8")
    return path


def test_options_go_over_the_words_of_a_job_file(tmp_path: Path, unwritten: list[Plan]) -> None:
    path = _job(tmp_path, "words = 'ab'\ncap-height = '20 mm'\ntracking = 0.5")
    run("letters", "--job", path, "--height", "30 mm", "-o", "out")
    marks = unwritten[0].layout.pieces[0].drawing.marks
    assert marks is not None
    assert marks.lettering == Lettering("ab", height=30.0, tracking=0.5)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ((), "Nothing to carve was named"),
        (("",), "the text of the words has nothing to cut in it"),
        ((" ", r"\n"), "the text of the words has nothing to cut in it: say what is to be carved"),
        (("a" * 10_000,), "the text of the words has 10000 characters, and at most 1000"),
        (("ab", "--height", "40"), "--height “40” has no unit"),
        (("ab", "--height", "40 mm", "--fit", "board"), "--height and --fit both say how large"),
        (("ab", "--fit", "board"), "--fit board needs to know the board: say --board"),
        (("ab", "--fit", "300 mm"), "--fit “300 mm” has 1 length;"),
        (("ab", "--fit", "3 x 0.5 mm"), "--fit is “3 x 0.5 mm”; 1 mm and more are expected both ways"),
        (("ab", "--fit", "40 x 1.5 mm"), r"“ab” is to fit into 1.5 mm .*, and the groove alone is 1.83 mm"),
        (("a" * 90, "--fit", "40 x 40 mm"), r"capitals of .* would be 0.5\d mm .* lowest that are cut"),
        (("ab", "--fit", "30 x 40"), "--fit “30 x 40” leaves a number without a unit"),
        (("ab", "--cut", "edge"), "--cut is “edge”; middle"),
        (("ab", "--raised"), "--raised: letters that stand .* cut outline or cleared with it, and a font"),
        (("ab", "--cards", "biggest"), "--cards is “biggest”; smallest is expected, or the size"),
        (("ab", "--cards", "-1 x 5 in"), "--cards “-1 x 5 in” has a negative length; each must exceed 0:"),
        (("ab", "--arc", "300 mm"), "--arc is “300 mm”; an arc needs the capitals' height with it"),
        (("ab", "--tracking", "wide"), "--tracking is “wide”; a number is expected"),
        (("ab", "--job", "nowhere.toml"), "nowhere.toml is not there"),
        (
            (
                "--height",
                "3 mm",
            ),
            "--height is about words, and none are named: type them, or name a job file",
        ),
    ],
)
def test_what_cannot_be(tmp_path: Path, typed: tuple[str, ...], why: str) -> None:
    with pytest.raises(TracerError, match=why):
        run("letters", *typed, "-o", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_pictures_are_not_asked_about(tmp_path: Path) -> None:
    for option in ("--dpi", "--width", "--known", "--deskew"):
        result = CliRunner().invoke(app, ["letters", "ab", option, "300", "-o", str(tmp_path / "out")])
        assert result.exit_code == 2
        assert "No such option" in result.output


HOSTILE = [
    '<script>alert(1)</script> & "it\'s" ]]> --> %s {{ 7 * 7 }}',
    "\N{RIGHT-TO-LEFT OVERRIDE}שלום \N{HATCHING CHICK} مرحبا",
    "</svg>" + "é" * 244,
]


@pytest.mark.parametrize("words", HOSTILE)
def test_words_are_shown_as_text_everywhere(tmp_path: Path, words: str) -> None:
    run("letters", words, "--height", "6 mm", *DATED, "-o", tmp_path / "a")
    page = (tmp_path / "a" / "report.html").read_text("utf-8")
    assert "<script>alert" not in page
    assert "</svg>é" not in page
    title = page.split("<h1", 1)[1].split("</h1>")[0]
    assert html.escape(words.strip("\u202e")[:15], quote=False) in title.replace("&#39;", "'").replace(
        "&#34;", '"'
    )
    (piece,) = pieces(tmp_path / "a")
    assert piece["words"]["text"] == words  # type: ignore[index]
    assert len(str(piece["name"])) <= 40
    for svg in ("template.svg", "carving.svg"):
        ElementTree.parse(tmp_path / "a" / svg)


def test_a_picture_words_and_a_border_are_each_told_as_what_they_are(tmp_path: Path) -> None:
    (tmp_path / "hare.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="30mm" viewBox="0 0 60 30">'
        '<path d="M5 5h50v20h-50z" fill="none" stroke="#000" stroke-width="2"/></svg>'
    )
    path = _job(
        tmp_path,
        "name = 'hare'\nart = 'hare.svg'\n[[pieces]]\nwords = 'ab'\ncap-height = '20 mm'\nbelow = 'hare'\n"
        "[[pieces]]\nborder = '15 mm'",
    )
    answer = run("template", "--job", path, *DATED, "-o", tmp_path / "a")
    assert "hare.svg, scale: " in answer
    assert "“ab”: capitals 20 mm (25/32 in) high, in Any" in answer
    assert "border, scale" not in answer
    told = pieces(tmp_path / "a")
    assert [(one["kind"], one["name"]) for one in told] == [
        ("art", "hare"),
        ("words", "ab"),
        ("border", "border"),
    ]
    page = (tmp_path / "a" / "report.html").read_text("utf-8")
    changed = page.split('id="clean-up"', 1)[1]
    assert "<bdi>hare</bdi>" in changed
    assert "<bdi>ab</bdi>" not in changed
    assert "<bdi>border</bdi>" not in changed
