"""The plunge table from drawn pictures, through the whole pipeline: pen and paper, trace, plan.

Counts are those of single-line letters with closed joints, worked out by hand: without retracing max(1, odd
points / 2) a part, with it one a part [S20: Euler's theorem on trails, textbook graph theory]. The pen is
about as wide as the groove.
"""

import numpy as np
import pytest
import shapes
from pen import Page

import tracer
from tracer.geometry.flatten import flatten
from tracer.job import Job, PieceSpec
from tracer.model.plan import Plan

PEN = 8.0
"""Pixels."""

SIZE = 2.0
"""Pixels on the page for one of a letter's cell, which is 80 wide and 100 high."""


def drawn(parts: list[shapes.Part], *, pen: float = PEN) -> Page:
    """A page with a margin of 30 px on which a round pen drew the parts."""
    points = np.concatenate([part.curves.reshape(-1, 2) for part in parts]) * SIZE
    shift = 30 - points.min(axis=0)
    width, height = np.ceil(np.ptp(points, axis=0)).astype(int) + 60
    page = Page(int(width), int(height))
    for part in parts:
        line = flatten(part.curves, 0.05) * SIZE + shift
        if part.kind == "dot":
            page.disc(*line[0].tolist(), pen * 0.7)
        else:
            page.line(*(tuple(point) for point in line.tolist()), width=pen)
    return page


def planned(parts: list[shapes.Part], *, groove_to_pen: float = 1.0, **settings: object) -> Plan:
    """The plan of a drawn picture, at the size at which the groove is so many times as wide as the pen."""
    drawing = tracer.trace(drawn(parts).grey)
    x0, _, x1, _ = drawing.bounds
    job = Job(**settings)  # type: ignore[arg-type]
    width = (x1 - x0) * job.groove / (PEN * groove_to_pen)
    job = Job(pieces=(PieceSpec(art="drawn", width=width),), **settings)  # type: ignore[arg-type]
    return tracer.plan(drawing, job)


def plunges(plan: Plan) -> tuple[int, int]:
    return plan.totals.plunges_without_retracing, plan.totals.plunges_with_retracing


@pytest.mark.parametrize(
    ("letter", "without", "with_"),
    [
        ("O", 1, 1),  # a closed loop, 0 odd points [S20]
        *((letter, 1, 1) for letter in "LSVWMNZ"),  # 2 odd points [S20]
        ("T", 2, 1),  # 4 odd points [S20]
        ("A", 2, 1),  # 4 odd [S20]
        ("E", 2, 1),  # 4 odd [S20]
        ("H", 3, 1),  # 6 odd [S20]
        ("X", 2, 1),  # 4 odd, the centre is even [S20]
        ("B", 1, 1),  # 0 or 2 odd: one trail either way [S20]
        ("8", 1, 1),  # drawn as a crossing: 0 odd [S20]
        ("i", 2, 2),  # stem and dot are two parts [S20]
    ],
)
def test_letters(letter: str, without: int, with_: int) -> None:
    assert plunges(planned(list(shapes.LETTERS[letter]))) == (without, with_)


def test_words() -> None:
    assert plunges(planned(shapes.word("EMMA"))) == (6, 4)  # 2 + 1 + 1 + 2; 4 parts [S20]
    assert plunges(planned(shapes.word("OLIVER"))) == (7, 6)  # 1 + 1 + 1 + 1 + 2 + 1; 6 parts [S20]


def test_wheel() -> None:
    assert plunges(planned(shapes.wheel())) == (2, 1)  # 4 rim joints of 3, the hub of 4 [S20]


def test_two_passes_double_the_plunges() -> None:
    # EMMA, no retracing, 2 depth passes: plunges x passes [D]
    plan = planned(shapes.word("EMMA"), retrace=False, depth=25.4 * 3 / 16, pass_limit=25.4 / 8)
    assert plan.totals.passes == 2
    assert plan.totals.plunges_with_passes == 12


def test_fat_grooves_join_what_was_apart_on_paper() -> None:
    # Two lines 2.5 pens apart: at three times the pen's width their grooves overlap, the bit goes across [D].
    lines = [shapes.line((0, 0), (100, 0)), shapes.line((0, 10), (100, 10))]
    assert plunges(planned(lines)) == (2, 2)
    assert plunges(planned(lines, groove_to_pen=2.0, thin="keep")) == (2, 2)  # 1.25 grooves apart
    assert plunges(planned(lines, groove_to_pen=3.0, thin="keep")) == (2, 1)  # 0.83 grooves apart


def test_a_dot_joins_its_stem_only_when_the_grooves_meet() -> None:
    # The dot's middle lies 60 px above the stem's end: 7.5 pens [D].
    stem = list(shapes.LETTERS["i"])
    assert plunges(planned(stem, groove_to_pen=5.0, thin="keep")) == (2, 2)
    assert plunges(planned(stem, groove_to_pen=16.0, thin="keep")) == (2, 1)
