"""SVG files go through the hall by what is in them, whatever they are called."""

import gzip
from pathlib import Path

import numpy as np
import pytest
from art.svg_files import PEN, svg
from PIL import Image

import tracer
from tracer.art.svg_xml import holds_svg
from tracer.errors import ArtError
from tracer.job import Job, PieceSpec
from tracer.pipeline import Work
from tracer.reading import Reading

LINE = svg(f'<path d="M10 10h50v30" {PEN}/>')


@pytest.mark.parametrize("name", ["a.svg", "a.svgz", "a.png", "a"])
def test_the_content_decides(tmp_path: Path, name: str):
    path = tmp_path / name
    path.write_bytes(gzip.compress(LINE.encode()) if name.endswith("z") else LINE.encode())
    drawing = tracer.trace(path)
    assert drawing.name == name
    assert len(drawing.strokes) == 1


def test_a_picture_called_svg_is_a_picture(tmp_path: Path):
    pixels = np.full((200, 200), 255, np.uint8)
    pixels[95:105, 20:180] = 0
    Image.fromarray(pixels).save(tmp_path / "a.png")
    (tmp_path / "a.png").rename(tmp_path / "a.svg")
    assert len(tracer.trace(tmp_path / "a.svg").strokes) == 1
    assert not holds_svg(tmp_path / "none.svg")
    assert not holds_svg(tmp_path)


def test_a_job_with_an_svg_file_has_no_picture_of_it(tmp_path: Path):
    (tmp_path / "a.svg").write_text(LINE)
    job = Job(pieces=(PieceSpec(art=str(tmp_path / "a.svg"), width=200.0),))
    work = Work()
    assert work.pictures(job) == {}
    plan = work.plan(job)
    x0, _, x1, _ = plan.strokes[0].bounds
    assert x1 - x0 == pytest.approx(200)
    tracer.write(plan, tmp_path / "pack", art=work.pictures(job))
    assert (tmp_path / "pack" / "report.html").stat().st_size > 0


def test_there_is_one_page(tmp_path: Path):
    (tmp_path / "a.svg").write_text(LINE)
    with pytest.raises(ArtError, match="one page"):
        tracer.trace(tmp_path / "a.svg", Reading(page=2))
