"""What cannot work is said in one paragraph, with exit status 2, and leaves no trace on the disk."""

import errno
import json
import os
import struct
import sys
import zlib
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from xml.etree import ElementTree

import jsonschema
import PIL.Image
import PIL.ImageDraw
import pytest

from tracer.cli import main
from tracer.model.plan import Plan
from tracer.sheets import pack

ROOT = Path(__file__).parents[2]
DATED = ("--date", "2026-03-01")
SIZED = ("--width", "300 mm", *DATED)
COMMANDS = ("template", "check", "strokes")


@dataclass(frozen=True)
class Answer:
    """What a command ended with; `told` is stderr without the lines that say what is being done."""

    status: int
    out: str
    told: str


class Bench:
    """A folder to run commands in."""

    def __init__(
        self, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        self.folder, self._monkeypatch, self._capsys = folder, monkeypatch, capsys
        self.art = folder / "line.png"
        _line(self.art)

    def run(self, *words: str | Path) -> Answer:
        self._monkeypatch.setattr(sys, "argv", ["tracer", *map(str, words)])
        self._capsys.readouterr()
        try:
            main()
            status: object = 0
        except SystemExit as end:
            status = end.code or 0
        assert isinstance(status, int)
        out, err = self._capsys.readouterr()
        told = [line for line in err.splitlines() if not (line.startswith("  ") and line.endswith(" ..."))]
        return Answer(status, out, "\n".join(told))

    def files(self) -> dict[str, bytes | None]:
        """All that stands in the folder, hidden things too."""
        return {
            str(path.relative_to(self.folder)): None if path.is_dir() else path.read_bytes()
            for path in self.folder.rglob("*")
        }

    def refused(self, *words: str | Path, by_parser: bool = False) -> str:
        """Run what cannot work and return what was said of it; nothing may have changed."""
        before = self.files()
        answer = self.run(*words)
        assert answer.status == 2, answer
        assert answer.out == ""
        assert "Traceback" not in answer.told
        assert "inside the program" not in answer.told
        if not by_parser:
            assert "\n" not in answer.told
            assert len(answer.told.split()) > 4
        assert self.files() == before
        return answer.told


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Bench:
    folder = tmp_path / "bench"
    folder.mkdir()
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "no-shop.toml"))
    monkeypatch.chdir(folder)
    return Bench(folder, monkeypatch, capsys)


def _line(path: Path, kind: str = "PNG") -> None:
    picture = PIL.Image.new("L", (240, 160), 255)
    PIL.ImageDraw.Draw(picture).line((30, 80, 210, 80), fill=0, width=8)
    picture.save(path, kind)


def _chunk(kind: bytes, data: bytes) -> bytes:
    """A PNG chunk (PNG specification, third edition, 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _png_header(width: int, height: int) -> bytes:
    """A PNG that claims a size (IHDR: PNG specification, 11.2.1) and holds next to nothing."""
    header = _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    data = _chunk(b"IDAT", zlib.compress(b"\0" * 64))
    return b"\x89PNG\r\n\x1a\n" + header + data + _chunk(b"IEND", b"")


def _bad_art(kind: str, folder: Path) -> Path:
    path = folder / f"{kind}.png"
    match kind:
        case "folder":
            path.mkdir()
        case "empty":
            path.touch()
        case "text":
            path.write_text("Dear Aunt, here is the picture.")
        case "cut-png" | "cut-jpeg":
            noise = PIL.Image.effect_noise((200, 200), 80)
            noise.save(path, "PNG" if kind == "cut-png" else "JPEG")
            path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
        case "white" | "black":
            PIL.Image.new("L", (100, 100), kind).save(path)
        case "dot":
            PIL.Image.new("L", (1, 1), 0).save(path)
        case "huge":
            path.write_bytes(_png_header(60_000, 60_000))
        case "absurd":
            path.write_bytes(_png_header(2**31 - 1, 2**31 - 1))
    return path


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("missing", "no file"),
        ("folder", "is a folder"),
        ("empty", "0 bytes"),
        ("text", "no picture but seems to be text"),
        ("cut-png", "cut short"),
        ("cut-jpeg", "cut short"),
        ("white", "white.png"),
        ("black", "black.png"),
        ("dot", "1 x 1 pixels"),
        ("huge", "million"),
        ("absurd", "million"),
    ],
)
def test_art_that_is_none(bench: Bench, command: str, kind: str, words: str) -> None:
    out = () if command == "check" else ("-o", bench.folder / "out")
    assert words in bench.refused(command, _bad_art(kind, bench.folder), *out)


@pytest.mark.parametrize("command", ["template", "check"])
@pytest.mark.parametrize(
    ("settings", "words"),
    [
        (("--ratio", "0"), "ratio"),
        (("--ratio", "60"), "ratio"),
        (("--depth", "40 mm"), "deep"),
        (("--depth", "0.001 mm"), "shallow"),
        (("--stops", "2.5"), "whole number"),
        (("--width", "0 mm"), "width"),
        (("--width", "nan mm"), "width"),
        (("--width", "-5 mm"), "width"),
        (("--width", "300"), "width"),
        (("--wood", "cheese"), "cheese"),
        (("--paper", "A77"), "A77"),
        (("--date", "2026-02-30"), "2026-02-30"),
        (("--date", "yesterday"), "yesterday"),
        (("--board", "100 x 100 x 19 mm", "--margin", "50 mm"), "margin"),
        (("--job", "nowhere.toml"), "nowhere.toml"),
    ],
)
def test_settings_that_cannot_be(bench: Bench, command: str, settings: tuple[str, ...], words: str) -> None:
    out = ("-o", bench.folder / "out") if command == "template" else ()
    assert words in bench.refused(command, bench.art, *settings, *out)


@pytest.mark.parametrize(
    "text",
    [
        "[[pieces]\nart=",
        "colour = 'red'\n",
        "\x00\x01",
        "units = 'mm'\nunits = 'in'\n",
        "[board]\nsize = [1]\n",
    ],
)
@pytest.mark.parametrize("command", ["template", "check"])
def test_a_malformed_job_file(bench: Bench, command: str, text: str) -> None:
    (bench.folder / "bad.toml").write_text(text)
    out = ("-o", bench.folder / "out") if command == "template" else ()
    assert "bad.toml" in bench.refused(command, bench.art, "--job", "bad.toml", *out)


def test_a_job_file_that_is_a_folder_or_no_text(bench: Bench) -> None:
    (bench.folder / "a.toml").mkdir()
    (bench.folder / "b.toml").write_bytes(b"\xff\xfe\x00name")
    for name in ("a.toml", "b.toml"):
        assert name in bench.refused("check", "--job", name)


def test_no_picture_at_all(bench: Bench) -> None:
    assert "picture" in bench.refused("check")


def test_strokes_whose_dpi_is_zero(bench: Bench) -> None:
    assert "dpi" in bench.refused("strokes", bench.art, "--dpi", "0", "-o", "out.svg", by_parser=True)


def test_a_pack_where_something_else_stands(bench: Bench) -> None:
    (bench.folder / "file").write_text("mine")
    (bench.folder / "things").mkdir()
    (bench.folder / "things" / "letter.txt").write_text("mine")
    (bench.folder / "pack").mkdir()
    (bench.folder / "pack" / "report.html").write_text("of an earlier job")
    for name, words in (
        ("file", "is a file"),
        ("file/inside", "could not be written"),
        ("things", "letter.txt"),
        ("pack", "--force"),
        ("n" * 300, "could not be written"),
    ):
        assert words in bench.refused("template", bench.art, *SIZED, "-o", name)
    for name in ("file", "things"):  # not even with --force
        bench.refused("template", bench.art, *SIZED, "-o", name, "--force")


def test_strokes_where_something_else_stands(bench: Bench) -> None:
    (bench.folder / "file").write_text("mine")
    (bench.folder / "things").mkdir()
    for name, words in (
        ("file", "--force"),
        ("things", "is a folder"),
        ("nowhere/out.svg", "could not be written"),
        ("file/out.svg", "could not be written"),
        ("n" * 300, "could not be written"),
    ):
        assert words in bench.refused("strokes", bench.art, "-o", name)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_parent_that_is_read_only(bench: Bench) -> None:
    parent = bench.folder / "locked"
    parent.mkdir(mode=0o555)
    bench.refused("template", bench.art, *SIZED, "-o", parent / "out")
    bench.refused("strokes", bench.art, "-o", parent / "out.svg")


def test_steps_kept_in_a_file(bench: Bench) -> None:
    (bench.folder / "file").write_text("mine")
    assert "file" in bench.refused("check", bench.art, *SIZED, "--keep-steps", "file")


def test_a_thick_line_cuts_as_drawn(bench: Bench) -> None:
    answer = bench.run("check", bench.art, *SIZED)
    assert answer.status == 0
    assert "It cuts as drawn." in answer.out


def test_all_strokes_left_out_is_no_fault_of_the_bit(bench: Bench) -> None:
    answer = bench.run("check", bench.art, *SIZED, "--leave-out", "1")
    assert answer.status == 1
    assert answer.out.startswith("Nothing is cut like this: all strokes are left out as you asked.")
    assert "bit will not hold" not in answer.out


def test_web_art_cut_small_has_losses_and_a_sound_record(bench: Bench) -> None:
    """Status 1 where lines are lost; the JSON keeps to the published schema."""
    answer = bench.run("check", ROOT / "sample_art" / "boat-web.png", "--width", "150 mm", *DATED, "--json")
    assert answer.status == 1
    schema = json.loads((ROOT / "docs" / "report.schema.json").read_text("utf-8"))
    record = json.loads(answer.out)
    jsonschema.Draft202012Validator(schema).validate(record)
    assert set(record) == set(schema["properties"]) - {"set_ups"}  # told where there are several
    assert any(finding["severity"] == "loss" for finding in record["findings"])


def _pack(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_same_date_gives_the_same_bytes_and_force_replaces(bench: Bench) -> None:
    first, second = bench.folder / "first", bench.folder / "second"
    for folder in (first, second):
        assert bench.run("template", bench.art, *SIZED, "-o", folder).status == 0
    assert set(_pack(first)) == set(pack.NAMES)
    assert len(pack.NAMES) == 9
    assert _pack(first) == _pack(second)
    again = bench.run("template", bench.art, "--width", "200 mm", *DATED, "-o", second, "--force")
    assert again.status == 0
    assert set(_pack(second)) == set(pack.NAMES)
    assert _pack(second)["template.svg"] != _pack(first)["template.svg"]
    assert sorted(path.name for path in bench.folder.iterdir()) == ["first", "line.png", "second"]


def _disk_full(_: Plan, path: Path) -> None:
    path.write_bytes(b"half a fi")
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_leaves_the_earlier_pack(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    (bench.folder / "pack").mkdir()
    (bench.folder / "pack" / "report.html").write_text("of an earlier job")
    full = MappingProxyType({**pack.FILES, "preview.png": _disk_full})
    monkeypatch.setattr(pack, "FILES", full)
    for folder, force in (("pack", ("--force",)), ("new", ()), ("folders/above/new", ())):
        told = bench.refused("template", bench.art, *SIZED, "-o", folder, *force)
        assert os.strerror(errno.ENOSPC) in told


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ('<script>alert(1)</script> & "it\'s" ]]> --> %s {{ 7 * 7 }}', "<b>&amp; 'q' {{x}}"),
        ("\N{HATCHING CHICK}\N{RIGHT-TO-LEFT OVERRIDE}שלום", "\N{HATCHING CHICK} مرحبا"),
        ("L" * 200, "l" * 200),
        ("tab\tand\nnew line", "a\nb"),
    ],
)
def test_hostile_names(bench: Bench, name: str, stem: str) -> None:
    art = bench.folder / (stem + ".png")
    _line(art)
    keys = ("name", "revision", "finish", "art-from", "allowed-by")
    told = [word for key in keys for word in (f"--{key}", name)]
    answer = bench.run("template", art, *SIZED, *told, "-o", "out")
    assert answer.status == 0, answer
    assert set(_pack(bench.folder / "out")) == set(pack.NAMES)
    page = (bench.folder / "out" / "report.html").read_text("utf-8")
    assert "<script>alert" not in page
    assert "<b>&amp; 'q'" not in page
    for svg in ("template.svg", "carving.svg"):
        ElementTree.parse(bench.folder / "out" / svg)


_TWO = """\
units = "mm"
date = 2026-03-01
name = "Two"
[board]
size = "400 x 200 x 19 mm"
[[pieces]]
art = "line.png"
width = 120
x = 40
y = 60
[[pieces]]
art = "other.png"
width = 120
x = 220
y = 120
turn = 10
"""


def test_two_pieces_on_one_board(bench: Bench) -> None:
    _line(bench.folder / "other.png")
    (bench.folder / "two.toml").write_text(_TWO)
    answer = bench.run("template", "--job", "two.toml", "-o", "out")
    assert answer.status == 0, answer
    record = json.loads((bench.folder / "out" / "report.json").read_text("utf-8"))
    assert [one["name"] for one in record["art"]] == ["line.png", "other.png"]
    assert [stroke["piece"] for stroke in record["strokes"]] == [1, 2]
    assert record["totals"]["plunges"] == 2
    assert [stroke["bounds_mm"][0] for stroke in record["strokes"]] == pytest.approx([40, 220], abs=1e-3)
    assert record["job"]["board"]["size_mm"][:2] == [400, 200]
