"""A face made by hand that has every character: a box for each, as wide as its place in the alphabet says."""

import numpy as np

from tracer.geometry import bezier
from tracer.letters.face import Contour, Glyph

CAP = 700.0


class AnyFace:
    """Boxes 700 high and 500 wide, the next 600 on; with `single`, their left sides alone."""

    name, licence, cap_height, stem = "Any", "none needed", CAP, 80.0

    def __init__(self, *, single: bool = False) -> None:
        self.single = single

    def shape(self, line: str) -> tuple[Glyph, ...]:
        return tuple(Glyph(ord(c), f"u{ord(c):X}", k, (0.0, 0.0), 600.0, 0.0) for k, c in enumerate(line))

    def figure(self, key: int) -> tuple[Contour, ...]:
        if chr(key).isspace():
            return ()
        if self.single:
            return (Contour(bezier.from_polyline(np.array([[0.0, 0.0], [0.0, CAP]])), closed=False),)
        corners = np.array([[0, 0], [0, CAP], [500, CAP], [500, 0], [0, 0]], float)
        return (Contour(bezier.from_polyline(corners), closed=True),)
