"""Pieces of lines strung together."""

import numpy as np

from tracer.vector.stretches import NOTCH
from tracer.vector.strings import End, Joint, Strings
from tracer.vector.visible import Piece


def test_scraps_that_nothing_goes_on_from_are_left_out() -> None:
    places = [np.array([[x, 0.0], [x + 2, 0.0]]) for x in (0.0, 4.0, 20.0)]
    strings = Strings([Piece(NOTCH, NOTCH, points) for points in places])
    east = np.array([1.0, 0.0])
    one, other = End(0, 1, places[0][1], east), End(1, 0, places[1][0], -east)
    strings.join([Joint(0.0, one, other, np.array([[3.0, 0.0]]))])
    strings.drop({1, 2})
    (whole,) = strings.whole()
    assert whole.points[:, 0].tolist() == [0, 2, 3, 4, 6]
