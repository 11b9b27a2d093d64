"""What the sheets must agree with outside this project; the source stands beside each value.

[D] derived by arithmetic, so it catches slips only; [S8] ISO 32000-1, 8.3.2, as restated
by vendors; [S9] the table of absolute lengths in CSS Values.
"""

from dataclasses import replace

import pytest
from sheets import pages
from sheets.plans import small_plan

from tracer.lengths import MM_PER_INCH
from tracer.sheets.assembly import assemble
from tracer.sheets.job_sheet import write_job_sheet
from tracer.sheets.template import write_template
from tracer.sheets.tiling import tile, tile_held
from tracer.sheets.track import track_of
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer, doubts

INCH = MM_PER_INCH
A4, A4_ACROSS = (210.0, 297.0), (297.0, 210.0)
A3_ACROSS = (420.0, 297.0)
LETTER, LETTER_ACROSS = (8.5 * INCH, 11 * INCH), (11 * INCH, 8.5 * INCH)


# columns = ceil((W - o) / (p - o)), p = sheet - 2 margins [D]; overlap 10-15 mm is common practice, no source
@pytest.mark.parametrize(
    ("figure", "sheet", "margin", "expected"),
    [
        ((24 * INCH, 12 * INCH), LETTER, INCH / 2, (4, 2)),
        ((24 * INCH, 12 * INCH), LETTER_ACROSS, INCH / 2, (3, 2)),
        ((600.0, 400.0), A4, 10.0, (4, 2)),
        ((1200.0, 500.0), A3_ACROSS, 10.0, (4, 2)),
        ((190.0, 277.0), A4, 10.0, (1, 1)),  # exactly full: must not become 2 or 4
    ],
)
def test_sheets_across_and_down(figure, sheet, margin, expected):
    tiling = tile_held(*figure, sheet, kept=(margin, margin, 0.0, 0.0))
    assert tiling is not None
    assert (tiling.columns, tiling.rows) == expected


def test_paper_held_the_way_that_needs_fewer_sheets_is_chosen():
    """Letter across needs 6 sheets where upright needs 8 [D]."""
    tiling = tile(24 * INCH, 12 * INCH, paper_named("Letter"), margin=INCH / 2, overlap=INCH / 2)
    assert (tiling.count, tiling.landscape) == (6, True)


# 1/72 in is the PDF's unit [S8]; A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1)
@pytest.mark.parametrize(
    ("paper", "points"), [("A4", (595.276, 841.890)), ("Letter", (612.0, 792.0))], ids=["A4", "Letter"]
)
def test_pages_are_as_large_as_the_paper(tmp_path, paper, points):
    plan = small_plan(paper=paper_named(paper))
    write_template(plan, tmp_path / "template.pdf")
    write_job_sheet(plan, tmp_path / "job-sheet.pdf")
    for name in ("template.pdf", "job-sheet.pdf"):
        assert pages.sizes(tmp_path / name)[0] == pytest.approx(points, abs=1e-3)


# 96 CSS px an inch [S9]
@pytest.mark.parametrize(
    ("paper", "pixels"), [("Letter", (816.0, 1056.0)), ("A4", (793.70, 1122.52))], ids=["Letter", "A4"]
)
def test_paper_in_css_pixels(paper, pixels):
    sheet = paper_named(paper)
    assert (sheet.width / INCH * 96, sheet.height / INCH * 96) == pytest.approx(pixels, abs=5e-3)


# 100 x 100 / 99.2 and so on [D]; axes further apart than 0.3 % mean that the feed slips (common practice)
@pytest.mark.parametrize(
    ("bar", "percent", "slips"),
    [((99.2, 99.2), (100.81, 100.81), False), ((99.5, 100.4), (100.50, 99.60), True)],
)
def test_the_measured_bar_says_at_which_scale_to_draw(bar, percent, slips):
    printer = Printer(*bar, measured=True)
    assembly = assemble(small_plan(printer=printer))
    assert tuple(100 * factor for factor in assembly.stretch) == pytest.approx(percent, abs=5e-3)
    assert any("slipping" in doubt for doubt in doubts(printer)) == slips


# the template is 100 / k percent of the finished size [D]
@pytest.mark.parametrize(("ratio", "percent"), [(0.4, 250.0), (0.5, 200.0), (0.6, 166.67)])
def test_the_template_is_the_carving_divided_by_the_ratio(ratio, percent):
    plan = small_plan(linkage=Linkage(ratio))
    track = track_of(plan)
    x0, _, x1, _ = track.extent
    wood = plan.cut[0].bounds
    assert 100 * (x1 - x0 - track.band) / (wood[2] - wood[0]) == pytest.approx(percent, abs=5e-3)


def test_a_groove_of_2_mm_is_shown_4_mm_wide_at_half():
    """w / k [D]."""
    plan = small_plan()
    plan = replace(plan, grooves=tuple(replace(groove, width=2.0) for groove in plan.grooves))
    assert track_of(plan).band == pytest.approx(4.0)


def test_the_line_to_follow_is_a_hairline(tmp_path):
    """At most 0.3 mm, as template notes of the trade have it (common practice, no source)."""
    plan = small_plan()
    write_template(plan, tmp_path / "template.pdf")
    assembly = assemble(plan)
    cell, origin = assembly.used[0], assembly.origin
    x, y = 40 - origin[0] - cell.x + 10, 68 - origin[1] - cell.y + 10  # the ring's leftmost place
    image = pages.rendered(tmp_path / "template.pdf", dpi=1200, part=(x - 2, y - 1, x + 2, y + 1))
    across = pages.red(image)[image.shape[0] // 2]
    assert 0.1 < across.sum() * INCH / 1200 <= 0.3
