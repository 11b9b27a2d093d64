"""What the sheets of a set-up say of the others: register marks, and where a groove goes on."""

import math
import re
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import shapes
from sheets import pages
from sheets.plans import small_plan
from sheets.test_assembly import in_two

from tracer.geometry import affine
from tracer.job import Job
from tracer.model.plan import Island, Plan
from tracer.report.build import build_plan
from tracer.sheets.assembly import assemblies
from tracer.sheets.bench_words import island_name
from tracer.sheets.board_marks import board_words
from tracer.sheets.datum import prints
from tracer.sheets.job_facts import facts_of
from tracer.sheets.labels import Spot
from tracer.sheets.partings import partings
from tracer.sheets.pdf import Pdf
from tracer.sheets.set_up_marks import (
    ARM,
    marks_of,
    measured_marks,
    register_names,
    register_words,
    words_places,
)
from tracer.sheets.sheet_labels import labels_of
from tracer.sheets.template import write_template
from tracer.sheets.verdict import verdict
from tracer.shop.linkage import Linkage


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A face cut in four set-ups, and a long line under it."""
    linkage = Linkage(0.5, reach=(130.0, 120.0))
    return build_plan(shapes.layout_of(shapes.drawing_of("face"), width_mm=220.0), Job(linkage=linkage))


def test_marks_have_the_same_name_and_place_on_the_wood_in_each_set_up(plan: Plan) -> None:
    names, back = register_names(plan), np.linalg.inv(np.vstack([plan.to_template, [0, 0, 1]]))[:2]
    for one in plan.set_ups:
        for mark in marks_of(plan, one):
            if mark.way is None:
                on_wood = tuple(np.round(affine.apply(back, mark.point), 6).tolist())
                assert names[on_wood] == mark.words[0]
                assert on_wood in one.marks


def test_a_mark_is_made_once_and_found_again_after(plan: Plan) -> None:
    made: set[str] = set()
    for one in plan.set_ups:
        for mark in (mark for mark in marks_of(plan, one) if mark.way is None):
            name, here, said = mark.words
            assert here == "stylus here:"
            made_here = {"dot under the bit", "bit on the measured mark"}
            assert (said in made_here) == (name not in made)
            made.add(name)
    assert made == set(register_names(plan).values())
    assert register_words(plan, plan.set_ups[0]).startswith("mark R1")
    assert all(register_words(plan, one).startswith("find R") for one in plan.set_ups[1:])


def test_the_board_lies_by_two_marks_of_set_up_1_that_are_within_reach_and_on_its_sheets(plan: Plan) -> None:
    first, (sheets, *_) = plan.set_ups[0], assemblies(plan)
    one, other = measured_marks(plan)
    assert math.dist(one, other) == max(math.dist(a, b) for a, b in combinations(first.marks, 2))
    x0, y0, x1, y1 = first.window
    for x, y in (one, other):
        assert x0 <= x <= x1
        assert y0 <= y <= y1
        assert prints(sheets, affine.apply(plan.to_template, np.array([x, y])))
    measured = [mark for mark in marks_of(plan, first) if mark.words[-1].endswith("measured mark")]
    assert {mark.words[0] for mark in measured} == {register_names(plan)[mark] for mark in (one, other)}


def test_the_sheets_of_a_set_up_say_how_the_board_lies_by_marks_that_they_show(tmp_path) -> None:
    """On a board that is said, too: never by the crossing of its middle lines, which other sheets hold."""
    job = Job(linkage=Linkage(0.5, reach=(130.0, 120.0)), board=(400.0, 400.0, 19.0))
    layout = shapes.layout_of(shapes.drawing_of("face"), width_mm=220.0, job=job)
    plan = build_plan(layout, job)
    for sheets in assemblies(plan):
        said, _clamps = board_words(plan, sheets)
        own = {name for mark, name in register_names(plan).items() if mark in sheets.set_up.marks}
        assert "crossing" not in said
        assert "middle" not in said
        assert said.startswith(f"Set-up {sheets.set_up.number} of {len(plan.set_ups)}.")
        assert len(named := set(re.findall(r"R\d+", said))) >= 2
        assert named <= own
    for mark in measured_marks(plan):
        place = f"{mark[0]:g} mm"
        assert place in board_words(plan, assemblies(plan)[0])[0]
        assert place in register_words(plan, plan.set_ups[0])
    write_template(plan, tmp_path / "t.pdf")
    words = [" ".join(text.split()) for text in pages.texts(tmp_path / "t.pdf")]
    assert not any("ringed crossing" in text for text in words)
    assert any("with the stylus on each of these marks" in text for text in words)


def test_parted_strokes_go_on_where_they_were_left(plan: Plan) -> None:
    found = partings(plan)
    assert any(found.values())
    for number, some in found.items():
        for one in some:
            other = [np.hypot(*(one.point - back.point)) for back in found[one.other] if back.other == number]
            assert min(other, default=0.0) < 0.3
            assert np.hypot(*one.way) == pytest.approx(1.0)


def test_what_is_parted_on_both_sides_of_a_straight_line_leads_from_one_to_the_other() -> None:
    line = shapes.drawing_from([shapes.line((0, 0), (100, 0))])
    plan = build_plan(shapes.layout_of(line, width_mm=300.0), Job(linkage=Linkage(0.5, reach=(200, 100))))
    (left,), (right,) = partings(plan).values()
    np.testing.assert_allclose(left.point, right.point, atol=1e-6)
    np.testing.assert_allclose(np.abs(left.way), [1.0, 0.0], atol=1e-9)
    np.testing.assert_allclose(left.way, -right.way, atol=1e-9)
    assert left.way[0] > 0, "out of the left set-up it goes right"


def test_signs_and_words_of_a_set_up_cover_nothing(plan: Plan, tmp_path) -> None:
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    for assembly in assemblies(plan):
        labels = labels_of(pdf, plan, assembly)
        spots = [*labels.set_up_words, *labels.runs, *(name.spot for name in labels.islands.names)]
        boxes = np.array([spot.box for spot in spots if isinstance(spot, Spot)])
        signs = [mark.point for mark in labels.set_up if mark.way is None]
        boxes = np.vstack([boxes, *([np.concatenate([sign - ARM, sign + ARM])] for sign in signs)])
        assert not _overlaps(boxes)
        assert all(spot is not None for spot in labels.set_up_words)
        for spot in labels.set_up_words:
            x0, y0, x1, y1 = spot.box
            x, y = assembly.track.points.T
            assert not ((x > x0) & (x < x1) & (y > y0) & (y < y1)).any()


def test_a_register_mark_is_named_though_there_is_no_room_for_its_words(plan: Plan, tmp_path) -> None:
    pdf, assembly = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date), assemblies(plan)[0]
    marks = [mark for mark in marks_of(plan, assembly.set_up) if mark.way is None]
    free = words_places(pdf, assembly, marks, np.empty((0, 4)))
    round_about = np.array([np.concatenate([mark.point - 36.0, mark.point + 36.0]) for mark in marks])
    named = words_places(pdf, assembly, marks, round_about)
    for mark, spot, whole in zip(marks, named, free, strict=True):
        assert whole is not None
        assert spot is not None
        assert spot.height < whole.height
        assert math.dist(mark.point, (spot.x, spot.y)) > 36.0


def _overlaps(boxes) -> bool:
    low, high = boxes[:, None, :2], boxes[:, None, 2:]
    meet = ((low < high.transpose(1, 0, 2)) & (low.transpose(1, 0, 2) < high)).all(axis=2)
    return bool((meet & ~np.eye(len(boxes), dtype=bool)).any())


def test_islands_are_named_where_their_lines_are(plan: Plan, tmp_path) -> None:
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    named = {island_name(one): {*one.strokes, *one.enclosed_by} for one in plan.islands}
    shown = 0
    for assembly in assemblies(plan):
        cells = [np.add(assembly.tiling.trimmed(one), assembly.origin * 2) for one in assembly.used]
        for name in labels_of(pdf, plan, assembly).islands.names:
            own = [line.points for line in assembly.track.lines if line.number in named[name.words]]
            points, at = np.concatenate(own), np.array([name.spot.x, name.spot.y])
            (sheet,) = (cell for cell in cells if (cell[:2] <= at).all() and (at <= cell[2:]).all())
            assert ((points >= sheet[:2]) & (points <= sheet[2:])).all(axis=1).any()
            shown += 1
    assert shown


def test_an_island_of_which_a_set_up_cuts_but_one_side_has_no_name_in_blank_paper(tmp_path) -> None:
    """Its ring is cut half in set-up 1 and half in set-up 2: neither has it round the place."""
    plan = in_two(small_plan(scale=2.0, board=(240.0, 200.0, 19.05)))
    held = Island(1, "standing wood", (62.0, 56.0), (90.0, 60.0), (), (1,), area=50.0, widest=9.0, least=2.0)
    plan = replace(plan, islands=(held,))
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    assert [len(labels_of(pdf, plan, one).islands.names) for one in assemblies(plan)] == [0, 0]
    whole = replace(plan, set_ups=())
    assert len(labels_of(pdf, whole, assemblies(whole)[0]).islands.names) == 1


def test_the_sheets_say_them(plan: Plan, tmp_path) -> None:
    write_template(plan, tmp_path / "t.pdf")
    words = [" ".join(text.split()) for text in pages.texts(tmp_path / "t.pdf")]
    assert any("R1" in text and "dot under the bit" in text for text in words)
    assert any("R1" in text and "bit on dot of set-up 1" in text for text in words)
    assert any("on in set-up 2" in text for text in words)


def test_the_verdict_tells_of_set_ups_and_of_what_no_reach_will_do(plan: Plan) -> None:
    assert verdict(plan).endswith(
        f"It is cut in {len(plan.set_ups)} set-ups: the job sheet says how the board is moved."
    )
    line = shapes.layout_of(shapes.drawing_from([shapes.line((0, 0), (100, 0))]), width_mm=300.0)
    short = build_plan(line, Job(linkage=Linkage(0.5, reach=(15, 100))))
    (found,) = (one for one in short.findings if one.check == "out of reach")
    whole = verdict(short)
    assert whole.startswith(f"It cannot be cut with this reach. {found.message} {found.remedy} ")
    assert "cuts with losses" not in whole  # the reach is no loss of a stroke: nothing at all is cut
    assert whole.endswith("Were it all within reach: it cuts as drawn.")
    (said,) = (fact.value for fact in facts_of(short, assemblies(short)) if fact.label == "Reach on the wood")
    assert "no set-ups are planned" in said


def test_one_set_up_has_no_such_signs(tmp_path) -> None:
    plan = small_plan()
    assert marks_of(plan, None) == ()
    assert partings(plan) == {}
