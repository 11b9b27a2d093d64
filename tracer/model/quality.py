"""How good a picture is for following its lines."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Quality:
    """What was measured of a picture.

    Attributes
    ----------
    line_px : width of the typical line, art pixels.
    contrast : of ink against paper, 0 none to 1 black on white.
    blur_px : standard deviation of the blur that the edges of its lines show, art pixels.
    """

    line_px: float
    contrast: float
    blur_px: float
