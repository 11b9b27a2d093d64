"""What is read while the router runs can be read at arm's length."""

from math import atan, degrees

import pytest
from sheets.plans import small_plan, with_break, with_stops
from sheets.words import word_plan

from tracer.sheets.marks import WORK_SIZE
from tracer.sheets.pdf import POINT, Pdf
from tracer.sheets.placement_sheet import write_placement
from tracer.sheets.proof import write_proof
from tracer.sheets.template import write_template
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer


@pytest.fixture
def sizes(monkeypatch):
    """Return the sizes, points, of all words that are written from here on."""
    found, write = {}, Pdf.text

    def text(self, x, y, words, size, **how):
        found.setdefault(size, words)
        write(self, x, y, words, size, **how)

    monkeypatch.setattr(Pdf, "text", text)
    return found


def test_it_subtends_12_minutes_of_arc_at_600_mm():
    """12 to 16 are asked for of what is read at a work place (from memory)."""
    assert 60 * degrees(atan(WORK_SIZE * POINT * 1493 / 2048 / 600.0)) > 12.0


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_no_word_on_template_proof_or_placement_is_smaller(tmp_path, sizes, paper):
    """With all that a sheet may have to say: stops, islands, set-ups, a bar, a table that is too small."""
    told = {"paper": paper_named(paper), "printer": Printer(99.2, 100.4, measured=True)}
    table = {"linkage": Linkage(0.5, table=(300.0, 200.0)), "scale": 3.0, "board": (300.0, 260.0, 19.0)}
    for plan in (with_break(with_stops(small_plan(**told))), small_plan(**told, **table)):
        write_template(plan, tmp_path / "template.pdf")
        write_proof(plan, tmp_path / "proof.pdf")
    write_placement(word_plan("EMMA LATE IN", height=60.0, **told), tmp_path / "placement.pdf")
    smallest = min(sizes)
    assert smallest >= WORK_SIZE, sizes[smallest]
