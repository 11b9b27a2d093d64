"""The numbers on the page about pictures are those of the program."""

from pathlib import Path

import pytest

from tracer.art.admit import KEPT, LARGEST, LARGEST_FILE, LARGEST_SHRUNK
from tracer.art.resolution import BELIEVABLE_DPI
from tracer.laid_out import UNKNOWN_WIDTH
from tracer.raster.clean import PINHOLE, SPECK
from tracer.raster.deskew import ASKEW_DEG, DRAWN_DEG
from tracer.raster.dropouts import WORN
from tracer.raster.sheet_words import BOWED
from tracer.report.art_findings import BETTER_PX, LEAST_PX
from tracer.shop.paper import PAPERS

PAGE = " ".join((Path(__file__).parent.parent / "docs" / "pictures.md").read_text(encoding="utf-8").split())


@pytest.mark.parametrize(
    "words",
    [
        f"less than {LEAST_PX:g} pixels wide is followed, with a warning: {BETTER_PX:g} are better",
        f"where it is {BELIEVABLE_DPI[0]:g} to {BELIEVABLE_DPI[1]:g} dpi",
        f"the figure becomes {UNKNOWN_WIDTH:g} mm wide",
        f"bow by more than {100 * BOWED:g} % are said",
        f"smaller than {SPECK:g} squared line widths are dropped, pinholes below {PINHOLE:g} filled",
        f"lies {ASKEW_DEG:g} to {DRAWN_DEG:g} degrees askew, that is said",
        f"with {WORN} or more of them in a picture, a worn copy",
        f"more than {LARGEST / 1e6:g} million pixels ({LARGEST_SHRUNK / 1e6:g} million where",
        f"files above {LARGEST_FILE / 1e9:g} GB",
        f"above {KEPT / 1e6:g} million pixels a picture is made smaller",
        f"ISO 216 allows {PAPERS[0].name} 2 mm in {PAPERS[0].height:g}",
    ],
)
def test_the_page_says_what_the_program_does(words: str) -> None:
    assert words in PAGE
