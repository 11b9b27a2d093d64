import re
from dataclasses import replace

import numpy as np
from sheets import pages
from sheets.plans import small_plan, with_break

from tracer.model.plan import Island
from tracer.sheets.assembly import assemble
from tracer.sheets.bench_words import warnings_of
from tracer.sheets.island_names import CERTAIN, FEW, named_islands
from tracer.sheets.pdf import Pdf
from tracer.sheets.sheet_labels import labels_of
from tracer.sheets.template import write_template

BOARD = {"scale": 2.0, "board": (240.0, 200.0, 19.05)}
IN_RING = (62.0, 56.0)
"""A place on the wood, in the small plan's ring at that scale, with room round it."""


def labels(tmp_path, plan):
    return labels_of(Pdf(tmp_path / "x.pdf", title="", date=plan.job.date), plan, assemble(plan))


def standing(number, where, *, breaks=False, area=50.0):
    least = 4.0 if breaks else 2.0
    return Island(number, "standing wood", where, (9.0, 9.0), (), (1,), area=area, widest=3.0, least=least)


def meets(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_islands_are_named_clear_of_lines_numbers_and_one_another(tmp_path):
    plan = with_break(small_plan(**BOARD))
    part, wood = plan.islands  # the wood's place is so near the ring that its number must go beside it
    numbers = labels(tmp_path, plan).runs
    under = standing(3, (numbers[0].x / 2, numbers[0].y / 2))
    part, wood = replace(part, where=IN_RING), replace(wood, where=(80.0, 14.0))
    plan = replace(plan, islands=(part, wood, under))
    names = labels(tmp_path, plan).islands.names
    assert [name.words for name in names] == ["i2!", "i1", "i3"]
    points = assemble(plan).track.points
    for name in names:
        x0, y0, x1, y1 = name.spot.box
        assert not any(meets(name.spot.box, number.box) for number in numbers)
        away = np.hypot(*(points - np.clip(points, (x0, y0), (x1, y1))).T)
        assert away.min() >= assemble(plan).track.band / 2 - 1e-6
    write_template(plan, tmp_path / "t.pdf")
    said = " ".join(pages.texts(tmp_path / "t.pdf")[0].split())
    assert "i2!" in said
    assert "will break out" in said
    assert "island in the report" in said


def test_many_islands_that_hold_are_not_named_and_the_legend_has_no_word_of_them(tmp_path):
    few = [standing(n, IN_RING) for n in range(1, FEW + 1)]
    plan = replace(small_plan(**BOARD), islands=tuple(few))
    assert len(named_islands(plan)[1]) == FEW
    many = replace(plan, islands=(*few, standing(FEW + 1, IN_RING)))
    assert labels(tmp_path, many).islands == labels(tmp_path, replace(plan, islands=())).islands
    write_template(many, tmp_path / "t.pdf")
    assert not re.search(r"\bi\d", pages.texts(tmp_path / "t.pdf")[0])


def test_what_breaks_out_in_a_groove_too_thin_for_words_is_tied_to_its_number(tmp_path):
    """A ring 7 mm by 4 mm on paper with grooves 3.7 mm wide: its number stands beside it, never in it."""
    plan = small_plan(scale=0.05)
    inside = tuple(plan.strokes[0].curves[:, 0].mean(axis=0).tolist())
    held = replace(plan, islands=(standing(1, inside),))
    assert labels(tmp_path, held).islands.names == ()
    (name,) = labels(tmp_path, replace(plan, islands=(standing(1, inside, breaks=True),))).islands.names
    np.testing.assert_allclose(name.tied, np.array(inside) * 2)
    x0, y0, x1, y1 = name.spot.box
    assert not (x0 < name.tied[0] < x1 and y0 < name.tied[1] < y1)


def test_all_that_the_job_sheet_names_is_named_on_the_template(tmp_path):
    """Twelve in one place: the largest eight have their numbers, one of the others the sign."""
    islands = tuple(standing(n, IN_RING, breaks=True, area=100.0 - n) for n in range(1, 13))
    plan = replace(small_plan(**BOARD), islands=islands)
    (said,) = [one.message for one in warnings_of(plan) if "will break out" in one.message]
    named = set(re.findall(r"i\d+!", said))
    found = labels(tmp_path, plan).islands
    assert len(named) == CERTAIN
    assert named <= {name.words for name in found.names}
    boxes = [name.spot.box for name in found.names]
    assert not any(meets(a, b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert len(found.signs) <= 1


def test_the_rest_of_what_breaks_out_is_crossed_out(tmp_path):
    """Nine pieces: the smallest is in a ring 7 mm wide on paper, where no number has room."""
    plan = small_plan(scale=0.05)
    inside = tuple(plan.strokes[0].curves[:, 0].mean(axis=0).tolist())
    big = [standing(n, (60.0 + 4 * n, 50.0), breaks=True, area=99.0) for n in range(1, 9)]
    islands = (*big, standing(9, inside, breaks=True, area=1.0))
    found = labels(tmp_path, replace(plan, islands=islands, grooves=plan.grooves[:1], runs=())).islands
    assert "i9!" not in {name.words for name in found.names}
    np.testing.assert_allclose(found.signs, [np.array(inside) * 2])


def test_an_island_off_the_sheets_of_a_set_up_is_not_on_them(tmp_path):
    plan = replace(small_plan(**BOARD), islands=(standing(1, (5.0, 400.0), breaks=True),))
    found = labels(tmp_path, plan).islands
    assert (found.names, found.signs) == ((), ())
