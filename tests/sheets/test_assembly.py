"""The sheets of each set-up: what they show, what they are called, and that together they show all."""

from dataclasses import replace

import numpy as np
import pytest
from sheets import pages
from sheets.plans import small_plan

from tracer.geometry import affine, bezier
from tracer.model.plan import Leg, Run, SetUp
from tracer.sheets.assembly import assemble, assemblies
from tracer.sheets.board_marks import crossing
from tracer.sheets.joins import seams_of
from tracer.sheets.template import write_template
from tracer.shop.paper import paper_named

BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}


def in_two(plan):
    """The plan with its ring cut in two set-ups, through its places 1 and 3; the rest in the second."""
    ring = plan.cut[0].curves
    first = Run(1, 1, (Leg(1, 1.0, 3.0, False, ring[1:3]),))
    second = Run(2, 1, (Leg(1, 3.0, 5.0, False, np.roll(ring, -3, axis=0)[:2]), *plan.runs[2].legs[1:]))
    rest = tuple(replace(run, number=k + 3) for k, run in enumerate(plan.runs[:2]))
    joints = tuple(map(tuple, (ring[1, 0], ring[3, 0])))
    set_ups = (
        SetUp(1, (0.0, 0.0, 200.0, 200.0), (1,), joints),
        SetUp(2, (100.0, 0.0, 300.0, 200.0), (2, 3, 4), joints),
    )
    return replace(plan, runs=(first, second, *rest), set_ups=set_ups)


def test_a_plan_of_one_set_up_has_one_assembly():
    plan = small_plan()
    (only,) = assemblies(plan)
    assert only.set_up is None
    assert only.names == assemble(plan).names == ("A1",)


def test_each_set_up_has_sheets_of_its_own_with_names_of_their_own():
    plan = in_two(small_plan(**BIG))
    first, second = assemblies(plan)
    assert (first.set_up, second.set_up) == plan.set_ups
    names = first.names + second.names
    assert len(set(names)) == len(names)
    assert {name.partition("-")[0] for name in first.names} == {"1"}
    assert second.used[0].name == f"2-{second.used[0].place}"
    assert [way.number for way in second.track.ways] == [2, 3, 4]


def test_a_stroke_cut_in_part_shows_that_part_only():
    """Both halves of the ring together are the ring, and neither holds the other."""
    plan = in_two(small_plan())
    first, second = assemblies(plan)
    (half,) = first.track.lines
    halves = [line for line in second.track.lines if line.number == 1]
    assert not half.closed
    lengths = [bezier.length(line.curves) for line in (half, *halves)]
    ring = affine.apply(plan.to_template, plan.cut[0].curves)
    assert sum(lengths) == pytest.approx(bezier.length(ring))
    assert lengths[0] == pytest.approx(bezier.length(ring[1:3]))
    np.testing.assert_allclose(half.curves, ring[1:3], atol=1e-9)
    assert {line.number for line in second.track.lines} == {1, 2, 3, 4, 6}
    whole = {line.number: line for line in assemble(plan).track.lines}
    bow = next(line for line in second.track.lines if line.number == 3)
    np.testing.assert_array_equal(bow.curves, whole[3].curves)


def test_register_marks_lie_on_printed_sheets():
    plan = in_two(small_plan(**BIG))
    far = replace(plan.set_ups[0], marks=(*plan.set_ups[0].marks, (290.0, 250.0)))
    plan = replace(plan, set_ups=(far, plan.set_ups[1]))
    for assembly in assemblies(plan):
        marks = affine.apply(plan.to_template, np.array(assembly.set_up.marks)) - assembly.origin
        for x, y in marks:
            boxes = [assembly.tiling.trimmed(cell) for cell in assembly.used]
            assert any(x0 <= x <= x1 and y0 <= y <= y1 for x0, y0, x1, y1 in boxes)


def test_the_template_has_the_sheets_of_all_set_ups(tmp_path):
    plan = in_two(small_plan(**BIG))
    write_template(plan, tmp_path / "t.pdf")
    words = pages.texts(tmp_path / "t.pdf")
    names = [name for one in assemblies(plan) for name in one.names]
    assert len(words) == len(names)
    for name, said in zip(names, words, strict=True):
        assert name in said.split()
        assert f"set-up {name[0]}" in " ".join(said.split())


def test_a_ring_that_is_cut_whole_stays_closed():
    plan = small_plan()
    windows = ((0.0, 0.0, 90.0, 90.0), (20.0, 0.0, 110.0, 90.0))
    plan = replace(plan, set_ups=(SetUp(1, windows[0], (3,)), SetUp(2, windows[1], (1, 2))))
    first, second = assemblies(plan)
    assert [line.number for line in first.track.lines if line.closed] == [1]
    assert {line.number for line in second.track.lines} == {4, 6}


@pytest.mark.parametrize("paper", ["A4", "A5", "Letter"])
@pytest.mark.parametrize("scale", [2.2, 2.6, 3.0])
def test_seams_keep_off_the_middle_lines_where_the_sheets_have_room(paper, scale):
    """A figure in the middle of its board, on an even number of sheets, would have a seam on its middle."""
    x0, y0, x1, y1 = small_plan(scale=scale).layout.extent
    plan = small_plan(scale=scale, board=(x0 + x1, y0 + y1, 19.05), paper=paper_named(paper))
    assembly, middle = assemble(plan), crossing(plan)
    seams = [seam for cell in assembly.used for seam in seams_of(assembly, cell)]
    assert seams
    for seam in seams:
        axis = 0 if seam.upright else 1
        low, high = assembly.track.extent[axis], assembly.track.extent[axis + 2]
        spare = min(low - assembly.room[axis], assembly.room[axis + 2] - high)
        assert spare > 1.99  # the figure is whole, and 2 mm round it
        assert abs(seam.start[axis] - middle[axis]) > assembly.tiling.overlap / 2 + 3.99 or spare < 2.01
