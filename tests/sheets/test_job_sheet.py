import datetime
from dataclasses import replace

import numpy as np
import pytest
from sheets import pages
from sheets.plans import small_plan, with_break, with_passes, with_stops

from tracer.model.finding import Finding
from tracer.sheets.bench_words import CAUTIONS, warnings_of
from tracer.sheets.job_sheet import write_job_sheet
from tracer.sheets.pdf import shown
from tracer.sheets.strip import words_of
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named

HOSTILE = (
    "<b>&amp;\"')(\\",
    "\u202eturned \u05d0",
    "\U0001f989 owl\n\x00",
    "x" * 250,
    "x " * 125,
    "\ud800",
    "",
)


def sheet(tmp_path, plan=None, **changes):
    write_job_sheet(plan or small_plan(**changes), tmp_path / "job-sheet.pdf")
    return tmp_path / "job-sheet.pdf"


def words(file):
    return " ".join(" ".join(pages.texts(file)).split())


def many_runs(count, passes=1):
    plan = small_plan()
    runs = tuple(replace(plan.runs[0], number=number) for number in range(1, count + 1))
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
        "1.59 mm (1/16 in) in one pass",
        "1.83 mm (5/64 in) wide at the face",
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
    assert words_of(only).rest.startswith("carving 78 mm x 68 mm  ")


def test_it_defers_to_maker_and_local_rules_and_calls_nothing_safe(tmp_path):
    said = words(sheet(tmp_path))
    for caution in CAUTIONS:
        assert " ".join(caution.split()) in said
    assert "the marking on the bit and the router's manual come first, then local rules" in said
    assert "does not call it safe" in said


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
        "Stop 2: 1.6 mm deep, groove 1.85 mm",
        "Stop 3: 0.8 mm deep, groove 0.92 mm",
        "Stop 1, pass 1 of 2: 1.7 mm deep",
        "Stop 1, pass 2 of 2: 2.4 mm deep, groove 2.77 mm",
    )
    under = " ".join(pages.text_under(file, "Tick off each run").split())
    places = [under.index(heading) for heading in headings]
    assert places == sorted(places)
    for heading, number in zip(headings, "1233", strict=True):
        assert under.split(heading)[1].split()[0] == number
    assert "Depth stop 1: run 3, 2 passes" in said
    assert "1.7 mm (1/16 in), then 2.4 mm (3/32 in), groove 2.77 mm (7/64 in)" in said
    assert "stop 3 ______ wide (expect 0.92 mm)" in said


def test_a_stop_without_runs_is_not_set(tmp_path):
    plan = with_stops(small_plan())
    plan = replace(plan, runs=tuple(run for run in plan.runs if run.stop != 3))
    assert "top 3" not in words(sheet(tmp_path, plan))


def test_usual_jobs_with_three_stops_fit_one_page(tmp_path):
    plan = with_break(with_stops(small_plan()))
    runs = tuple(replace(plan.runs[0], number=n, stop=1 + n // 15) for n in range(1, 41))
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


def test_of_very_many_runs_every_fifth_is_numbered_on_the_board(tmp_path):
    many, fewer = (words(sheet(tmp_path, many_runs(count))) for count in (61, 60))
    assert "every 5th run numbered" in many
    assert "every 5th" not in fewer
    for number, missing in (("1", 0), ("2", 1), ("5", 0)):
        assert fewer.split().count(number) - many.split().count(number) == missing


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
    assert "deep, continued" in pages.texts(file)[1]
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
    assert said.split() == ["Take", "care", *" ".join(CAUTIONS).split()]


def test_the_heading_of_the_boxes_stands_with_its_first_row(tmp_path):
    finding = Finding("", "note", "", (5,))
    for long in range(10, 70, 4):
        found = tuple(replace(finding, check=f"{n}", message="whiskers and so on " * long) for n in range(2))
        first, *_ = pages.texts(sheet(tmp_path, replace(many_runs(400), findings=found)))
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
    left, _ = pages.place(file, "sheet of A4")
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
