"""The sample jobs are what the documents say of them; the picture's lines are taken from its truth."""

import json
from pathlib import Path

import numpy as np
import pytest

import tracer
from tracer.laid_out import lay_out
from tracer.model.drawing import Drawing, Stroke
from tracer.settle import resolve

FOLDER = Path(__file__).parents[2] / "sample_art"


def true_drawing(name: str) -> Drawing:
    """The drawing a perfect reading would give, its unit the mm of the page."""
    truth = json.loads((FOLDER / name).with_suffix(".truth.json").read_text("utf-8"))
    strokes = [
        Stroke(number, np.array(one["curves"], float), bool(one["closed"]), "line")
        for number, one in enumerate((one for one in truth["strokes"] if one["kind"] == "line"), 1)
    ]
    return Drawing(tuple(strokes), (), (297, 210), 1.0, name=name)


def test_the_headboard_is_a_name_under_the_hare_inside_a_rounded_border() -> None:
    job = resolve({}, job_file=FOLDER / "headboard.toml")
    hare, name, border = job.pieces
    assert Path(hare.art) == FOLDER / "hare-page.jpg"
    assert name.words is not None
    assert border.border is not None
    words = tracer.letter(name.words.words, height=name.words.height, tracking=name.words.tracking)
    layout = lay_out({0: true_drawing("hare-page.jpg"), 1: words}, job)
    assert job.board is not None
    width, height, _ = job.board
    picture, letters, edge = layout.extents
    assert edge == pytest.approx((20, 20, width - 20, height - 20))
    assert letters[1] - picture[3] == pytest.approx(22.0)
    assert letters[3] - letters[1] == pytest.approx(45.0)
    for x in (picture[0] + picture[2], letters[0] + letters[2]):
        assert x == pytest.approx(width)
    # The margin from the border's groove to the others' is kept on two sides at least, and used up.
    room = job.margin + job.groove
    kept = [picture[0] - edge[0], picture[1] - edge[1], edge[3] - letters[3]]
    assert min(kept) == pytest.approx(room, abs=1e-4)
    assert layout.pieces[0].scale > 1.5
