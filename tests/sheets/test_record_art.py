"""What report.json tells of a piece of words."""

from any_face import AnyFace

from tracer.geometry import affine
from tracer.lettering import Lettering
from tracer.letters.set_words import set_words
from tracer.model.layout import Piece
from tracer.sheets.record_art import art_record


def test_capitals_are_told_as_high_as_they_are_on_the_wood() -> None:
    """Words without a height have capitals of 100 units: at half a mm to the unit, 50 mm."""
    drawing = set_words(Lettering("ab", cut="outline"), AnyFace())
    told = art_record(2, Piece(drawing, affine.scaling(0.5), "ab"))
    assert (told["piece"], told["kind"], told["words"]["cap_height_mm"]) == (2, "words", 50.0)
