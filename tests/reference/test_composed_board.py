"""A name under a picture inside a border, on one board: set out by hand, and measured on the printed sheet.

The places are worked out from the job file's own numbers by sums on paper; the sheet is rendered at 600 dpi
by another program (pdfium) and measured there.
"""

from pathlib import Path

import numpy as np
import pytest
from sheets import pages

from tracer.model.plan import Plan
from tracer.pipeline import Work
from tracer.settle import resolve
from tracer.sheets.assembly import assemble
from tracer.sheets.template import write_template

HARE = '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="60mm" viewBox="0 0 120 60">\
<path d="M20 10h80v40h-80z" fill="none" stroke="#000" stroke-width="2"/></svg>'

JOB = """\
name = "Composed"
date = 2026-03-01
[board]
size = "180 x 112 x 19 mm"
margin = "5 mm"
[sheets]
paper = "A3"
[rules]
hand = "0.1 mm"
[[pieces]]
border = "10 mm"
border-radius = "12 mm"
[[pieces]]
words = "HI"
cap-height = "15 mm"
tracking = 0.6
below = "hare"
gap = "8 mm"
[[pieces]]
name = "hare"
art = "hare.svg"
width = "80 mm"
"""

LEFT, TOP, RIGHT, BOTTOM = 50.0, 24.5, 130.0, 64.5
"""The picture on the wood: 80 mm wide on 180, 40 high; with the gap of 8 and capitals of 15, 63 on 112."""

NAME = (72.5, 87.5)
"""Top and bottom of the name: 8 below the picture, and its capitals 15."""

BAND = (222, 222, 222)
"""The grey of the groove on the sheet."""


@pytest.fixture(scope="module")
def composed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Path]:
    folder = tmp_path_factory.mktemp("composed")
    (folder / "hare.svg").write_text(HARE)
    (folder / "my.toml").write_text(JOB)
    plan = Work().plan(resolve({}, job_file=folder / "my.toml"))
    write_template(plan, folder / "template.pdf")
    return plan, folder / "template.pdf"


def test_the_pieces_lie_where_sums_on_paper_put_them(composed: tuple[Plan, Path]) -> None:
    border, name, hare = composed[0].layout.extents
    assert border == pytest.approx((10, 10, 170, 102))
    assert hare == pytest.approx((LEFT, TOP, RIGHT, BOTTOM))
    assert (name[1], name[3]) == pytest.approx(NAME)
    assert name[0] + name[2] == pytest.approx(180)


def runs(mask: np.ndarray) -> list[tuple[int, int]]:
    """First and last pixel of each unbroken run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def lines(mask: np.ndarray) -> np.ndarray:
    """Middles of the hairlines across a strip of pixels (n,), mm: what is wider than 0.5 mm is none."""
    thin = [(a, b) for a, b in runs(mask) if (b - a) * pages.MM_PER_PX < 0.5]
    return np.array([(a + b + 1) / 2 * pages.MM_PER_PX for a, b in thin])


def test_the_sheet_is_set_out_by_its_datum_to_a_tenth_of_a_mm(composed: tuple[Plan, Path]) -> None:
    plan, file = composed
    assembly = assemble(plan)
    (cell,) = assembly.used
    # The board's top left on the page, mm; all below is measured from it, twice the wood's numbers.
    x, y = (assembly.tiling.margin - np.array(assembly.origin) - (cell.x, cell.y)).tolist()

    def part(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
        return pages.rendered(file, part=(x + x0, y + y0, x + x1, y + y1))

    across = lines(pages.red(part(0, 71.0, 360, 71.2))[2])  # clear of arrows
    assert across == pytest.approx([20, 2 * LEFT, 2 * RIGHT, 340], abs=0.1)
    down = lines(pages.red(part(120, 0, 120.2, 224))[:, 2])
    assert down == pytest.approx([20, 2 * TOP, 2 * BOTTOM, 204], abs=0.1)
    # The board's own edges, the datum, are broken lines on the sheet.
    for edge in (0.0, 360.0):
        strip = pages.dark(part(edge - 2, 40, edge + 2, 140)).mean(axis=0)
        assert lines(strip > 0.4) - 2 == pytest.approx([0.0], abs=0.1)
    # The capitals, with half a groove above and below, as the grey band shows them.
    band = (part(120, 2 * 68, 260, 2 * 94) == BAND).all(axis=2).sum(axis=1) > 10
    top, bottom = (row * pages.MM_PER_PX / 2 for row in np.flatnonzero(band)[[0, -1]])
    assert bottom - top - plan.job.groove == pytest.approx(15.0, abs=0.1)
    assert 68 + top + plan.job.groove / 2 == pytest.approx(NAME[0], abs=0.1)


def test_it_cuts_as_drawn_and_wood_between_the_pieces_is_looked_at(composed: tuple[Plan, Path]) -> None:
    plan, _ = composed
    assert not [one for one in plan.findings if one.severity != "note"]
    # H, I, the picture and the border: each a plunge, and none more.
    assert plan.totals.plunges == 4
