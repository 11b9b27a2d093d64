"""What is said of corners, bends and loops, and that its remedies work."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapes

from tracer.acts import Side
from tracer.job import Job
from tracer.lengths import parse_length
from tracer.model.drawing import Drawing, Region
from tracer.model.finding import Finding
from tracer.model.plan import Groove
from tracer.report.build import build_plan
from tracer.report.corner_findings import about_corners
from tracer.report.cut import Cut
from tracer.report.openings import Opening
from tracer.report.trial import Trials
from tracer.shop.bits import VBit

STAR = [
    (100 + r * np.sin(np.pi * k / 5), 100 - r * np.cos(np.pi * k / 5))
    for k, r in zip(range(11), [100, 45] * 6, strict=False)
]
STAR[-1] = STAR[0]


def said(
    drawing: Drawing | Sequence[shapes.Part],
    width: float = 100.0,
    faces: Sequence[Opening] = (),
    **more: object,
) -> dict[str, Finding]:
    """The findings by check; each check at most once."""
    job = Job(**more)  # type: ignore[arg-type]
    drawn = drawing if isinstance(drawing, Drawing) else shapes.drawing_from(drawing)
    layout = shapes.layout_of(drawn, width_mm=width, job=job)
    grooves = tuple(Groove(stroke.number, job.depth, job.groove) for stroke in layout.strokes)
    cut = Cut(layout.strokes, grooves)
    found = list(about_corners(Trials(layout, job), cut, layout.joints, faces=faces))
    assert len({finding.check for finding in found}) == len(found)
    return {finding.check: finding for finding in found}


def star(width: float) -> list[shapes.Part]:
    return [shapes.line(*STAR, width=width), shapes.line((0, 250), (200, 250), width=width)]


def tight(radius: float) -> list[shapes.Part]:
    """A line that goes up, turns by 120 deg and comes down; 100 across."""
    arc = shapes.arc((50, 0), radius, 210, 330).curves
    before = shapes.line((0, 100), tuple(arc[0, 0])).curves
    after = shapes.line(tuple(arc[-1, 3]), (100, 100)).curves
    return [shapes.Part(np.concatenate([before, arc, after]), width=1.0)]


SMALL_RING = [shapes.ring((10, 10), 0.9, 0.5), shapes.line((0, 30), (100, 30), width=1.5)]
CASES = {"corner blunt": star(2.0), "loop closes up": SMALL_RING, "bend fills in": tight(0.3)}


def test_a_star_says_how_blunt_it_comes_out() -> None:
    finding = said(star(1.0), 200.0)["corner blunt"]
    assert finding.severity == "note"
    assert finding.strokes == (1,)
    assert finding.message.startswith("5 sharp corners come out blunter than drawn")
    assert finding.measured is not None
    assert finding.measured > 0.5


def test_one_of_each_is_said_in_the_singular() -> None:
    assert said(SMALL_RING)["loop closes up"].message.startswith(
        "A loop closes up under the groove. Upper left"
    )
    assert said(tight(0.3), depth=2.0)["bend fills in"].message.startswith(
        "A tight bend fills in on the inside"
    )
    corner = [shapes.line((0, 50), (100, 0), (0, -50), width=0.1)]
    assert said(corner, depth=3.0)["corner blunt"].message.startswith("A sharp corner comes out")


def test_a_loop_that_closes_is_a_loss() -> None:
    finding = said(SMALL_RING)["loop closes up"]
    assert (finding.severity, finding.strokes) == ("loss", (1,))
    assert finding.measured == pytest.approx(1.8, abs=0.05)  # on the wood as in the drawing
    assert "bend fills in" not in said(SMALL_RING)


def test_corners_of_a_loop_that_closes_are_not_said_again() -> None:
    square = shapes.line((0, 0), (3, 0), (3, 3), (0, 3), (0, 0), width=0.1)
    assert list(said([square, SMALL_RING[1]], depth=3.0)) == ["loop closes up"]


@pytest.mark.parametrize("check", CASES)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_each_remedy_works(check: str, units: str) -> None:
    parts = CASES[check]
    job = {"units": units, "bit": VBit(90.0, 12.7), "depth": 1.4}
    finding = said(parts, **job)[check]
    words = r"(?:at (.+?) \(.*?\) deep, )?with a (\d+) deg V, or from (.+?) \(.*\) wide"
    ways = re.search(words, finding.remedy)
    assert ways
    width = parse_length(ways[3])
    if ways[1]:  # no depth is offered that is too little to be set
        assert check not in said(parts, **job | {"depth": parse_length(ways[1])})
    assert check not in said(parts, **job | {"bit": VBit(float(ways[2]), 12.7)})
    assert check not in said(parts, width, **job)
    assert check in said(parts, 0.8 * width, **job)


def test_nothing_is_said_where_a_third_line_begins() -> None:
    from_point = shapes.line((100, 0), (100, -100), width=1.0)
    assert said(star(1.0)[:1], depth=3.0)["corner blunt"].message.startswith("5 sharp")
    assert said([star(1.0)[0], from_point], 190.0, depth=3.0)["corner blunt"].message.startswith("4 sharp")
    from_top = shapes.line((50, -0.3), (50, -100), width=1.0)
    assert list(said(tight(0.3), depth=2.0)) == ["bend fills in"]
    assert said([*tight(0.3), from_top], depth=2.0) == {}


def test_an_edge_is_not_cured_by_size() -> None:
    edge = [shapes.Part(star(1.0)[0].curves, closed=True, kind="edge")]
    assert " wide" not in said(edge)["corner blunt"].remedy


@pytest.mark.parametrize(("side", "angle"), [("inside", "60"), ("outside", "83")])
def test_beside_an_edge_only_corners_that_the_bit_does_not_get_into_are_blunt(side: Side, angle: str) -> None:
    # The bit goes round points that stand outside its track, and into no notch
    edge = shapes.line((0, 50), (86.6, 0), (86.6, 100), (0, 50))
    notched = shapes.line((0, 50), (86.6, 0), (30, 50), (86.6, 100), (0, 50))
    parts = [shapes.Part((edge if side == "inside" else notched).curves, closed=True, kind="edge")]
    drawing = replace(shapes.drawing_from(parts), regions=(Region(1, side=side),))
    job = Job(depth=5.0)
    layout = shapes.layout_of(drawing, width_mm=86.6, job=job)
    plan = build_plan(layout, job)
    (finding,) = about_corners(Trials(layout, job), Cut(plan.cut, plan.grooves), ())
    assert finding.check == "corner blunt"
    assert finding.message.startswith("3 sharp" if side == "inside" else "A sharp")
    assert f", {angle} deg)" in finding.message


def test_a_hole_that_closes_is_said_and_a_solid_that_fills_is_not() -> None:
    rings = [shapes.ring((50, 50), 50.0), shapes.ring((50, 50), 0.8)]
    edges = [shapes.Part(ring.curves, closed=True, kind="edge") for ring in rings]
    plain = shapes.drawing_from(edges)
    assert "loop closes up" not in said(plain)
    assert said(replace(plain, regions=(Region(1, (2,)),)))["loop closes up"].strokes == (2,)
    assert "loop closes up" not in said(replace(plain, regions=(Region(1, (2,), "outside"),)))


def test_faces_of_several_strokes_are_gathered_with_loops() -> None:
    face = Opening((1, 2), (5.0, 5.0), radius=0.9, drawn=0.2, groove=1.83)
    assert said(star(2.0), 200.0, faces=[face])["loop closes up"].strokes == (1, 2)


def test_nothing_is_said_where_the_groove_is_as_the_line() -> None:
    for name in ("face", "wheel", "spiral", "OLIVER", "nothing", "dots"):
        assert said(shapes.drawing_of(name), 300.0, depth=0.8) == {}
