"""The hand's pace from jobs that were cut."""

import json
from pathlib import Path
from typing import Any

import pytest
import shapes
from hypothesis import assume, given
from hypothesis import strategies as st

from tracer.errors import JobError
from tracer.job import Job
from tracer.report.build import build_plan
from tracer.sheets.record import write_record
from tracer.shop.learn import CutJob, changes_of, pace_of_one, pace_of_several, read_cut_job
from tracer.shop.settings import parse_shop
from tracer.shop.shop_file import save_shop

SPEEDS, PLUNGES = st.floats(3, 100), st.floats(2, 60)
JOBS = st.tuples(st.floats(500, 100_000), st.integers(1, 400))


def cut(followed: float, plunges: int, *, speed: float, plunge: float) -> CutJob:
    """A job cut at exactly that pace."""
    return CutJob("hare", followed, plunges, followed / speed + plunges * plunge)


@given(JOBS, SPEEDS, PLUNGES)
def test_one_job_gives_the_speed(job: tuple[float, int], speed: float, plunge: float) -> None:
    assert pace_of_one(cut(*job, speed=speed, plunge=plunge), plunge).speed == pytest.approx(speed)


@given(st.lists(JOBS, min_size=2, max_size=4), SPEEDS, PLUNGES)
def test_two_jobs_give_speed_and_plunge(jobs: list[tuple[float, int]], speed: float, plunge: float) -> None:
    lengths = [followed / plunges for followed, plunges in jobs]
    assume(max(lengths) > 1.1 * min(lengths))
    pace = pace_of_several([cut(*job, speed=speed, plunge=plunge) for job in jobs])
    assert (pace.speed, pace.plunge) == pytest.approx((speed, plunge), rel=1e-6)


def test_jobs_that_disagree_are_met_halfway() -> None:
    """Three jobs cut at 12, 15 and 18 mm/s: the pace lies between."""
    jobs = [
        cut(30_000, 10, speed=12, plunge=10),
        cut(10_000, 100, speed=15, plunge=10),
        cut(30_000, 10, speed=18, plunge=10),
    ]
    assert 12 < pace_of_several(jobs).speed < 18


@pytest.mark.parametrize(
    ("took", "why"),
    [
        (30, r"hare took 30 s, but its 12 plunges at 10 s would take 120 s alone: check the time"),
        (121, r"a stylus at 1\.2e\+04 mm/s; 1 to 500 is expected"),
        (48 * 3600, r"a stylus at 0\.06\d+ mm/s"),
    ],
)
def test_times_no_hand_needs(took: float, why: str) -> None:
    with pytest.raises(JobError, match=why):
        pace_of_one(CutJob("hare", 12_000, 12, took), 10.0)


def test_jobs_too_alike_tell_nothing() -> None:
    with pytest.raises(JobError, match="cannot tell the stylus's speed from the plunge's time"):
        pace_of_several([CutJob("a", 12_000, 12, 900), CutJob("b", 24_000, 24, 1900)])


def test_times_that_do_not_fit_each_other() -> None:
    # The job with ten times the plunges took less: a plunge of less than no time.
    with pytest.raises(JobError, match="do not fit together"):
        pace_of_several([CutJob("a", 12_000, 10, 900), CutJob("b", 12_000, 100, 600)])


def test_what_is_saved_is_read_again(tmp_path: Path) -> None:
    pace = pace_of_several([cut(30_000, 10, speed=15, plunge=1.1), cut(9_000, 90, speed=15, plunge=1.1)])
    shop = save_shop(changes_of(pace, with_plunge=True), path=tmp_path / "shop.toml")
    assert (shop.speed_low, shop.speed_high) == pytest.approx((12.0, 18.75), abs=0.06)  # 15 / 1.25, 15 x 1.25
    assert (shop.plunge_low, shop.plunge_high) == pytest.approx((1.0, 1.375), abs=0.06)  # never under 1 s
    assert changes_of(pace, with_plunge=False).keys() == {"hand.speed"}
    assert parse_shop("", "shop.toml").speed_low == 10.0


def report(**totals: object) -> dict[str, Any]:
    """What a report of 12 m in two passes says: 24 plunges, 10 to 20 mm/s, 8 to 10 s."""
    usual = {
        "template_length_mm": 12_000,
        "plunges_with_passes": 48,
        "time_s": {"low": 24_000 / 20 + 48 * 8, "high": 24_000 / 10 + 48 * 10},
    }
    job = {"name": "hare", "speed_mm_per_s": {"low": 10, "high": 20}, "plunge_s": {"low": 8, "high": 10}}
    return {"job": job, "totals": usual | totals}


def written(folder: Path, content: object) -> Path:
    path = folder / "report.json"
    path.write_text(content if isinstance(content, str) else json.dumps(content))
    return path


def test_a_report_is_read_with_all_its_passes(tmp_path: Path) -> None:
    found = read_cut_job(written(tmp_path, report()), 2880)
    assert found == CutJob("hare", pytest.approx(24_000), 48, 2880)


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ("[", "no report of a plan: give the report.json"),
        ("[]", "no report of a plan"),
        ("{}", "no report of a plan"),
        ({"job": {}, "totals": {}}, "no report of a plan"),
        (report(time_s=None), "no report of a plan"),
        (report(plunges_with_passes=0), "cuts nothing"),
        (report(template_length_mm=0), "cuts nothing"),
        (report(time_s={"low": 1, "high": 500}), "do not fit each other"),
    ],
)
def test_what_is_no_report(tmp_path: Path, content: object, why: str) -> None:
    with pytest.raises(JobError, match=why):
        read_cut_job(written(tmp_path, content), 60)


@pytest.mark.parametrize("retrace", [False, True])
def test_a_real_report_gives_back_the_pace_it_was_planned_with(tmp_path: Path, *, retrace: bool) -> None:
    """Told that the job took what its own plan says at 15 mm/s and 8 s, that is what is learned."""
    job = Job(depth=25.4 / 4, speed_low=15, speed_high=15, plunge_low=8, plunge_high=8, retrace=retrace)
    plan = build_plan(shapes.layout_of(shapes.drawing_of("EMMA"), width_mm=300, job=job), job)
    write_record(plan, tmp_path / "report.json")
    found = read_cut_job(tmp_path / "report.json", plan.totals.time_low)
    followed = plan.totals.template_length + plan.totals.retraced / job.ratio
    assert plan.totals.passes == 2
    assert found.followed == pytest.approx(2 * followed)
    assert found.plunges == plan.totals.plunges_with_passes
    assert pace_of_one(found, 8.0).speed == pytest.approx(15)


def test_a_report_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="cannot be read: No such file"):
        read_cut_job(tmp_path / "none.json", 60)
