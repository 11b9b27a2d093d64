"""How one picture is to be read: what the user says of it because the file does not know."""

from dataclasses import dataclass
from typing import Literal

from tracer.shop.paper import Paper

Follow = Literal["line", "edge"]
Place = tuple[float, float]
Photo = Paper | Literal["auto", "any", "no"]


@dataclass(frozen=True)
class Known:
    """A length that is known: from `a` to `b`, art pixels of the picture as read, it is `length` mm."""

    a: Place
    b: Place
    length: float


@dataclass(frozen=True)
class Reading:
    """How one picture is to be read.

    Attributes
    ----------
    follow : "line" to follow the middle of lines and the edge of what is wider, "edge" for
        the edge of all ink.
    dpi : dots per inch of the art.
    art_width : width of the whole picture on its own paper, mm.
    known : a length in the picture.
    page : which page of a file that has several, from 1.
    photo_of : the paper that was photographed; "any", whichever fits best; "auto", the same if it
        is seen to be a photo of a sheet; "no", none.
    corners : of the sheet in a photo, art pixels of the picture as read: top left, top right,
        bottom right, bottom left; None, they are looked for.
    deskew : a scan that lies a little askew is turned straight.
    close_gaps : small gaps in lines are closed.
    open_gaps : numbers of the gaps that are left open all the same.
    insist : go on though the picture does not look like line art.
    """

    follow: Follow = "line"
    dpi: float | None = None
    art_width: float | None = None
    known: Known | None = None
    page: int = 1
    photo_of: Photo = "auto"
    corners: tuple[Place, Place, Place, Place] | None = None
    deskew: bool = False
    close_gaps: bool = True
    open_gaps: tuple[int, ...] = ()
    insist: bool = False


AS_IT_IS = Reading()
"""Nothing said."""
