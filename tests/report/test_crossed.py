"""Letters that cut through one another, against words set with gaps and arcs that are known."""

import re

import pytest
from report.lettered_words import laid, set_words

import tracer
from tracer.job import Job
from tracer.lengths import parse_length
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.report.anew import Anew, Setting
from tracer.report.build import build_plan
from tracer.report.lettered import Letters
from tracer.report.spacing import _figure

CHECK = "letters cut through each other"


def crossed(drawing: Drawing, height: float = 40.0) -> Finding | None:
    return next((f for f in build_plan(laid(drawing, height), Job()).findings if f.check == CHECK), None)


def set_on(words: str, arc: float, tracking: float = 0.0) -> Finding | None:
    drawing = tracer.letter(words, height=40.0, arc=arc, tracking=tracking)
    return next((f for f in tracer.plan(drawing, Job()).findings if f.check == CHECK), None)


def test_letters_that_cross_are_a_loss_by_name_and_the_tracking_holds() -> None:
    finding = crossed(set_words("LTL", gap=10.0, tracking=-0.3))
    assert finding is not None
    assert finding.severity == "loss"
    assert "the T and the 2nd L cut through each other" in finding.message.replace("The T", "the T")
    offered = re.search(r"a tracking of (-?\d+\.\d+)", finding.remedy)
    assert offered
    drawing = set_words("LTL", gap=10.0, tracking=float(offered[1]))
    assert crossed(drawing) is None
    thin = [f for f in build_plan(laid(drawing, 40.0), Job()).findings if f.check == "wood too thin"]
    assert not thin


def test_two_letters_alone_are_no_joined_up_writing() -> None:
    assert crossed(set_words("TI", gap=10.0, tracking=-0.6)) is not None


def test_letters_that_the_face_joins_are_no_fault() -> None:
    assert crossed(set_words("LLLT", gap=0.0)) is None
    assert crossed(set_words("LITT", gap=12.0, kerns={"TT": -12.0})) is None  # a pair drawn to touch


def test_a_bowl_presses_the_heads_of_letters_together() -> None:
    finding = set_on("THE OLD\nBAKERY", -100.0)
    assert finding is not None
    assert finding.message.startswith("The T and the H")
    arc, tracking = (
        re.search(pattern, finding.remedy) for pattern in (r"radius -([\d.]+ mm)", r"tracking of (\d+\.\d+)")
    )
    assert arc
    assert tracking
    assert set_on("THE OLD\nBAKERY", -parse_length(arc[1])) is None
    assert set_on("THE OLD\nBAKERY", -100.0, float(tracking[1])) is None


def test_lines_that_cross_are_given_a_pitch_that_holds() -> None:
    finding = crossed(set_words("LT\nTL", pitch=0.6))
    assert finding is not None
    pitch = re.search(r"a pitch of (\d+\.\d+)", finding.remedy)
    assert pitch
    assert crossed(set_words("LT\nTL", pitch=float(pitch[1]))) is None


@pytest.mark.parametrize("arc", [None, 150.0, -150.0])
def test_letters_set_anew_lie_as_they_would_be_set(arc: float | None) -> None:
    """Against the setting of words itself, on another arc and with another tracking."""
    other = None if arc is None else 1.4 * arc
    gaps = []
    for radius, tracking in ((arc, 0.05), (other, 0.15)):
        drawing = tracer.letter("LTVA", height=30.0, arc=radius, tracking=tracking)
        layout = tracer.plan(drawing, Job()).layout
        (words,) = Letters(layout).words
        strokes = {stroke.number: stroke for stroke in layout.strokes}
        half = dict.fromkeys(strokes, 0.5)
        anew = Anew(words, [_figure([strokes[n] for n in own], half) for own in words.numbers])
        settings = [Setting(t, anew.now.pitch, r) for r, t in ((arc, 0.05), (other, 0.15))]
        gaps.append([anew.gap((k, k + 1), setting) for setting in settings for k in range(3)])
    assert gaps[0] == pytest.approx(gaps[1], abs=0.01)
