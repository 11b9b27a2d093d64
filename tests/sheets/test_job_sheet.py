import datetime
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from sheets import pages
from sheets.drawn import drawn
from sheets.plans import small_plan, with_break, with_passes, with_stops

from tracer.model.finding import Finding
from tracer.model.plan import SetUp
from tracer.sheets import job_sheet
from tracer.sheets.bench_words import warnings_of
from tracer.sheets.cautions import cautions
from tracer.sheets.job_facts import shift_words
from tracer.sheets.job_sheet import write_job_sheet
from tracer.sheets.legend import legend_of
from tracer.sheets.pdf_letters import shown
from tracer.sheets.strip import words_of
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer

HOSTILE = (
    "<b>&amp;\"')(\\",
    "\u202eturned \u05d0",
    "\U0001f989 owl\n\x00",
    "x" * 250,
    "x " * 125,
    "\ud800",
    "",
)


GROOVE = (115, 115, 115)


def sheet(tmp_path, plan=None, **changes):
    write_job_sheet(plan or small_plan(**changes), tmp_path / "job-sheet.pdf")
    return tmp_path / "job-sheet.pdf"


def words(file):
    return " ".join(" ".join(pages.texts(file)).split())


def many_runs(count, passes=1):
    """Return the small plan with runs that begin all over its board."""
    plan = small_plan()
    (leg,) = plan.runs[0].legs
    runs = []
    for number in range(1, count + 1):
        by = np.array([9.0 * (number % 12) - 30.0, 6.0 * (number // 12 % 14) - 20.0])
        runs.append(replace(plan.runs[0], number=number, legs=(replace(leg, curves=leg.curves + by),)))
    runs = tuple(runs)
    return with_passes(replace(plan, runs=runs), *(1.0 + n for n in range(passes)))


def test_one_page_says_what_the_bench_needs(tmp_path):
    file = sheet(tmp_path)
    assert len(pages.sizes(file)) == 1
    said = words(file)
    for part in (
        "Kite sign",
        "2026-11-25",
        "140 mm x 100 mm x 19.1 mm, pine, grain along the width",
        "78 mm (3 5/64 in) x 68 mm (2 43/64 in) between outermost stroke middles",
        "73.8 mm x 69.8 mm over the grooves",  # of what is cut: stroke 5, the rightmost, is left out
        "V bit, 60 deg included angle (30 deg a side)",
        "1.59 mm (1/16 in) deep, groove 1.83 mm (5/64 in) wide in one pass; depth assumed",
        "The carving is half of the template (1:2)",
        "assumed, not measured",
        "156 mm x 136 mm between stroke middles, 1 sheet of A4: A1",
        "3 (4 without going back over grooves)",
        "1 to 2 min with the router running",
        "Pass 1 of 1, 1.59 mm deep",
        "The art comes from ____",
    ):
        assert part in said


def test_sizes_where_edges_are_followed_outside_are_those_of_the_tracks(tmp_path):
    """A ring 72 x 44 mm drawn, its track 5 mm outside: 82 x 54 mm, twice that on the template."""
    plan = small_plan()
    ring = plan.layout.strokes[0]
    middle = (ring.points(0.01).max(axis=0) + ring.points(0.01).min(axis=0)) / 2
    track = replace(ring, curves=middle + (ring.curves - middle) * np.array([82 / 72, 54 / 44]))
    only = replace(plan, grooves=plan.grooves[:1], runs=plan.runs[-1:], islands=())
    outside = replace(only, strokes=(track, *plan.strokes[1:]))
    said = words(sheet(tmp_path, outside))
    assert "78 mm (3 5/64 in) x 68 mm (2 43/64 in) between the drawing's edges" in said
    assert "83.8 mm x 55.8 mm over the grooves" in said
    assert "164 mm x 108 mm between outermost tracks" in said
    assert words_of(outside).rest.startswith("carving 83.8 mm x 55.8 mm over the gr")
    assert words_of(only).rest == "carving 78 mm x 68 mm"


def test_it_defers_to_maker_and_local_rules_and_calls_nothing_safe(tmp_path):
    said = words(sheet(tmp_path))
    for caution in cautions(small_plan()):
        assert str(caution) in said
    assert "its marking, the router's manual and your local rules come first" in said
    assert "Nothing here says that a bed, cot or toy is safe" in said


def test_measured_and_said_values_are_told_from_assumed_ones(tmp_path):
    origins = {"bit": "said on the command line", "depth": "from the job file"}
    file = sheet(tmp_path, linkage=Linkage(0.595, datetime.date(2026, 11, 1)), origins=origins)
    said = words(file)
    assert "measured 2026-11-01" in said
    assert "said on the command line" in said
    assert "from the job file" in said
    assert "59.5 % of the template (1:1.681)" in said


def test_inches_come_first_for_who_reads_inches(tmp_path):
    assert "5 33/64 in x 3 15/16 in x 3/4 in, pine" in words(sheet(tmp_path, units="in"))


def test_passes_are_listed_with_their_depths(tmp_path):
    plan = with_passes(many_runs(3), 2.0, 3.0)
    said = words(sheet(tmp_path, plan))
    assert "2 passes: 2 mm (5/64 in), then 3 mm (1/8 in)" in said
    assert "Pass 1 of 2, 2 mm deep" in said
    assert "Pass 2 of 2, 3 mm deep" in said


def test_runs_are_grouped_by_depth_stop_in_the_order_of_cutting(tmp_path):
    file = sheet(tmp_path, with_stops(small_plan()))
    assert len(pages.sizes(file)) == 1
    said = words(file)
    headings = (
        "Stop 2: 1.6 mm deep",
        "Stop 3: 0.8 mm deep",
        "Stop 1, pass 1 of 2: 1.7 mm deep",
        "Stop 1, pass 2 of 2: 2.4 mm deep",
    )
    under = " ".join(pages.text_under(file, "Tick off each run").split())
    places = [under.index(heading) for heading in headings]
    assert places == sorted(places)
    for heading, number in zip(headings, "1233", strict=True):
        assert under.split(heading)[1].split()[0] == number
    assert "Stop 1 2.4 mm (0.094 in) deep, groove 2.77 mm (7/64 in) wide" in said  # 1.6 and 1.7 mm: 1/16 in
    assert "run 3, 2 passes: 1.7 mm, then 2.4 mm" in said
    assert "stop 3 ______ wide (expect 0.92 mm)" in said


def test_depths_that_differ_read_differently(tmp_path):
    """1.2 and 1 mm are 3.02 and 2.52 64ths of an inch, both 3/64; 0.047 and 0.039 in (derived)."""
    plan = with_stops(small_plan(units="in"))
    stops = tuple(
        replace(stop, depth=depth, pass_depths=(depth,), width=plan.job.bit.width_at(depth))
        for stop, depth in zip(plan.stops, (1.2, 1.0, 0.5), strict=True)
    )
    said = words(sheet(tmp_path, replace(plan, stops=stops)))
    assert "0.047 in (1.2 mm) deep" in said
    assert "0.039 in (1 mm) deep" in said
    assert "Stop 2: 0.039 in deep" in said
    assert [sign.words[0].split(",")[0] for sign in legend_of(replace(plan, stops=stops)).stops] == [
        "stop 2: 0.039 in deep",
        "stop 3: 0.020 in deep",
        "stop 1: 0.047 in deep",
    ]
    assert "1.59 mm (1/16 in) deep" in words(sheet(tmp_path))


def test_a_stop_without_runs_is_not_set(tmp_path):
    plan = with_stops(small_plan())
    plan = replace(plan, runs=tuple(run for run in plan.runs if run.stop != 3))
    assert "top 3" not in words(sheet(tmp_path, plan))


def test_usual_jobs_with_three_stops_fit_one_page(tmp_path):
    plan = with_break(with_stops(small_plan()))
    runs = tuple(replace(plan.runs[0], number=n, stop=1 + n // 9) for n in range(1, 25))
    assert len(pages.sizes(sheet(tmp_path, replace(plan, runs=runs)))) == 1


def test_wood_removed_is_said(tmp_path):
    said = words(sheet(tmp_path, with_stops(small_plan())))
    assert "Wood removed 1.25 mL (0.042 fl oz, 0.076 cu in)" in said


def test_wood_that_breaks_out_is_named_after_the_losses_and_before_all_else(tmp_path):
    plan = with_break(small_plan())
    found = Finding("standing wood breaks out", "risk", "As the check says it.", (1,), (56.0, 34.0))
    loss, risk, note = plan.findings
    plan = replace(plan, findings=(loss, risk, found, note))
    first, second, *rest = warnings_of(plan)
    assert first.message == loss.message
    assert second.message == (
        "1 piece of standing wood will break out: i2! on the template; it is 2.2 mm (3/32 in) at its "
        "widest, and the rule there asks for 4.5 mm (11/64 in)."
    )
    assert [finding.check for finding in rest] == [risk.check, note.check]
    assert second.message in words(sheet(tmp_path, plan))
    wood = plan.islands[1]
    many = tuple(replace(wood, number=n, area=100.0 + n) for n in range(1, 13))
    said = warnings_of(replace(plan, islands=many))[1].message
    assert "12 pieces of standing wood will break out: i12!, i11!" in said
    assert "i5! and 4 more on the template; the first is" in said


def test_of_many_runs_the_board_comes_again_in_large_with_all_numbers(tmp_path):
    file = sheet(tmp_path, many_runs(180))
    first, second, *_ = pages.texts(file)
    assert "numbers of runs: page 2" in first
    assert "77" not in first.split()
    assert "every 5th" not in first + second
    for number in ("3", "77", "180"):
        assert second.split().count(number) == 2  # on the board and by its box
    few = words(sheet(tmp_path, many_runs(40)))
    assert "every 5th" not in few
    assert "page 2" not in few


def test_of_very_many_runs_every_fifth_is_numbered(tmp_path):
    _, second, *_ = pages.texts(sheet(tmp_path, many_runs(400)))
    assert "every 5th run numbered" in second
    tokens = second.split("grain")[0].split()
    assert "35" in tokens
    assert "37" not in tokens


@pytest.mark.parametrize(("count", "passes"), [(1, 1), (40, 1), (12, 3), (24, 2)])
def test_usual_jobs_fit_one_page(tmp_path, count, passes):
    assert len(pages.sizes(sheet(tmp_path, many_runs(count, passes)))) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_run_of_every_pass_can_be_ticked_off_on_further_pages(tmp_path, paper):
    plan = many_runs(150, passes=3)
    file = sheet(tmp_path, replace(plan, job=replace(plan.job, paper=paper_named(paper))))
    assert len(pages.sizes(file)) > 1
    tokens = words(file).split()
    for number in (1, 77, 150):
        assert tokens.count(str(number)) >= 3
    assert "page 2" in words(file)
    assert "deep, continued" in pages.texts(file)[2]
    assert "continued" not in pages.texts(file)[0]


@pytest.mark.parametrize(
    ("paper", "units", "points"),
    [
        ("A3", "mm", (841.890, 1190.551)),
        ("Legal", "in", (612.0, 1008.0)),
        ("120 x 160 mm", "mm", (595.276, 841.890)),
        ("120 x 160 mm", "in", (612.0, 792.0)),
    ],
)
def test_it_comes_on_the_jobs_paper_unless_that_is_too_small(tmp_path, paper, units, points):
    file = sheet(tmp_path, paper=paper_named(paper), units=units)
    assert pages.sizes(file) == [pytest.approx(points, abs=1e-3)]


def test_the_costliest_finding_of_each_check_is_shown_once():
    plan = small_plan()
    thin = plan.findings[0]
    plan = replace(plan, findings=(thin, replace(thin, message="again"), *plan.findings[1:]))
    first, *rest = warnings_of(plan)
    assert first.message == f"{thin.message} And 1 more like this: see report.html."
    assert [finding.message for finding in rest] == [finding.message for finding in plan.findings[2:]]


def test_many_findings_leave_the_runs_their_room(tmp_path):
    findings = tuple(Finding(f"check {n}", "risk", f"Risk {n}. " + "Much to say. " * 12) for n in range(20))
    file = sheet(tmp_path, replace(small_plan(), findings=findings))
    assert len(pages.sizes(file)) == 1
    assert "Risk 0" in words(file)
    assert "of other kinds: see report.html" in words(file)


def test_long_findings_are_told_by_their_first_sentence_where_they_do_not_all_find_room_whole(tmp_path):
    long = "Stroke 5 is 0.3 mm wide, see rule 703.5.5. The rest " + "and so on " * 60
    found = tuple(Finding(f"check {n}", "loss", f"Loss {n}: {long}") for n in range(3))
    said = words(sheet(tmp_path, replace(many_runs(30), findings=found)))
    assert said.count("see rule 703.5.5.") == 3
    assert "The rest" not in said
    said = words(sheet(tmp_path, replace(many_runs(3), findings=found[:1])))
    assert "The rest and so on" in said


def test_what_helps_against_a_loss_is_told_however_short_its_line(tmp_path):
    """Of a risk it may be left to the report."""
    found = tuple(
        Finding(f"check {n}", severity, f"Worse {n}. The rest " + "and so on " * 60, remedy=f"Do {n} then.")
        for n, severity in enumerate(("loss", "loss", "risk"))
    )
    for plan in (replace(many_runs(30), findings=found), replace(many_runs(3), findings=found[:1])):
        said = words(sheet(tmp_path, plan))
        for finding in plan.findings:
            assert (finding.remedy in said) == (finding.severity == "loss")


def test_nothing_reaches_into_the_margin(tmp_path):
    findings = tuple(Finding(f"check {n}", "risk", f"Risk {n}. " + "Much to say. " * 12) for n in range(20))
    for plan in (small_plan(), many_runs(150, 3), replace(small_plan(name="W" * 250), findings=findings)):
        file = sheet(tmp_path, plan)
        for number, (width, height) in enumerate(pages.sizes(file)):
            x0, y0, x1, y1 = pages.extent_mm(pages.rendered(file, number, dpi=72).min(axis=2) < 250, dpi=72)
            assert min(x0, y0, width * 25.4 / 72 - x1, height * 25.4 / 72 - y1) > 9.4


@pytest.mark.parametrize("count", [3, 60, 150])
def test_nothing_runs_into_the_cautions(tmp_path, count):
    """Under their heading stand the cautions and no number to tick off."""
    said = pages.text_under(sheet(tmp_path, many_runs(count, 3)), "Take care")
    assert said.split() == ["Take", "care", *" ".join(map(str, cautions(small_plan()))).split()]


def test_the_heading_of_the_boxes_stands_with_its_first_row(tmp_path):
    finding = Finding("", "note", "", (5,))
    for long in range(10, 70, 15):
        found = tuple(replace(finding, check=f"{n}", message="whiskers and so on " * long) for n in range(2))
        first, *_ = pages.texts(sheet(tmp_path, replace(many_runs(100), findings=found)))
        assert ("Tick off each run" in first) == ("Pass 1 of 1" in first)


def test_long_findings_leave_a_small_job_its_boxes_on_one_page(tmp_path):
    finding = Finding("", "note", "the wood between two grooves is thin here " * 9, (5,))
    for count in range(1, 6):
        found = tuple(replace(finding, check=f"{n}") for n in range(count))
        assert len(pages.sizes(sheet(tmp_path, replace(many_runs(11), findings=found)))) == 1


@pytest.mark.parametrize(("high", "beside"), [(60.0, False), (600.0, True)])
def test_facts_stand_under_a_low_board_rather_than_beside_it(tmp_path, high, beside):
    file = sheet(tmp_path, small_plan(board=(900.0, high, 19.0), scale=0.5))
    middle = pages.sizes(file)[0][0] / 2
    left, _ = pages.place(file, "with the router running")
    assert (left > middle) == beside


def test_same_plan_same_bytes(tmp_path):
    first = sheet(tmp_path).read_bytes()
    assert sheet(tmp_path).read_bytes() == first
    assert b"/PrintScaling /None" in first


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_breaks_nothing(tmp_path, name):
    plan = small_plan(name=name, art=name)
    finding = replace(plan.findings[0], message=name)
    file = sheet(tmp_path, replace(plan, findings=(finding,)))
    assert len(pages.sizes(file)) == 1
    assert shown(name)[:15].rstrip() in words(file)


def test_a_plan_that_cuts_nothing_still_gives_a_sheet(tmp_path):
    plan = replace(small_plan(), grooves=(), runs=(), islands=(), lands=())
    assert "Kite sign" in words(sheet(tmp_path, plan))


def test_what_the_user_says_of_art_finish_and_revision_is_repeated_and_not_judged(tmp_path):
    told = {"art_from": "Lou's sketch book", "allowed_by": "Lou, by word", "finish": "two coats of oil"}
    said = words(sheet(tmp_path, revision="B", **told))
    assert "The art comes from Lou's sketch book; allowed by Lou, by word" in said
    assert "Finish two coats of oil" in said
    assert "revision B 2026-11-25" in said
    blank = words(sheet(tmp_path, revision=" ", **dict.fromkeys(told, "\u200b ")))
    assert "The art comes from ____" in blank
    assert "may carve it: ____" in blank
    assert "revision" not in blank
    assert "Finish " not in blank.replace("Finished", "")


def test_the_bar_reading_is_told_where_it_was_measured(tmp_path):
    printer = Printer(99.2, 100.4, measured=True)
    said = words(sheet(tmp_path, printer=printer, origins={"printer": "from the shop file, measured"}))
    assert "Printed bars from the shop file, measured 99.2 mm (short edge), 100.4 mm (long edge)" in said
    assert "Printed bars" not in words(sheet(tmp_path))


def test_a_template_too_large_for_the_stylus_and_one_that_lies_flat_are_told_apart(tmp_path):
    """The template is 156 x 136 mm between middles with stroke 5, which is left out."""
    small = Linkage(0.5, table=(100.0, 90.0))
    said = words(sheet(tmp_path, linkage=small, origins={"table": "from the shop file"}))
    told = "Template too large from the shop file TOO LARGE to lie flat under the stylus: 147.7 mm x 139.7 mm"
    assert told in said
    assert "where 100 mm x 90 mm find room" in said
    said = words(sheet(tmp_path, linkage=replace(small, table=(600.0, 400.0))))
    assert "Under the stylus assumed Lies flat under the stylus, where 600 mm x 400 mm find room" in said
    assert "under the stylus" not in words(sheet(tmp_path)).casefold()


def test_of_several_set_ups_the_one_too_large_is_told(tmp_path):
    """Set-up 2 alone holds the ring, 144 x 88 mm on paper."""
    plan = with_set_ups(small_plan())
    linkage = replace(plan.job.linkage, table=(120.0, 80.0))
    said = words(sheet(tmp_path, replace(plan, job=replace(plan.job, linkage=linkage))))
    assert "TOO LARGE to lie flat" in said


def test_a_linkage_that_turns_the_copy_tells_how_the_sheets_lie(tmp_path):
    """By half a turn the sheets' foot, towards you, is copied to the board's side away from you."""
    said = words(sheet(tmp_path, linkage=Linkage(0.5, turned=True)))
    assert "lay the sheets with the board's top, which is at their foot, towards you" in said
    assert "towards you" not in words(sheet(tmp_path))


def with_set_ups(plan):
    """Return the plan with runs 1 and 2 in one position of the board and 3 in the next, moved on for it."""
    first = SetUp(1, (20.0, 10.0, 90.0, 60.0), (1, 2), ((55.0, 30.0),))
    second = SetUp(2, (40.0, 30.0, 110.0, 80.0), (3,), ((55.0, 30.0),))
    job = replace(plan.job, linkage=replace(plan.job.linkage, reach=(70.0, 50.0)))
    return replace(plan, job=job, set_ups=(first, second))


def test_set_ups_have_their_shifts_sheets_and_boxes(tmp_path):
    """The second window lies 20 mm right and 20 mm down: the board goes as far left and up [D]."""
    said = words(sheet(tmp_path, with_set_ups(with_stops(small_plan()))))
    for part in (
        "Reach on the wood assumed 70 mm x 50 mm, 2 set-ups: see how the board is moved",
        "All shifts are measured from where the board lies in set-up 1",
        "Set-up 1: where it lies first; sheet 1-A1; runs 1, 2",
        "Set-up 2: 20 mm (25/32 in) towards its left edge, 20 mm (25/32 in) towards its top edge; sheet",
        "Set-up 1: stop 2: 1.6 mm deep",
        "Set-up 2: stop 1, pass 2 of 2: 2.4 mm deep",
        "each time the board is moved on",
        "bit up, router off, plug out",
    ):
        assert part in said
    assert said.index("Set-up 1: stop 3") < said.index("Set-up 2: stop 1")
    assert "Set-up 1: stop 1" not in said
    assert "Set-up 2: stop 2" not in said
    assert "Move the board" not in words(sheet(tmp_path))


@pytest.mark.parametrize(
    ("shift", "said"),
    [
        ((0.0, 0.0), "where it lies first"),
        ((180.0, 0.0), "180 mm (7 3/32 in) towards its right edge"),
        ((-0.001, 25.4), "25.4 mm (1 in) towards its bottom edge"),
    ],
)
def test_shifts_are_said_by_the_boards_own_edges(shift, said):
    assert shift_words(shift, "mm") == said


def test_a_figure_larger_than_its_board_stays_in_the_picture(tmp_path):
    """Scaled by 3 it begins at 20, 12 mm and is 234 x 204 mm, here on 140 x 100 mm, moved up by 60 mm.

    No groove is drawn in the heading, above the line under the page's title.
    """
    grown = small_plan(scale=3.0)
    up = tuple(replace(one, curves=one.curves - [0.0, 60.0]) for one in grown.strokes)
    for plan in (replace(grown, strokes=up), replace(many_runs(180), strokes=up)):
        file = sheet(tmp_path, plan)
        pictures = 0
        for page in range(len(pages.sizes(file))):
            lines, _ = drawn(file, page)
            grooves = [line.points for line in lines if line.colour == GROOVE and len(line.points) > 2]
            pictures += len(grooves) > 0
            assert all(points[:, 1].min() > 19.5 for points in grooves)
        assert pictures == 1 + (len(plan.runs) > 100)


def test_what_is_said_of_the_picture_is_whole_in_a_narrow_column(tmp_path):
    """A board so high that its picture takes the narrowest column."""
    plan, board = many_runs(41), small_plan(board=(100.0, 400.0, 19.0)).layout.board
    plan = replace(plan, layout=replace(plan.layout, board=board))
    assert "dotted: left out" in words(sheet(tmp_path, plan))


@pytest.mark.parametrize("count", [20, 40])
def test_of_many_set_ups_the_large_board_keeps_its_size_and_the_rest_goes_further_on(tmp_path, count):
    """140 x 100 mm on paper 190 mm wide: 136 mm high, not squeezed by the shifts and boxes after it."""
    plan = many_runs(180)
    window, each = (20.0, 10.0, 90.0, 60.0), np.array_split(np.arange(1, 181), count)
    set_ups = [SetUp(n, window, tuple(runs.tolist()), ()) for n, runs in enumerate(each, 1)]
    job = replace(plan.job, linkage=replace(plan.job.linkage, reach=(70.0, 50.0)))
    file = sheet(tmp_path, replace(plan, job=job, set_ups=tuple(set_ups)))
    lines, _ = drawn(file, 1)
    assert max(np.ptp(line.points[:, 1]) for line in lines) > 130.0
    assert "find no room here" not in words(file)
    for number, (_, height) in enumerate(pages.sizes(file)):
        lowest = max(word.box[3] for word in drawn(file, number)[1])
        assert lowest < height * 25.4 / 72 - 9.4
    places = [words(file).index(f"Set-up {n}: ") for n in range(1, count + 1)]
    assert places == sorted(places)


def test_which_way_runs_go_is_told_with_the_reason(tmp_path):
    plan = many_runs(7)
    pull, push = "Pull it towards you: steadier than pushing.", "Push it away from you, slowly."
    runs = tuple(replace(run, feed=push if run.number in {2, 6} else pull) for run in plan.runs)
    said = words(sheet(tmp_path, replace(plan, runs=runs)))
    assert f"{pull} Runs 1, 3 to 5, 7." in said
    assert f"{push} Runs 2, 6." in said
    assert "10 to 20 mm a second" in said


def test_what_the_router_is_set_by_can_be_read_at_arms_length(tmp_path):
    """Capitals at least 16 minutes of arc high at 600 mm, 2.8 mm; digits are as high (from memory)."""
    file = sheet(tmp_path)
    for said in ("1.59 mm (1/16 in) deep, groove", "half of the template", "3"):
        assert pages.letter_height_mm(file, said) >= 600.0 * math.radians(16 / 60), said


def test_cautions_are_no_smaller_than_what_stands_by_the_settings(tmp_path):
    """8.5 points, of which capitals are 0.73 high: 2.2 mm."""
    file = sheet(tmp_path)
    for caution in cautions(small_plan()):
        assert pages.letter_height_mm(file, f"{caution.about}:") >= 8.5 * 25.4 / 72 * 0.73 - 0.02, caution


def test_sheets_to_tape_together_have_a_line_for_their_diagonals(tmp_path):
    said = words(sheet(tmp_path, small_plan(scale=3.0, board=(400.0, 300.0, 19.0))))
    line = r"Taped up, opposite corner marks .*: [0-9.]+ mm \(.* in\); measured ______ and ______ mm"
    assert re.search(line, said)
    assert "Taped" not in words(sheet(tmp_path))
    assert "as each sheet says" in words(sheet(tmp_path, with_set_ups(small_plan(scale=3.0))))


def test_set_ups_are_drawn_on_the_board_and_within_it(tmp_path):
    """A window that reaches beyond the board ends at its edge."""
    plan = with_set_ups(small_plan())
    first, second = plan.set_ups
    plan = replace(plan, set_ups=(replace(first, window=(-60.0, -10.0, 90.0, 60.0)), second))
    file = sheet(tmp_path, plan)
    assert words(file).count("set-up 2") == 1
    x0, *_ = pages.extent_mm(pages.rendered(file, dpi=72).min(axis=2) < 250, dpi=72)
    assert x0 > 9.4


def test_what_the_template_has_no_room_to_say_of_board_and_clamps_is_to_be_ticked(tmp_path, monkeypatch):
    monkeypatch.setattr(job_sheet, "unsaid_of_board", lambda plan: ("Clamps: by the edges.",))
    assert "Clamps: by the edges. Look out for" in words(sheet(tmp_path))
