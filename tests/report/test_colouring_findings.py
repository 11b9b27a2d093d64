"""What is said of coloured-in pictures."""

from dataclasses import replace

import numpy as np

from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing, Stroke
from tracer.model.finding import Finding
from tracer.model.ink import Mend
from tracer.pipeline import lay_out
from tracer.report.colouring_findings import about_colouring

LINE = Stroke(1, np.array([[[0.0, 0.0], [30.0, 0.0], [60.0, 0.0], [90.0, 0.0]]]), closed=False, kind="line")
FALL = Stroke(2, np.array([[[0.0, 0.0], [0.0, 30.0], [0.0, 60.0], [0.0, 90.0]]]), closed=False, kind="line")
ART = Drawing((LINE, FALL), (), (90, 90), name="hare.png")


def told(*mends: Mend) -> list[Finding]:
    job = Job(pieces=(PieceSpec("hare.png", width=180.0),))
    return list(about_colouring(lay_out({0: replace(ART, mends=mends)}, job), job))


def test_nothing_is_said_of_colouring_that_hides_nothing() -> None:
    assert not told(Mend("colouring left out", 20, 20, 30), Mend("speck dropped", 3, 3, 1))


def test_dark_colouring_is_said_with_its_place_and_its_size_in_the_wood() -> None:
    # 90 art pixels become 180 mm: 2 mm a pixel, the largest place 40 of them across.
    (one,) = told(Mend("dark colouring left out", 80, 75, 10), Mend("dark colouring left out", 75, 80, 20))
    assert one.severity == "risk"
    assert one.where is not None
    assert "hare.png" in one.message
    assert "in 2 places" in one.message
    assert "lower right (the largest 40 mm (1 37/64 in) across)" in one.message
    left, top = lay_out({0: ART}, Job(pieces=(PieceSpec("hare.png", width=180.0),))).extent[:2]
    assert np.allclose(one.where, (left + 150, top + 160))


def test_coloured_lines_that_were_not_followed_are_a_loss() -> None:
    (one,) = told(Mend("coloured line left out", 10, 10, 30))
    assert one.severity == "loss"
    assert one.message.startswith("Only the dark lines of hare.png were followed: 1 coloured line was")
    assert "upper left (60 mm" in one.message
