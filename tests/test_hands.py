"""Work done by other processes: the same packs, and nothing lost where one comes to grief."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sheets.plans import small_plan

from tracer import hands, pipeline
from tracer.cli.making import _HANDS
from tracer.errors import OutputError
from tracer.report.curve import find_curve
from tracer.sheets import pack


def _pack(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def _silent(_: str) -> None:
    pass


@pytest.fixture
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(hands.ALONE)
    monkeypatch.setattr("os.cpu_count", lambda: 2)


@pytest.fixture
def broken(two_processors: None) -> Iterator[tuple[hands.Hand, ...]]:
    """Hands that end at once: what they are to load is not there."""
    with hands.hired(("no_such_module",), ("no_such_module",)) as both:
        yield both


@pytest.mark.usefixtures("two_processors")
def test_hands_plan_and_write_the_same(tmp_path: Path) -> None:
    plan, folder = small_plan(), tmp_path / "shared"
    folder.mkdir()
    with hands.hired(*_HANDS) as both:
        planned = both[0].ask("tracer.report.build:plan_of", plan.layout, plan.job)()
        asked = pack._asked(planned, folder, pack._writers(planned, {}, None), both, lambda: None)
        for written in asked.values():
            written()  # raises where a hand was lost
    assert set(asked) == set(pack.NAMES)
    pack.write_pack(
        pipeline.plan(plan.layout, plan.job), tmp_path / "alone", force=False, art={}, say=_silent
    )
    assert _pack(folder) == _pack(tmp_path / "alone")


def test_the_report_tells_what_other_sizes_lose(tmp_path: Path, broken: tuple[hands.Hand, ...]) -> None:
    """Found by a hand, or here where there is none or it is lost."""
    plan = small_plan()
    pipeline.write(plan, tmp_path / "alone")
    assert "Finished size, wide" in (tmp_path / "alone" / "report.html").read_text("utf-8")
    pipeline.write(plan, tmp_path / "broken", hands=broken)
    assert _pack(tmp_path / "alone") == _pack(tmp_path / "broken")


@pytest.mark.usefixtures("two_processors")
def test_a_hand_finds_the_curve() -> None:
    plan = small_plan()
    with hands.hired(()) as (hand,):
        found = hand.ask("tracer.report.curve:find_curve", plan.layout, plan.job)()
    assert found.rows == find_curve(plan.layout, plan.job).rows


def test_what_hands_fail_to_do_is_done_here(tmp_path: Path, broken: tuple[hands.Hand, ...]) -> None:
    plan = small_plan()
    planned = pipeline.plan(plan.layout, plan.job, hands=broken)
    pack.write_pack(planned, tmp_path / "pack", force=False, art={}, say=_silent, hands=broken)
    assert set(_pack(tmp_path / "pack")) == set(pack.NAMES)
    assert planned.totals == pipeline.plan(plan.layout, plan.job).totals


def test_a_full_disk_is_told_in_the_usual_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: tuple[hands.Hand, ...]
) -> None:
    monkeypatch.setattr(pack, "FILES", {"template.pdf": _full})
    with pytest.raises(OutputError, match="No space left"):
        pack.write_pack(small_plan(), tmp_path / "pack", force=False, art={}, say=_silent, hands=broken)


@pytest.mark.usefixtures("two_processors")
def test_a_hand_answers_each_and_is_lost_by_an_error() -> None:
    with hands.hired(()) as (hand,):
        one, two = hand.ask("math:sqrt", 4.0), hand.ask("operator:add", 1, 2)
        assert (two(), one(), two()) == (3, 2.0, 3)
        a, b = hand.keep("gro"), hand.keep("ove")
        assert hand.ask("operator:add", a, b)() == "groove"
        wrong = hand.ask("math:sqrt", -1.0)
        with pytest.raises(hands.HandLostError):
            wrong()
        with pytest.raises(hands.HandLostError):
            hand.ask("math:sqrt", 4.0)()


@pytest.mark.usefixtures("two_processors")
def test_hands_go_when_the_command_fails() -> None:
    def fail() -> None:
        with hands.hired((), ()) as both:
            seen.extend(both)
            raise ZeroDivisionError

    seen: list[hands.Hand] = []
    with pytest.raises(ZeroDivisionError):
        fail()
    assert len(seen) == 2
    assert all(hand._process.poll() is not None for hand in seen)


def test_no_hand_is_hired_where_there_is_one_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    with hands.hired(()) as asked_not_to:
        assert asked_not_to == ()
    monkeypatch.delenv(hands.ALONE)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    with hands.hired(()) as one_processor:
        assert one_processor == ()


def _full(_plan: object, _path: Path) -> None:
    raise OSError(28, "No space left on device")
