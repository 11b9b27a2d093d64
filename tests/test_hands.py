"""Work done by another process: the same packs, and nothing lost where one comes to grief."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from sheets.plans import small_plan

from tracer import hands, pipeline
from tracer.errors import OutputError
from tracer.job import Job, PieceSpec
from tracer.sheets import pack

SAMPLES = Path(__file__).parents[1] / "sample_art"

linux = pytest.mark.skipif(sys.platform != "linux", reason="hands are copies of the process, on Linux")

FORKS = """
import os, sys
from tracer.cli import main
forks, fork = [], os.fork
os.fork = lambda: forks.append(1) or fork()
try:
    main()
finally:
    print("forks", len(forks))
"""
"""A command that says in the end how many hands it had."""


@pytest.fixture
def forking(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a machine where hands can be had, whatever threads the tests' libraries have begun."""
    monkeypatch.setattr(hands, "_can_fork", lambda: True)


def _packed(folder: Path, env: dict[str, str]) -> str:
    art = str(SAMPLES / "boat-web.png")
    command = [sys.executable, "-c", FORKS, "template", art, "--width", "60mm", "-o", str(folder)]
    return subprocess.run(command, env=env, capture_output=True, text=True, check=True).stdout


@linux
@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="with one processor there are no hands")
def test_packs_are_the_same_with_hands_and_without(tmp_path: Path) -> None:
    alone = dict(os.environ)
    assert "forks 0" in _packed(tmp_path / "alone", alone)
    assert "forks 4" in _packed(tmp_path / "shared", {k: v for k, v in alone.items() if k != hands.ALONE})
    one, other = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("alone", "shared")
    )
    assert one == other


@linux
@pytest.mark.usefixtures("forking")
def test_another_process_does_the_work_and_is_gone_after() -> None:
    with hands.meanwhile(os.getpid) as process:
        assert process() == process() != os.getpid()
    with pytest.raises(ProcessLookupError):
        os.kill(process(), 0)


def _only_here(how: Callable[[], object]) -> Callable[[], int]:
    """Return work that comes to grief in another process."""
    here = os.getpid()

    def work() -> int:
        if os.getpid() != here:
            how()
        return os.getpid()

    return work


def _error() -> None:
    raise ZeroDivisionError


def _interrupt() -> None:
    raise KeyboardInterrupt


def _kill() -> None:
    os.kill(os.getpid(), 9)


@linux
@pytest.mark.usefixtures("forking")
@pytest.mark.parametrize("how", [_error, _interrupt, _kill])
def test_what_a_hand_fails_to_do_is_done_here(
    how: Callable[[], object], capfd: pytest.CaptureFixture[str]
) -> None:
    with hands.meanwhile(_only_here(how)) as process:
        assert process() == os.getpid()
    assert capfd.readouterr() == ("", "")


@linux
@pytest.mark.usefixtures("forking")
def test_a_result_that_cannot_be_sent_is_found_here() -> None:
    with hands.meanwhile(threading.Lock) as lock:
        assert lock().acquire()


@linux
@pytest.mark.usefixtures("forking")
def test_what_fails_here_too_is_told_here() -> None:
    with hands.meanwhile(_error) as nothing, pytest.raises(ZeroDivisionError):
        nothing()


@linux
@pytest.mark.usefixtures("forking")
def test_what_the_user_gave_in_vain_is_told_without_being_tried_again() -> None:
    def refuse() -> None:
        raise OutputError(f"process {os.getpid()}")

    with hands.meanwhile(refuse) as nothing, pytest.raises(OutputError, match="process") as told:
        nothing()
    assert str(os.getpid()) not in str(told.value)


@linux
@pytest.mark.usefixtures("forking")
def test_where_no_process_can_be_begun_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse() -> int:
        raise BlockingIOError(11, "Resource temporarily unavailable")  # EAGAIN: fork(2)

    monkeypatch.setattr(os, "fork", refuse)
    files = len(list(Path("/proc/self/fd").iterdir()))
    with hands.meanwhile(os.getpid) as process:
        assert process() == os.getpid()
    assert len(list(Path("/proc/self/fd").iterdir())) == files


@linux
@pytest.mark.usefixtures("forking")
def test_hands_go_when_the_work_is_not_wanted_any_more() -> None:
    began, children = time.monotonic(), _children()
    with suppress(OutputError), hands.meanwhile(lambda: time.sleep(30)):
        assert len(_children()) == len(children) + 1
        raise OutputError("the disk is full")
    assert time.monotonic() - began < 15
    assert _children() == children


def _children() -> list[str]:
    return Path(f"/proc/self/task/{os.getpid()}/children").read_text().split()


@linux
@pytest.mark.usefixtures("forking")
def test_what_waits_to_be_printed_is_printed_once(capfd: pytest.CaptureFixture[str]) -> None:
    sys.stdout.write("once")
    with hands.meanwhile(os.getpid) as process:
        process()
    sys.stdout.flush()
    assert capfd.readouterr().out == "once"


def test_there_is_no_hand_unless_a_copy_works_and_helps(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(hands.ALONE)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    monkeypatch.setattr(sys, "platform", "linux")
    with monkeypatch.context() as one:
        one.setattr(hands.Path, "iterdir", lambda _: iter([Path("1")]))
        assert hands._can_fork()
        one.setattr(hands.Path, "iterdir", lambda _: iter([Path("1"), Path("2")]))  # a thread
        assert not hands._can_fork()
        one.setattr(hands.Path, "iterdir", lambda _: iter([Path("1")]))
        one.setattr(os, "cpu_count", lambda: 1)
        assert not hands._can_fork()
        one.setattr(os, "cpu_count", lambda: 2)
        one.setenv(hands.ALONE, "1")
        assert not hands._can_fork()
        one.delenv(hands.ALONE)
        one.setattr(sys, "platform", "win32")
        assert not hands._can_fork()
    monkeypatch.setenv(hands.ALONE, "1")
    with hands.meanwhile(os.getpid) as process:
        assert process() == os.getpid()


def test_libraries_keep_to_one_thread_unless_told(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in hands._THREADS:
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv(hands._THREADS[1], "3")
    hands.keep_to_one_thread()
    assert [os.environ[name] for name in hands._THREADS] == ["1", "3"]
    script = (
        "from tracer import hands; hands.keep_to_one_thread(); import cv2, numpy as np; "
        "cv2.GaussianBlur(np.zeros((2000, 2000), np.uint8), (31, 31), 5); "
        "np.ones((500, 500)) @ np.ones((500, 500)); "
        "print(hands._can_fork())"
    )
    env = {k: v for k, v in os.environ.items() if k not in {hands.ALONE, *hands._THREADS}}
    told = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, text=True, check=True)
    assert told.stdout.strip() == str(sys.platform == "linux" and (os.cpu_count() or 1) > 1)


def test_the_report_tells_what_other_sizes_lose(tmp_path: Path) -> None:
    pipeline.write(small_plan(), tmp_path / "pack")
    assert "Finished size, wide" in (tmp_path / "pack" / "report.html").read_text("utf-8")


def test_what_is_loaded_ahead_is_loaded_once_for_each_picture() -> None:
    calls = list[int]()
    job = Job(pieces=(PieceSpec(art=str(SAMPLES / "boat-web.png"), width=60.0),))
    work = pipeline.Work(ahead=lambda: calls.append(1))
    assert work.plan(job).totals == pipeline.Work().plan(job).totals
    assert calls == [1]


def test_a_full_disk_is_told_in_the_usual_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(pack.FILES, "preview.png", _full)  # type: ignore[misc] # what another process writes
    with pytest.raises(OutputError, match="No space left"):
        pack.write_pack(small_plan(), tmp_path / "pack", force=False, art={}, say=lambda _: None)


def _full(_plan: object, _path: Path) -> None:
    raise OSError(28, "No space left on device")
