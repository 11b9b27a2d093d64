"""Letters that the face has run on into one another, along the middle of their strokes."""

import pytest
from any_face import AnyFace

from tracer.lettering import Lettering
from tracer.letters.face import Glyph
from tracer.letters.set_words import set_words


class Running(AnyFace):
    """Boxes 500 wide; the next begins 450 on, after a space or a capital 600 on."""

    def shape(self, line: str) -> tuple[Glyph, ...]:
        advance = {True: 450.0, False: 600.0}
        return tuple(
            Glyph(ord(c), c, k, (0.0, 0.0), advance[c.islower()], 0.0) for k, c in enumerate(line)
        )


@pytest.mark.parametrize("tracking", [0.0, 0.3, -0.1])
def test_letters_run_on_where_the_face_has_them_touch_whatever_the_tracking(tracking: float) -> None:
    face = Running()
    how = Lettering("Hare he", cut="middle", tracking=tracking)
    drawing = set_words(how, face, figure_of=face.figure)
    assert drawing.marks is not None
    assert [one.joined for one in drawing.marks.letters] == [False, True, True, False, True, False]


def test_letters_moved_into_one_another_by_tracking_do_not_run_on() -> None:
    face = AnyFace()  # 600 on
    drawing = set_words(Lettering("abc", cut="middle", tracking=-0.3), face, figure_of=face.figure)
    assert drawing.marks is not None
    assert not any(one.joined for one in drawing.marks.letters)
