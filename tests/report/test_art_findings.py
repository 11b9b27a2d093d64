"""What is said of pictures that could be better."""

from dataclasses import replace

import numpy as np
import pytest

from tracer.job import Job, PieceSpec
from tracer.model.drawing import Drawing, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.quality import Quality
from tracer.pipeline import lay_out
from tracer.report.art_findings import about_art

LINE = Stroke(1, np.array([[[0.0, 0.0], [30.0, 0.0], [60.0, 0.0], [90.0, 0.0]]]), closed=False, kind="line")
GOOD = Quality(line_px=8.0, contrast=0.9, blur_px=1.0)
ART = Drawing((LINE,), (), (600, 400), name="owl.png", quality=GOOD)


def told(drawing: Drawing, job: Job | None = None) -> list[Finding]:
    job = job or Job()
    layout: Layout = lay_out({0: drawing}, job)
    return list(about_art(layout, job))


def test_nothing_of_a_good_picture_nor_of_one_that_never_was() -> None:
    assert not told(ART)
    assert not told(replace(ART, quality=None))


@pytest.mark.parametrize(("pixels", "severity"), [(3.9, "risk"), (4.0, "note"), (5.9, "note"), (6.0, None)])
def test_pixels_across_a_line(pixels: float, severity: str | None) -> None:
    found = told(replace(ART, quality=replace(GOOD, line_px=pixels, blur_px=0.0)))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_a_scan_is_to_be_made_finer() -> None:
    # 0.3 mm at 300 dpi is 3.5 pixels; 6 want 508 dpi, and scanners have 600 (dpi x mm / 25.4).
    scan = replace(ART, mm_per_px=25.4 / 300, quality=replace(GOOD, line_px=0.3 * 300 / 25.4))
    assert told(scan)[0].remedy == "Scan it at 600 dpi (it has 300)."


def test_a_photo_is_to_be_taken_from_nearer() -> None:
    photo = replace(ART, mm_per_px=0.1, size_doubt=2 / 297, quality=replace(GOOD, line_px=3.0))
    assert told(photo)[0].remedy.startswith("Photograph it from 50% of the distance")


def test_a_web_picture_is_to_be_larger() -> None:
    web = replace(ART, quality=replace(GOOD, line_px=3.0))
    assert "1200 x 800 pixels" in told(web)[0].remedy


def test_pale_and_soft_pictures() -> None:
    pale = told(replace(ART, quality=replace(GOOD, contrast=0.2)))
    assert [f.check for f in pale] == ["picture too pale"]
    assert "20% darker" in pale[0].message
    soft = told(replace(ART, quality=replace(GOOD, blur_px=4.0)))
    assert [f.check for f in soft] == ["picture too soft"]


def test_the_doubt_of_paper_counts_where_the_art_gives_the_size() -> None:
    photo = replace(ART, mm_per_px=0.1, size_doubt=2 / 297)  # ISO 216: 2 mm on 297
    assert "0.7% off" in told(photo)[0].message
    assert not told(photo, Job(pieces=(PieceSpec("owl.png", width=200.0),)))
    assert not told(photo, Job(board=(300.0, 200.0, 19.0)))
