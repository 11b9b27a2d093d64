from dataclasses import replace

import numpy as np
import pytest
from sheets.plans import small_plan

from tracer.sheets.assembly import assemble
from tracer.sheets.diagonals import Corner, Diagonal
from tracer.sheets.joins import seams_of
from tracer.sheets.marks import NUMBER_SIZE
from tracer.sheets.pdf import POINT, Pdf
from tracer.sheets.run_marks import run_numbers
from tracer.sheets.sheet_labels import closed_to_labels, labels_of
from tracer.sheets.track import Track, Way
from tracer.shop.paper import paper_named

BIG = {"scale": 6.0, "board": (600.0, 520.0, 19.05)}


def labelled(tmp_path, **changes):
    plan = small_plan(**changes)
    assembly = assemble(plan)
    return assembly, labels_of(Pdf(tmp_path / "x.pdf", title="", date=plan.job.date), plan, assembly)


def meets(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_labels_stand_whole_on_one_printed_sheet_off_its_seams(tmp_path):
    """At many sizes of paper, so that seams fall now on starts and now beside them."""
    for width in range(120, 180, 6):
        assembly, labels = labelled(tmp_path, paper=paper_named(f"{width} x 150 mm"), **BIG)
        assert len(assembly.used) < assembly.tiling.count  # some sheets are left out
        cells = [assembly.tiling.trimmed(cell) for cell in assembly.used]
        spots = [*labels.runs, *(name.spot for name in labels.islands.names)]
        assert len([spot for spot in spots if spot]) >= 3
        for spot in spots:
            box = np.array(spot.box) - assembly.origin * 2
            home = [c for c in cells if (box[:2] >= c[:2]).all() and (box[2:] <= c[2:]).all()]
            assert len(home) == 1
        for cell in assembly.used:
            for seam in seams_of(assembly, cell):
                strip = (*(np.minimum(seam.start, seam.end) - 3.0), *(np.maximum(seam.start, seam.end) + 3.0))
                assert not any(meets(spot.box, strip) for spot in spots)


def test_labels_keep_off_corner_marks(tmp_path):
    """A corner mark put where a number would stand: the number goes elsewhere."""
    plan = small_plan()
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    assembly = assemble(plan)
    first = labels_of(pdf, plan, assembly).runs[0]
    corner = Corner(assembly.used[0], np.array([first.x, first.y]), (1, 1))
    moved = labels_of(pdf, plan, assembly, [Diagonal(corner, corner)]).runs[0]
    assert not meets(moved.box, (first.x - 4, first.y - 4, first.x + 4, first.y + 4))


def test_one_sheet_closes_nothing():
    assert closed_to_labels(assemble(small_plan())).shape == (0, 4)


def test_run_numbers_can_be_read_at_arms_length():
    """16 minutes of arc at 600 mm at least (ISO 9241-303, from memory); digits are 0.729 of the size high.

    The font's digit height is Bitstream Vera's own: 1493 of 2048 units.
    """
    high = NUMBER_SIZE * POINT * 1493 / 2048
    assert np.degrees(np.arctan(high / 600.0)) * 60 == pytest.approx(17.7, abs=0.1)
    assert np.degrees(np.arctan(high / 600.0)) * 60 >= 16.0


def test_numbers_keep_off_dashes_between_their_ends_too(tmp_path):
    """A straight dashed line given by its two ends passes where the number would stand."""
    pdf = Pdf(tmp_path / "x.pdf", title="", date=small_plan().job.date)
    nowhere, room = np.empty((0, 4)), (0.0, 0.0, 200.0, 200.0)
    start, end = np.array([100.0, 100.0]), np.array([150.0, 150.0])
    plain = Way(1, start, end, (), (), nowhere, 1)
    (spot,) = run_numbers(pdf, Track((), (plain,)), room)
    dashes = np.array([[spot.x, 20.0], [spot.x, 180.0]])
    (moved,) = run_numbers(pdf, Track((), (replace(plain, again=(dashes,)),)), room)
    assert spot.box[0] < dashes[0, 0] < spot.box[2]
    assert not moved.box[0] < dashes[0, 0] < moved.box[2]
