"""The time of a job, told backwards: from what it took to the pace. L / v x passes + n x passes x t [D]."""

import pytest

from tracer.shop.learn import CutJob, pace_of_one, pace_of_several

# 12 m on the template at 15 mm/s in 2 passes, 24 plunges x 2 at 10 s: 2080 s = 34.7 min [D]
JOB = CutJob("hare", 2 * 12_000, 2 * 24, 2080.0)


def test_speed_of_the_job() -> None:
    assert JOB.took / 60 == pytest.approx(34.7, abs=0.06)
    assert pace_of_one(JOB, 10.0).speed == pytest.approx(15.0)


def test_speed_and_plunge_of_two_jobs() -> None:
    # Beside it 6 m of template and 60 plunges at the same pace: 6000 / 15 + 60 x 10 = 1000 s [D]
    pace = pace_of_several([JOB, CutJob("sign", 6_000, 60, 1000.0)])
    assert (pace.speed, pace.plunge) == pytest.approx((15.0, 10.0))
