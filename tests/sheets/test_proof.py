"""The proof at finished size, rendered by a program that had no part in writing it and measured."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from sheets.pages import rendered, sizes, texts
from sheets.plans import small_plan, with_break, with_join

from tracer.geometry import bezier
from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly, assemble
from tracer.sheets.preview import finest_scale
from tracer.sheets.proof import _as_finished, _round_board, write_proof
from tracer.shop.linkage import Linkage
from tracer.shop.paper import paper_named
from tracer.shop.printer import Printer

DPI = 150
PX = DPI / 25.4


def sheets_of(plan: Plan) -> Assembly:
    return _round_board(_as_finished(plan), assemble(_as_finished(plan)))


def proof(plan: Plan, folder: Path) -> Path:
    write_proof(plan, folder / "proof.pdf")
    return folder / "proof.pdf"


def brightness(path: Path, sheets: Assembly, points: np.ndarray) -> np.ndarray:
    """Return how bright (n,) the paper is at places on the wood (n, 2) mm, each on the sheet that has it."""
    pages = cache(lambda page: rendered(path, page, dpi=DPI).min(axis=2))
    found = np.empty(len(points))
    for k, point in enumerate(points):
        x, y = point - sheets.origin
        page, cell = next(
            (page, cell)
            for page, cell in enumerate(sheets.used)
            for x0, y0, x1, y1 in (sheets.tiling.trimmed(cell),)
            if x0 <= x <= x1 and y0 <= y <= y1
        )
        on_page = (np.array([x, y]) - (cell.x, cell.y) + sheets.tiling.margin) * sheets.stretch
        column, row = np.floor(on_page * PX).astype(int)
        found[k] = pages(page)[row, column]
    return found


def beside(plan: Plan, number: int, away: float) -> np.ndarray:
    """Return places (n, 2) along a stroke, `away` mm to one side of it."""
    curves = next(stroke.curves for stroke in plan.cut if stroke.number == number)
    t = np.linspace(0.05, 0.95, 60) * len(curves)
    middles = bezier.points_at(curves, t)
    ahead = bezier.points_at(curves, t + 1e-4) - middles
    return middles + away * np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]


@pytest.mark.parametrize("scale", [1.0, 3.0])
@pytest.mark.parametrize("settings", [{}, {"linkage": Linkage(0.4, None, turned=True)}])
def test_grooves_lie_where_they_will_be_on_the_wood(
    scale: float, settings: dict[str, object], tmp_path: Path
) -> None:
    """Stroke 4, alone in the ring: grey to its groove's edge, white beyond it, on one or more sheets."""
    plan = small_plan(scale=scale, board=(140.0 * scale, 100.0 * scale, 19.05), **settings)
    path, sheets = proof(plan, tmp_path), sheets_of(plan)
    assert (len(sheets.used) > 1) is (scale > 1)
    half = next(groove.width for groove in plan.grooves if groove.stroke == 4) / 2
    off = 0.2 + 1 / finest_scale(plan)  # as fine as the picture is, and the page's own pixels
    for side in (-1, 1):
        assert (brightness(path, sheets, beside(plan, 4, side * (half - off))) < 250).all()
        outside = brightness(path, sheets, beside(plan, 4, side * (half + off)))
        assert np.mean(outside > 250) > 0.9  # the board's middle line and the sheets' own marks cross it


def test_a_measured_bar_corrects_the_proof_too(tmp_path: Path) -> None:
    plan = small_plan(printer=Printer(99.0, 101.0, measured=True))
    path, sheets = proof(plan, tmp_path), sheets_of(plan)
    assert (brightness(path, sheets, beside(plan, 4, 0.0)) < 250).all()
    assert sheets.stretch == pytest.approx((100 / 99, 100 / 101))


def test_every_sheet_says_that_it_is_no_template(tmp_path: Path) -> None:
    plan = small_plan(scale=3.0, board=(420.0, 300.0, 19.05))
    pages = texts(proof(plan, tmp_path))
    assert len(pages) == len(sheets_of(plan).used) > 1
    for words in pages:
        assert "NOT the template" in words
        assert "must measure 100 mm" in words
        assert "dashed blue is left out" in words
    assert "dashed" not in texts(proof(replace(plan, dropped=()), tmp_path))[0]


def test_the_board_is_shown_whole_where_the_sheets_are_large_enough(tmp_path: Path) -> None:
    """170 x 230 mm on A4, the figure near one corner: all edges lie on the one sheet."""
    plan = small_plan(board=(170.0, 230.0, 19.05), paper=paper_named("A4"))
    words = texts(proof(plan, tmp_path))
    assert len(words) == 1
    assert words[0].count("edge of the board") == 4
    assert "board's edge to grooves' middles: left 20 mm, top 12 mm" in " ".join(words[0].split())


def test_left_out_strokes_are_blue_and_broken_wood_is_grey(tmp_path: Path) -> None:
    plan = with_break(with_join(small_plan()))
    sheets = sheets_of(plan)
    path = proof(plan, tmp_path)
    image = rendered(path, dpi=DPI).astype(int)
    blue = (image[..., 2] - image[..., 0] > 60).sum()
    assert blue > 200
    inside = np.array([[56.0, 31.0], [40.0, 34.0], [73.0, 28.0]])  # in the ring, clear of smile and middle
    assert (brightness(path, sheets, inside) < 250).all()
    whole = proof(small_plan(), tmp_path)
    assert (brightness(whole, sheets, inside) > 250).all()


def test_same_plan_gives_the_same_bytes_and_whole_pages(tmp_path: Path) -> None:
    plan = small_plan(paper=paper_named("Letter"))
    first = proof(plan, tmp_path).read_bytes()
    assert proof(plan, tmp_path).read_bytes() == first
    assert sizes(tmp_path / "proof.pdf") == [pytest.approx((612, 792))]
    assert len(first) < 500_000
