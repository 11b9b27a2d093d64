"""What is said of words: from how far they read, how bold they are, stems against the groove."""

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from report.lettered_words import laid, set_words

from tracer.job import Job
from tracer.lengths import parse_length
from tracer.lettering import Lettering
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.report.build import build_plan
from tracer.shop.bits import RoundNose, Straight, VBit

FT = 304.8


def plan_of(drawing: Drawing, height: float, **job: Any) -> Plan:
    return build_plan(laid(drawing, height), Job(**job))


def said(plan: Plan, check: str) -> Finding | None:
    found = [finding for finding in plan.findings if finding.check == check]
    assert len(found) < 2
    return found[0] if found else None


def test_how_far_letters_carry_is_told() -> None:
    note = said(plan_of(set_words("AVE"), 25.4), "from how far letters read")
    assert note is not None
    assert note.severity == "note"
    assert "read well from 3 m (10 ft)" in note.message  # 1 in for every 10 ft [S3]
    assert "as far as 2.7 m (9 ft)" in note.message  # 5/8 in to 6 ft, then 1/8 in a foot [S2]
    assert "made out from 7.6 m (25 ft)" in note.message  # 25 ft an inch [S4]
    assert "bare wood read worse" in note.message


def test_letters_too_small_for_ada_at_any_distance() -> None:
    note = said(plan_of(set_words("AVE"), 12.0), "from how far letters read")
    assert note is not None
    assert "want 15.9 mm (5/8 in) at the least" in note.message


@pytest.mark.parametrize(
    ("height", "severity", "words"),
    [
        (10.0, "risk", "are too small"),
        (28.0, "risk", "are small"),
        (33.0, "note", "are small"),
        (35.0, None, ""),
    ],
)
def test_letters_small_for_their_distance(height: float, severity: str | None, words: str) -> None:
    """At 12 ft the trade's rule asks for 1.2 in (30.5 mm), the ADA table for 1 3/8 in (34.9 mm) [S3][S2]."""
    far = 12 * FT
    plan = plan_of(set_words("AVE"), height, read_from=far)
    found = said(plan, "letters small for their distance")
    assert said(plan, "from how far letters read") is None
    if severity is None:
        assert found is None
        return
    assert found is not None
    assert (found.severity, words in found.message) == (severity, True)
    assert "30.5 mm (1 13/64 in)" in found.message
    assert "34.9 mm (1 3/8 in)" in found.message
    assert found.remedy == "By all three it holds with capitals from 35 mm (1 3/8 in) high."
    assert said(plan_of(set_words("AVE"), 35.0, read_from=far), "letters small for their distance") is None


def test_what_the_board_takes_is_told_beside_the_height_to_read() -> None:
    drawing = set_words("AVE")
    plan = plan_of(drawing, 20.0, read_from=30 * FT, board=(150.0, 100.0, 19.0))
    assert said(plan, "letters small for their distance") is not None


@pytest.mark.parametrize(("height", "thin"), [(25.0, True), (5.5, False), (10.0, None), (18.0, None)])
def test_groove_against_height(height: float, thin: bool | None) -> None:
    """A groove of 1.833 mm suits capitals from 6.11 to 18.33 mm [S1][D]."""
    plan = plan_of(set_words("IOI"), height)
    found = {one: said(plan, f"letters {one} for their height") for one in ("thin", "bold")}
    assert (found["thin"] is not None, found["bold"] is not None) == (thin is True, thin is False)
    if thin is not None:
        one = found["thin" if thin else "bold"]
        assert one is not None
        assert "suits capitals from 6.11 mm to 18.3 mm" in one.message


def depth_in(remedy: str) -> float:
    found = re.search(r"at ([\d.]+ mm) [^,.]*deep", remedy)
    assert found
    return parse_length(found[1])


@pytest.mark.parametrize("height", [25.0, 40.0, 5.5])
def test_a_depth_that_is_offered_holds(height: float) -> None:
    drawing = set_words("IOI")
    for check in ("letters thin for their height", "letters bold for their height"):
        finding = said(plan_of(drawing, height), check)
        if finding is not None:
            assert said(plan_of(drawing, height, depth=depth_in(finding.remedy)), check) is None


def test_a_bit_at_hand_that_suits_is_named() -> None:
    bits = (("core", RoundNose(6.35)), ("fine", Straight(1.0)), ("sign V", VBit(90.0, 12.7)))
    finding = said(plan_of(set_words("IOI"), 25.0, bits=bits), "letters thin for their height")
    assert finding is not None
    # 90 deg at 1.5875 mm is 3.2 mm wide, 13% of 25 mm: the depth stays as it is.
    assert re.search("with your bit “(core|sign V)” at 1.58 mm", finding.remedy)
    bits = (("fine", Straight(1.0)),)
    finding = said(plan_of(set_words("IOI"), 25.0, bits=bits), "letters thin for their height")
    assert finding is not None
    assert "fine" not in finding.remedy


def test_stems_of_a_face_against_its_height() -> None:
    drawing = set_words("LIT", cut="outline")
    assert said(plan_of(drawing, 40.0), "face bold for its height") is None  # 16%
    raised = said(plan_of(set_words("LIT", cut="outline", raised=True), 40.0), "face bold for its height")
    assert raised is not None
    assert "at most 15% (703.2)" in raised.message


def test_stem_as_wide_as_the_groove() -> None:
    """A stem about as wide as the groove needs one track down the middle (derived by geometry)."""
    drawing = set_words("LIT", cut="outline")
    found = said(plan_of(drawing, 12.0), "stems as wide as the groove")  # 1.92 mm; the groove is 1.83
    assert found is not None
    assert said(plan_of(drawing, 30.0), "stems as wide as the groove") is None


def test_letters_lighter_than_their_face() -> None:
    drawing = set_words("LIT")
    marks = drawing.marks
    assert marks is not None
    drawing = replace(drawing, marks=replace(marks, stem=16.0))
    found = said(plan_of(drawing, 30.0), "letters lighter than their face")  # stems of 4.8 mm
    assert found is not None
    depth = depth_in(found.remedy)
    assert said(plan_of(drawing, 30.0, depth=depth), "letters lighter than their face") is None
    heavy = said(plan_of(drawing, 8.0), "letters heavier than their face")  # stems of 1.28 mm
    assert heavy is not None
    assert "capitals from 10 mm" in heavy.remedy
    assert said(plan_of(drawing, 10.0), "letters heavier than their face") is None
    assert said(plan_of(drawing, 9.0), "letters heavier than their face") is not None


@pytest.mark.parametrize(("share", "heavy"), [(0.18, False), (0.28, True), (0.35, True)])
def test_heavy_faces_are_better_cut_by_their_edges(share: float, heavy: bool) -> None:
    """Stems of bold faces are 0.28 of the capitals and more, of those for reading up to 0.18 (looked at)."""
    drawing = set_words("LIT")
    marks = drawing.marks
    assert marks is not None
    drawing = replace(drawing, marks=replace(marks, stem=share * marks.cap_height))
    found = said(plan_of(drawing, 50.0), "letters lighter than their face")
    assert found is not None
    assert ("crooked where strokes meet" in found.message) is heavy
    assert ("--cut outline" in found.remedy and "take a lighter face" in found.remedy) is heavy


@pytest.mark.parametrize("height", [8.0, 10.0])
def test_stems_thinner_than_the_groove_are_said_once_for_a_face(height: float) -> None:
    """Where the inward offset vanishes the stem is thinner than the groove (derived by geometry)."""
    drawing = set_words("LOVE IT".replace("E", "e"), cut="outline")
    plan = plan_of(drawing, height)
    check = "letters narrower than the groove"
    assert [f.check for f in plan.findings if f.severity == "loss"] == [check]
    found = said(plan, check)
    assert found is not None
    heights = re.search(r"with capitals from ([\d.]+ mm)", found.remedy)
    assert heights
    enough = parse_length(heights[1])
    assert said(plan_of(drawing, enough), check) is None
    assert said(plan_of(drawing, enough - 1.0), check) is not None
    if found.remedy.startswith("All hold at"):
        assert said(plan_of(drawing, height, depth=depth_in(found.remedy)), check) is None


def test_sharp_points_of_letters_are_corners_and_no_narrow_gaps() -> None:
    plan = plan_of(set_words("VIV", cut="outline", raised=True), 30.0)
    assert said(plan, "gaps of letters narrower than the groove") is None
    corner = said(plan, "corner blunt")
    assert corner is not None
    assert "2 sharp corners of the letters come out round, serifs too: the worst, " in corner.message
    assert "in the 1st V" in corner.message
    angle = 2 * math.atan(22 / 76)  # of the notch: 22 wide either side, 76 deep
    short = Job().groove / 2 * (1 / math.sin(angle / 2) - 1)  # (w / 2) (1 / sin(p / 2) - 1), by geometry
    assert corner.measured == pytest.approx(short, abs=0.05)


def test_a_bit_with_which_corners_come_out_sharp_holds() -> None:
    drawing, bits = set_words("LV", cut="outline"), (("fine", VBit(15.0, 6.0)),)
    corner = said(plan_of(drawing, 40.0, bits=bits, depth=3.0), "corner blunt")
    assert corner is not None
    depth = depth_in(corner.remedy)
    assert said(plan_of(drawing, 40.0, depth=depth), "corner blunt") is None
    assert said(plan_of(drawing, 40.0, depth=depth + 0.2), "corner blunt") is not None


def test_tracks_beside_letters_fill_in_no_bends() -> None:
    pytest.importorskip("uharfbuzz")
    from tracer.letters import faces
    from tracer.letters import set_words as setting

    lettering = Lettering("Lane", face="sans", height=45.0, cut="outline", raised=True)
    drawing = setting.set_words(lettering, faces.face_named(lettering))
    plan = build_plan(laid(drawing, 100.0), Job(bit=Straight(3.175), depth=3.0))
    assert said(plan, "bend fills in") is None


def test_pictures_have_no_findings_about_letters() -> None:
    import shapes

    plan = build_plan(shapes.layout_of(shapes.drawing_of("EMMA")), Job())
    assert not [f.check for f in plan.findings if "letter" in f.check]
