import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from sheets import pages
from sheets.drawn import drawn
from sheets.plans import small_plan, with_break, with_stops

from tracer.errors import JobError
from tracer.geometry import bezier
from tracer.sheets.assembly import assemble
from tracer.sheets.board_marks import line_points
from tracer.sheets.joins import Kept, seams_of, words_place
from tracer.sheets.marks import WORK_SIZE
from tracer.sheets.pdf import Pdf
from tracer.sheets.pdf_letters import shown
from tracer.sheets.sheet_labels import labels_of
from tracer.sheets.template import write_template
from tracer.sheets.track import track_of
from tracer.shop.linkage import Linkage
from tracer.shop.paper import Paper, paper_named
from tracer.shop.printer import Printer

HOSTILE = (
    '<script>alert("1")</script>&amp;%()\\',
    "line\nbreak \x00\x07\x1b",
    "\u202eturned \u05d0",
    "\U0001f989\U0001f3a8 owl",
    "x" * 250,
    "half \ud800 pair",
    "",
)
BIG = {"scale": 3.0, "board": (300.0, 260.0, 19.05)}


def template(tmp_path, **changes):
    plan = small_plan(**changes)
    write_template(plan, tmp_path / "template.pdf")
    return plan, tmp_path / "template.pdf"


def longest_run(mask):
    """Longest unbroken run of True along the rows of a mask, in pixels."""
    padded = np.pad(mask.astype(np.int8), ((0, 0), (1, 1)))
    change = np.diff(padded, axis=1)
    starts, ends = np.argwhere(change == 1), np.argwhere(change == -1)
    return int((ends[:, 1] - starts[:, 1]).max())


def shift_of(assembly, cell):
    """What brings template mm to mm from the page's top left."""
    return assembly.tiling.margin - np.array(assembly.origin) - (cell.x, cell.y)


def strays(image, assembly, cell, *, dpi):
    """Distances (mm) of the printed hairline's middle from where it should be, at places along all lines.

    Infinite where the sheet should show the line and does not; places under other marks are left out.
    """
    reach = np.arange(-1.5, 1.5, 0.01)
    margin, found = assembly.tiling.margin, []
    for line in assembly.track.lines:
        places = np.linspace(0.05, len(line.curves) - 0.05, 40)
        points = bezier.points_at(line.curves, places) + shift_of(assembly, cell)
        for point, (dx, dy) in zip(points, bezier.tangents_at(line.curves, places), strict=True):
            shown = (point > margin + 2).all() and (point < margin - 2 + np.array(assembly.tiling.cell)).all()
            if line.dot or not shown:
                continue
            probe = (point + np.column_stack([-dy * reach, dx * reach])) * dpi / 25.4
            x, y = np.floor(probe).astype(int).T
            colours = image[y, x].astype(float)
            weight = np.clip(colours[:, 0] - colours[:, 1:].max(axis=1), 0, None)
            if colours.max(axis=1).min() < 100:  # a dot, a ring, a number or a chain line lies across
                continue
            if weight.max() < 60:
                found.append(np.inf)
            elif (weight > 60).sum() * 0.01 < 0.6:  # else an arrow
                found.append((weight * reach).sum() / weight.sum())
    return np.array(found)


def bars(file):
    """Lengths (mm) of the bars across and down: longest unbroken dark lines of the strip and the side."""
    width, height = (side * 25.4 / 72 for side in pages.sizes(file)[0])
    strip = pages.dark(pages.rendered(file, part=(0, height - 38, width, height)))
    side = pages.dark(pages.rendered(file, part=(width - 14, 0, width, height - 42)))
    return [longest_run(mask) * pages.MM_PER_PX - 0.1 for mask in (strip, side.T)]  # less the pen's thickness


def reds(image):
    """Middles (px) of the first and last red place along a strip of pixels (n, 3)."""
    where = np.flatnonzero(pages.red(image[None])[0])
    first = where[: np.flatnonzero(np.diff(np.append(where, 10**9)) > 1)[0] + 1]
    last = where[np.flatnonzero(np.diff(np.append(-(10**9), where)) > 1)[-1] :]
    return first.mean() + 0.5, last.mean() + 0.5


def test_bars_measure_100_mm(tmp_path):
    """Rendered at 600 dpi by another program (pdfium)."""
    _, file = template(tmp_path)
    assert bars(file) == pytest.approx([100.0, 100.0], abs=0.1)


def test_every_line_is_true_to_a_tenth_of_a_mm(tmp_path):
    """At 600 dpi: the outermost lines from each other, and 60 and more places on the page."""
    plan, file = template(tmp_path)
    image = pages.rendered(file)
    assembly = assemble(plan)
    off = strays(image, assembly, assembly.used[0], dpi=pages.DPI)
    assert len(off) > 60
    assert np.abs(off).max() < 0.1
    x, y = ((np.array([112.0, 68.0]) + shift_of(assembly, assembly.used[0])) / pages.MM_PER_PX).astype(int)
    left, right = reds(image[y])
    top, bottom = reds(image[:, x - 120])  # beside the arrows at the bow's middle
    assert (right - left) * pages.MM_PER_PX == pytest.approx(
        144.0, abs=0.1
    )  # the ring is 72 mm wide in the wood
    expected = height_at(plan, 56.0 - 120 * pages.MM_PER_PX / 2)
    assert (bottom - top) * pages.MM_PER_PX == pytest.approx(expected, abs=0.1)


def height_at(plan, x):
    """Template mm between the highest and lowest line at wood x, from places on the ring and the bow."""
    ring, bow = (np.array(s.points(1e-5)) for s in (plan.cut[0], plan.cut[2]))
    top = np.interp(x, *ring[ring[:, 1] < 34][np.argsort(ring[ring[:, 1] < 34][:, 0])].T)
    return 2 * (np.interp(x, *bow.T) - top)


@pytest.mark.parametrize(
    ("printer", "across", "down"),
    [
        (Printer(99.2, 99.2, measured=True), 100.81, 100.81),
        (Printer(99.5, 100.4, measured=True), 100.50, 99.60),
    ],
)
def test_a_measured_bar_corrects_both_axes(tmp_path, printer, across, down):
    """The corrections are those of arithmetic: 100 x 100 / 99.2 and so on."""
    _, file = template(tmp_path, printer=printer)
    assert bars(file) == pytest.approx([across, down], abs=0.1)
    assert pages.sizes(file) == [pytest.approx((595.276, 841.890), abs=1e-3)]


def test_paper_held_across_swaps_the_correction(tmp_path):
    """The smile alone, 200 mm wide and 60 high: one sheet. The bar was measured on paper upright."""
    plan = small_plan(scale=5.0, board=(400.0, 300.0, 19.05), printer=Printer(99.0, 101.0, measured=True))
    plan = replace(plan, grooves=plan.grooves[3:4], runs=plan.runs[:1])
    assert assemble(plan).tiling.landscape
    write_template(plan, tmp_path / "wide.pdf")
    assert bars(tmp_path / "wide.pdf") == pytest.approx([100 / 1.01, 100 / 0.99], abs=0.1)


def test_every_sheet_of_a_large_template_shows_its_lines_in_place(tmp_path):
    plan, file = template(tmp_path, **BIG)
    assembly = assemble(plan)
    assert len(pages.sizes(file)) == len(assembly.used) > 1
    for number, cell in enumerate(assembly.used):
        off = strays(pages.rendered(file, number, dpi=200), assembly, cell, dpi=200)
        assert len(off) > 3
        assert np.abs(off).max() < 0.1


def test_sheets_say_their_names_and_what_they_are(tmp_path):
    plan, file = template(tmp_path, **BIG)
    assembly = assemble(plan)
    for name, words in zip(assembly.names, pages.texts(file), strict=True):
        assert f"{name}\r\nof 3 × 2" in words
        assert "Kite sign" in words
        assert "The carving is half of the template (1:2)" in words
        assert "ratio assumed, not measured" in words
        assert "short edge: must measure 100 mm. Print at actual size" in words
        assert "2026-11-25" in words


def test_a_measured_ratio_is_said_with_its_day(tmp_path):
    _, file = template(tmp_path, linkage=Linkage(0.595, plan_date()))
    (words,) = pages.texts(file)
    assert "59.5 % of the template (1:1.681)" in words
    assert "ratio measured on 2026-11-25" in words


def plan_date():
    return small_plan().job.date


def test_empty_sheets_are_not_printed(tmp_path):
    plan, file = template(tmp_path, scale=6.0, board=(600.0, 520.0, 19.05))
    assembly = assemble(plan)
    assert len(assembly.used) < assembly.tiling.count
    assert len(pages.sizes(file)) == len(assembly.used)
    assert f"{len(assembly.used)} printed" in pages.texts(file)[0]


def test_crosses_fall_on_each_other_on_both_neighbours():
    assembly = assemble(small_plan(**BIG))
    seams = {(cell.name, seam.neighbour): seam for cell in assembly.used for seam in seams_of(assembly, cell)}
    assert len(seams) == 2 * 7  # 3 x 2 sheets have 4 upright and 3 level seams
    for (one, other), seam in seams.items():
        back = seams[other, one]
        np.testing.assert_allclose(seam.crosses, back.crosses)
        assert seam.cut != back.cut
        for cell in assembly.used:
            if cell.name in {one, other}:
                inside = seam.crosses - assembly.origin - (cell.x, cell.y)
                assert (inside > 0).all()
                assert (inside < (cell.width, cell.height)).all()


def test_words_along_a_seam_keep_off_lines_and_signs():
    assembly = assemble(small_plan(**BIG))
    pdf = Pdf(Path("unwritten.pdf"), title="", date=plan_date())
    seam = next(seam for cell in assembly.used for seam in seams_of(assembly, cell) if not seam.upright)
    width = pdf.measure(f"edge of {seam.neighbour} lies here", WORK_SIZE)
    free = words_place(seam, width, ())
    moved = words_place(seam, width, (Kept(free[None], 2.5),))
    assert abs(moved[0] - free[0]) >= width / 2 + 2.5
    assert np.abs(seam.crosses[:, 0] - moved[0]).min() >= width / 2 + 2.9
    everywhere = np.linspace(seam.start, seam.end, 400)
    assert words_place(seam, width, (Kept(everywhere, 1.0),)) is None


@pytest.mark.parametrize("cut", [True, False])
def test_words_of_a_seam_lie_on_no_groove_and_on_no_line_of_the_board(tmp_path, cut):
    """As printed: the box of the words, read back from the file, is off every band and every line beside."""
    changes = BIG | {"paper": paper_named("A5")}
    plan, file = template(tmp_path, **changes)
    assembly, seen = assemble(plan), 0
    pdf = Pdf(tmp_path / "x.pdf", title="", date=plan.job.date)
    thin = line_points(labels_of(pdf, plan, assembly).board)
    for page, cell in enumerate(assembly.used):
        for word in drawn(file, page)[1]:
            if ("lay on" if cut else "lies here") in word.text:
                seen += 1
                box = np.array(word.box) - np.tile(shift_of(assembly, cell), 2)
                for points, clear in ((assembly.track.points, assembly.track.band / 2), (thin, 0.0)):
                    away = np.abs(points - np.clip(points, box[:2], box[2:])).max(axis=1)
                    assert away.min() > clear
    assert seen > 3


def test_dropped_strokes_are_not_on_the_template():
    plan = small_plan()
    assert {line.number for line in track_of(plan).lines} == {1, 2, 3, 4, 6}


def test_the_band_is_as_wide_as_the_groove_divided_by_the_ratio(tmp_path):
    plan, file = template(tmp_path)
    image = pages.rendered(file)
    track = track_of(plan)
    assert track.band == pytest.approx(2 * 1.8331)
    assembly = assemble(plan)
    left = track.extent[0] + track.band / 2 - assembly.origin[0] - assembly.used[0].x + 10
    row = int((68.0 - assembly.origin[1] - assembly.used[0].y + 10) / pages.MM_PER_PX)
    column = int((left + 4) / pages.MM_PER_PX)
    inked = image[row, column - 200 : column].max(axis=1) < 235
    assert inked.sum() * pages.MM_PER_PX == pytest.approx(track.band, abs=0.12)


def test_a_leg_gone_over_again_is_dashed_beside_its_line():
    plan = small_plan()
    way = track_of(plan).ways[2]
    (dashes,) = way.again
    bow = bezier.points_at(plan.cut[2].curves * 2.0, np.linspace(0, 1, 200))
    nearest = np.hypot(*(dashes[:, None] - bow[None]).transpose(2, 0, 1)).min(axis=1)
    assert nearest == pytest.approx(np.full(len(dashes), 1.4), abs=0.1)


def test_a_hop_from_groove_to_groove_is_no_groove_to_go_over_again(tmp_path):
    plan, file = template(tmp_path)
    assert "on to the next ring" not in " ".join(pages.texts(file)[0].split())
    hop = replace(plan.runs[2].legs[3], start=0.5, end=0.5)
    runs = (*plan.runs[:2], replace(plan.runs[2], legs=(*plan.runs[2].legs[:3], hop, plan.runs[2].legs[4])))
    hopping = replace(plan, runs=runs)
    way = track_of(hopping).ways[2]
    assert way.again == ()
    (dots,) = way.hops
    assert dots[0] == pytest.approx(hop.curves[0, 0] * 2.0)
    write_template(hopping, file)
    assert "on to the next ring" in " ".join(pages.texts(file)[0].split())


def test_arrows_point_along_the_way():
    plan = small_plan()
    smile = track_of(plan).ways[0]
    assert len(smile.arrows) >= 1
    assert smile.arrows[0, 2] > 0.3  # from left to right
    np.testing.assert_allclose(np.hypot(smile.arrows[:, 2], smile.arrows[:, 3]), 1.0)


def test_nothing_is_printed_in_the_margin(tmp_path):
    for changes in ({}, BIG, {"printer": Printer(margin=14.0)}):
        plan, file = template(tmp_path, **changes)
        margin = plan.job.printer.margin
        for number, (width, height) in enumerate(pages.sizes(file)):
            image = pages.rendered(file, number, dpi=100)
            x0, y0, x1, y1 = pages.extent_mm(image.min(axis=2) < 250, dpi=100)
            assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > margin - 0.6


def breaks_of(image, assembly, number):
    """Longest stretch (mm) along one stroke's line on the page without red, arrows and marks left out."""
    (line,) = [line for line in assembly.track.lines if line.number == number]
    places = np.linspace(0.05, len(line.curves) - 0.05, 4000)
    points = bezier.points_at(line.curves, places) + shift_of(assembly, assembly.used[0])
    columns, rows = np.floor(points / pages.MM_PER_PX).astype(int).T
    seen = [
        pages.red(image[r - 2 : r + 3, c - 2 : c + 3]).any() or pages.dark(image[r : r + 1, c : c + 1]).any()
        for r, c in zip(rows, columns, strict=True)
    ]
    step = np.hypot(*np.diff(points, axis=0).T).mean()
    gaps = [len(run) for run in "".join("x" if one else " " for one in seen).split("x")]
    return max(gaps) * step, sum(gap * step > 0.5 for gap in gaps)


def test_depth_stops_are_told_apart_without_colour(tmp_path):
    """Lines of the first are whole, those of the second broken at every 7 mm or so by about 1.4 mm."""
    plan = with_stops(small_plan())
    write_template(plan, tmp_path / "t.pdf")
    image, assembly = pages.rendered(tmp_path / "t.pdf"), assemble(plan)
    assert breaks_of(image, assembly, 1)[0] < 0.2
    longest, count = breaks_of(image, assembly, 4)
    assert 0.8 < longest < 1.6
    smile = 2 * bezier.length(plan.cut[3].curves)
    assert count == pytest.approx(smile / 8.4, abs=2)  # some under the arrow
    starts = {way.stop: way.start + shift_of(assembly, assembly.used[0]) for way in track_of(plan).ways}
    shapes = [start_shape(image, starts[stop]) for stop in (1, 2, 3)]
    assert shapes[0] == pytest.approx(np.pi / 4, abs=0.03)  # a circle in the square round it
    assert shapes[1] == pytest.approx(1.0, abs=0.03)  # a square
    assert shapes[2] == pytest.approx(0.5, abs=0.12)  # a triangle, a bit of the cross's line beside it


def start_shape(image, place):
    """Share of its bounding box that a start mark fills."""
    x, y = np.floor(place / pages.MM_PER_PX).astype(int)
    part = image[y - 40 : y + 41, x - 40 : x + 41].max(axis=2) < 40  # within the ring of a lift
    away = np.hypot(*np.mgrid[-40:41, -40:41]) * pages.MM_PER_PX
    part &= away < 1.85
    rows, columns = np.nonzero(part)
    return part.sum() / ((np.ptp(rows) + 1) * (np.ptp(columns) + 1))


def test_the_strip_says_depth_and_runs_of_each_stop(tmp_path):
    write_template(with_stops(small_plan()), tmp_path / "t.pdf")
    (words,) = pages.texts(tmp_path / "t.pdf")
    for said in ("stop 2: 1.6 mm, run 1", "stop 3: 0.8 mm, run 2", "stop 1: 2.4 mm, run 3"):
        assert said in words.replace(" deep", "")
    _, file = template(tmp_path)
    assert "stop 1" not in pages.texts(file)[0]


def test_narrow_paper_still_says_how_deep_each_stop_is(tmp_path):
    plan = with_stops(small_plan(paper=paper_named("100 x 160 mm")))
    write_template(plan, tmp_path / "t.pdf")
    for words in pages.texts(tmp_path / "t.pdf"):
        assert all(f"{depth} mm" in words for depth in ("2.4", "1.6", "0.8"))


def test_same_plan_same_bytes_and_the_date_is_the_jobs(tmp_path):
    _, file = template(tmp_path, **BIG)
    first = file.read_bytes()
    assert template(tmp_path, **BIG)[1].read_bytes() == first
    assert b"D:20261125000000" in first
    several = with_break(with_stops(small_plan()))
    for name in ("a.pdf", "b.pdf"):
        write_template(several, tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_viewers_are_told_not_to_scale_and_fonts_are_inside(tmp_path):
    _, file = template(tmp_path)
    content = file.read_bytes()
    assert b"/PrintScaling /None" in content
    for box in (b"/MediaBox", b"/CropBox", b"/TrimBox"):
        assert box in content
    assert content.count(b"/FontFile2") == 2
    assert b"Helvetica" not in content


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Legal", "Tabloid", "120 x 160 mm", "100 x 100 mm"])
def test_any_paper_shows_the_whole_template(tmp_path, paper):
    plan, file = template(tmp_path, paper=paper_named(paper), **BIG)
    assert len(pages.sizes(file)) == len(assemble(plan).used)


def test_paper_too_small_for_the_marks_is_refused(tmp_path):
    with pytest.raises(JobError, match="80 x 120 mm; the template's marks need 100 mm"):
        template(tmp_path, paper=Paper("card", 80.0, 120.0))


def test_a_plan_that_cuts_nothing_still_gives_a_sheet(tmp_path):
    plan = small_plan()
    write_template(replace(plan, grooves=(), runs=()), tmp_path / "none.pdf")
    (words,) = pages.texts(tmp_path / "none.pdf")
    assert "nothing to follow" in words


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_breaks_nothing(tmp_path, name):
    _, file = template(tmp_path, name=name, art=name)
    (words,) = pages.texts(file)
    assert shown(name)[:20] in " ".join(words.split())
    image = pages.rendered(file, dpi=72)
    x0, _, x1, _ = pages.extent_mm(image.min(axis=2) < 250, dpi=72)
    assert x1 - x0 < 191.0
    assert x0 > 9.0


def test_letters_that_the_font_lacks_are_shown_as_question_marks():
    assert shown("Łódź Straße ½ × 3″ \u202e猫\U0001f989") == "Łódź Straße ½ × 3″ ??"


def test_starts_of_several_stops_in_one_place_are_told_apart_one_round_the_other(tmp_path):
    """The smile's run again at stop 1: its dot is whole, and the square of stop 2 stands open round it."""
    plan = with_stops(small_plan())
    again = replace(plan.runs[0], number=4, stop=1)
    plan = replace(plan, runs=(*plan.runs, again))
    ways = {way.number: way for way in track_of(plan).ways}
    assert [(ways[n].dot, ways[n].open) for n in (1, 4)] == [(2.8, True), (1.0, False)]
    assert not any(ways[n].open for n in (2, 3))
    write_template(plan, tmp_path / "t.pdf")
    assembly = assemble(plan)
    image = pages.rendered(tmp_path / "t.pdf", dpi=300).max(axis=2)
    at = ways[1].start + shift_of(assembly, assembly.used[0])
    dark = []
    for aside in (0.6, 1.6, 2.52):  # the dot, between, and the square's left side: 0.9 of its radius
        x, y = ((at - (aside, 0.0)) / 25.4 * 300).astype(int)
        dark.append(int(image[y, x]) < 100)
    assert dark == [True, False, True]


def test_the_legend_of_a_sheet_tells_of_what_it_shows(tmp_path):
    """The eye is a dot; on small sheets most show no dot, and the ring's wood is named on one at most."""
    file = template(tmp_path)[1]
    assert "dot: stylus on its cross" in " ".join(pages.texts(file)[0].split())
    plan, file = template(tmp_path, **BIG, paper=paper_named("A5"))
    assembly, eye = assemble(plan), next(line for line in track_of(plan).lines if line.dot)
    seen = []
    for cell, words in zip(assembly.used, pages.texts(file), strict=True):
        low = np.add(assembly.origin, (cell.x, cell.y))
        at = eye.points[0] - low
        shown = (at > -6).all() and (at < (cell.width + 6, cell.height + 6)).all()
        seen.append("dot: stylus on its cross" in " ".join(words.split()))
        assert not seen[-1] or shown
        assert ("island in the report" in " ".join(words.split())) == bool(re.search(r"\bi[12]\n", words))
    assert 0 < sum(seen) < len(seen)
