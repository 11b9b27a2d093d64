"""Packs written by several processes: the same bytes, and nothing lost where one comes to grief."""

import subprocess
import sys
from pathlib import Path

import pytest
from sheets.plans import small_plan

from tracer.errors import OutputError
from tracer.sheets import hands, pack


def _pack(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def _silent(_: str) -> None:
    pass


@pytest.fixture
def alone(tmp_path: Path) -> dict[str, bytes]:
    pack.write_pack(small_plan(), tmp_path / "alone", force=False, art={}, say=_silent)
    return _pack(tmp_path / "alone")


def test_hands_write_the_same_pack(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, alone: dict[str, bytes]
) -> None:
    monkeypatch.delenv(hands.ALONE)
    plan, writers = small_plan(), pack._writers(small_plan(), {}, None)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    with hands.hired() as both:
        assert both is not None
        written = both.begin(plan, tmp_path, writers)
        assert [name for name in writers if not written(name)] == []
    assert {name: (tmp_path / name).read_bytes() for name in writers} == alone


@pytest.mark.parametrize("says", ["import sys; sys.exit(1)", "import sys; sys.stdin.read(); sys.exit(3)"])
def test_what_a_hand_fails_to_write_is_written_here(
    tmp_path: Path, alone: dict[str, bytes], says: str
) -> None:
    broken = {share: _process(says) for share in range(len(hands.SHARES))}
    pack.write_pack(
        small_plan(), tmp_path / "pack", force=False, art={}, say=_silent, hands=hands.Hands(broken)
    )
    assert _pack(tmp_path / "pack") == alone


def test_a_hand_that_cannot_write_leaves_the_sentence_to_this_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack, "FILES", {"template.pdf": _full})
    with pytest.raises(OutputError, match="could not be written"):
        pack.write_pack(
            small_plan(),
            tmp_path / "pack",
            force=False,
            art={},
            say=_silent,
            hands=hands.Hands({0: _process("import sys; sys.exit(1)")}),
        )


def test_no_hand_is_hired_where_there_is_one_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    with hands.hired() as asked_not_to:
        assert asked_not_to is None
    monkeypatch.delenv(hands.ALONE)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    with hands.hired() as few:
        assert few is None


def test_hands_go_when_the_command_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(hands.ALONE)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    started: list[subprocess.Popen[bytes]] = []

    def start(_: int) -> "subprocess.Popen[bytes]":
        started.append(_process("import sys; sys.stdin.read()"))
        return started[-1]

    monkeypatch.setattr(hands, "_started", start)
    with pytest.raises(ZeroDivisionError), hands.hired():
        raise ZeroDivisionError
    assert len(started) == len(hands.SHARES)
    assert all(process.poll() is not None for process in started)


def _full(_plan: object, _path: Path) -> None:
    raise OSError(28, "No space left on device")


def _process(says: str) -> "subprocess.Popen[bytes]":
    return subprocess.Popen([sys.executable, "-c", says], stdin=subprocess.PIPE)
