"""Files of our own come back as the strokes they were written from."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapes import drawing_of
from sheets.plans import small_plan, with_stops
from sheets.words import word_plan

from tracer.art.vector_art import read_svg
from tracer.errors import ArtError
from tracer.geometry import affine
from tracer.model.drawing import Drawing, Stroke
from tracer.sheets.vector_file import write_carving_svg, write_strokes_svg, write_template_svg
from tracer.shop.linkage import Linkage
from tracer.shop.printer import Printer


def same(found: Drawing, wanted: list[Stroke], mm_per_px: float) -> None:
    assert [s.number for s in found.strokes] == [s.number for s in wanted]
    assert [s.kind for s in found.strokes] == [s.kind for s in wanted]
    assert [s.closed for s in found.strokes] == [s.closed for s in wanted]
    for mine, theirs in zip(found.strokes, wanted, strict=True):
        back = mine.transformed(affine.scaling(mm_per_px))
        assert back.curves.shape == theirs.curves.shape
        assert np.abs(back.curves - theirs.curves).max() < 1e-3  # mm
        assert (back.widths is None) == (theirs.widths is None)
        if theirs.widths is not None:
            assert back.widths == pytest.approx(theirs.widths, abs=1e-3)


@pytest.mark.parametrize("turned", [False, True])
def test_template_and_carving(tmp_path: Path, turned: bool):
    plan = with_stops(small_plan()) if turned else small_plan()
    for write, matrix in ((write_template_svg, plan.to_template), (write_carving_svg, affine.scaling(1.0))):
        write(plan, tmp_path / "a.svg")
        found = read_svg(tmp_path / "a.svg")
        assert found.mm_per_px is not None
        moved = [stroke.transformed(matrix) for stroke in plan.cut]
        shift = moved[0].curves[0, 0] - found.mm_per_px * found.strokes[0].curves[0, 0]
        same(found, [s.transformed(affine.translation(*-shift)) for s in moved], found.mm_per_px)


@pytest.mark.parametrize(
    "job",
    [
        {},
        {"linkage": Linkage(0.4, turned=True)},
        {"printer": Printer(99.2, 100.4, measured=True)},
        {"linkage": Linkage(0.6), "declared": False, "scale": 1.7},
    ],
    ids=["plain", "turned", "bar", "no board"],
)
def test_layers_beside_the_strokes_are_no_strokes(tmp_path: Path, job: dict[str, Any]):
    """Whatever the linkage and the printer: the same strokes, at their true size in mm."""
    plan = small_plan(**job)
    for write, scale in ((write_template_svg, 1 / plan.job.ratio), (write_carving_svg, 1.0)):
        write(plan, tmp_path / "a.svg")
        found = read_svg(tmp_path / "a.svg")
        assert [s.number for s in found.strokes] == [s.number for s in plan.cut]
        assert found.mm_per_px is not None
        for mine, theirs in zip(found.strokes, plan.cut, strict=True):
            assert mine.length * found.mm_per_px == pytest.approx(theirs.length * scale, rel=1e-6)
        assert not any("left out" in note or "not followed" in note for note in found.notes)


@pytest.mark.parametrize("turned", [False, True])
def test_words_come_back_as_they_were_set(tmp_path: Path, turned: bool):
    plan = word_plan("LATE", linkage=Linkage(0.5, turned=turned))
    for write, matrix in ((write_template_svg, plan.to_template), (write_carving_svg, affine.scaling(1.0))):
        write(plan, tmp_path / "a.svg")
        found = read_svg(tmp_path / "a.svg")
        assert found.mm_per_px is not None
        moved = [stroke.transformed(matrix) for stroke in plan.cut]
        shift = moved[0].curves[0, 0] - found.mm_per_px * found.strokes[0].curves[0, 0]
        same(found, [s.transformed(affine.translation(*-shift)) for s in moved], found.mm_per_px)


def test_a_strangers_data_aside_is_drawn(tmp_path: Path):
    """Only in files of our own is a layer passed over."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"'
    line = '<g data-aside="yes"><path d="M5 5L35 30" stroke="black" fill="none"/></g></svg>'
    (tmp_path / "a.svg").write_text(f"{head}>{line}")
    assert len(read_svg(tmp_path / "a.svg").strokes) == 1
    (tmp_path / "a.svg").write_text(f'{head} data-strokes="template">{line}')
    with pytest.raises(ArtError):
        read_svg(tmp_path / "a.svg")


@pytest.mark.parametrize("name", ["face", "nested rings", "wheel"])
def test_all_strokes_of_a_drawing(tmp_path: Path, name: str):
    drawing = drawing_of(name)
    write_strokes_svg(drawing, tmp_path / "a.svg")
    found = read_svg(tmp_path / "a.svg")
    scale = drawing.mm_per_px or 1.0
    # Without mm the file's pixels come back times the power of two that reading chooses.
    factor = found.mm_per_px or drawing.size_px[0] / found.size_px[0]
    same(found, [s.transformed(affine.scaling(scale)) for s in drawing.strokes], factor)
    assert {r.outer for r in found.regions} == {r.outer for r in drawing.regions}


def test_a_line_drawn_into_our_file_is_a_stroke_more(tmp_path: Path):
    drawing = drawing_of("face")
    write_strokes_svg(drawing, tmp_path / "a.svg")
    text = (tmp_path / "a.svg").read_text()
    (tmp_path / "a.svg").write_text(text.replace("  </g>", '<path d="M1 1L5 9"/>  </g>'))
    found = read_svg(tmp_path / "a.svg")
    assert len(found.strokes) == len(drawing.strokes) + 1
    assert [s.number for s in found.strokes] == list(range(1, len(found.strokes) + 1))
