"""Ink that lines leave bare is explained by them after all, and nothing else changes."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from pen import Page

from tracer.raster.ink import find_ink
from tracer.vector.leftover import completed
from tracer.vector.samples import Samples

Line = tuple[Samples, list[int]]
Places = list[tuple[float, float]]

PEN = 10.0


def page(*lines: Places) -> Page:
    whole = Page()
    for line in lines:
        for start, end in pairwise(line):
            whole = whole.line(start, end, width=PEN)
    return whole


def along(points: Places, corners: list[int] | None = None) -> Line:
    parts = [
        np.linspace(p, q, round(np.hypot(q[0] - p[0], q[1] - p[1])) + 1)[:-1] for p, q in pairwise(points)
    ]
    way = np.concatenate([*parts, [points[-1]]])
    return Samples(way, np.full(len(way), PEN), np.ones(len(way), bool), closed=False), corners or []


BAR: Places = [(40, 90), (260, 90)]
BEND: Places = [(60, 60), (150, 140), (240, 60)]


def test_lines_that_explain_all_ink_are_left_alone() -> None:
    lines = [along(BAR), along([(150, 90), (150, 30)])]
    found = completed(find_ink(page(BAR, [(150, 90), (150, 30)]).scan), lines, [])
    assert all(one is other for (one, _), (other, _) in zip(found, lines, strict=True))


def test_a_line_that_ended_on_another_goes_on_into_a_foot_beyond_it() -> None:
    stem: Places = [(150, 30), (150, 97)]
    _, (foot, _) = completed(find_ink(page(BAR, stem).scan), [along(BAR), along([(150, 30), (150, 90)])], [])
    assert foot.points[-1] == pytest.approx([150, 97], abs=1.5)


def test_a_foot_where_no_line_ends_becomes_a_stub() -> None:
    ink = find_ink(page(BAR, [(150, 90), (150, 97)]).scan)
    bar, (foot, _) = completed(ink, [along(BAR)], [])
    assert bar[0].points[:, 1].max() == 90
    assert foot.points[0] == pytest.approx([150, 90], abs=1.5)
    assert foot.points[-1] == pytest.approx([150, 97], abs=1.5)


def test_a_foot_under_colouring_is_no_stub() -> None:
    ink = find_ink(page(BAR, [(150, 90), (150, 97)]).scan)
    coloured = np.zeros_like(ink.line)
    coloured[:, : coloured.shape[1] // 2 + 20] = True  # it may be a scallop of wax as dark as ink
    assert len(completed(replace(ink, coloured=coloured), [along(BAR)], [])) == 1
    assert len(completed(replace(ink, coloured=~coloured), [along(BAR)], [])) == 2


def test_what_hardly_reaches_out_of_a_line_is_no_stub() -> None:
    ink = find_ink(page(BAR, [(150, 90), (150, 92.5)]).scan)
    assert len(completed(ink, [along(BAR)], [])) == 1


def test_a_corner_cut_across_is_pushed_out_to_the_ink() -> None:
    cut: Places = [(60, 60), (139, 130), (161, 130), (240, 60)]
    ((line, corners),) = completed(find_ink(page(BEND).scan), [along(cut)], [])
    assert np.hypot(*(line.points - (150, 140)).T).min() < 2
    assert len(line.points) == len(line.widths) == len(line.clean)
    assert all(0 < corner < len(line.points) - 1 for corner in corners)


def test_a_corner_is_not_pushed_out_from_under_a_line_that_ends_there() -> None:
    cut: Places = [(60, 60), (139, 130), (161, 130), (240, 60)]
    stem: Places = [(150, 130), (150, 40)]
    ink = find_ink(page(BEND, [(150, 140), (150, 40)]).scan)
    lines = [along(cut), along(stem)]
    bend, *_ = completed(ink, lines, [])
    assert bend[0] is lines[0][0]


def test_an_end_that_stops_short_of_its_hook_is_led_on() -> None:
    hook: Places = [(60, 60), (200, 60), (207, 67)]
    ((line, _),) = completed(find_ink(page(hook).scan), [along(hook[:2])], [])
    assert line.points[-1] == pytest.approx([207, 67], abs=2)
    ((back, _),) = completed(find_ink(page(hook).scan), [along(hook[1::-1])], [])
    assert back.points[0] == pytest.approx([207, 67], abs=2)


def test_a_letter_s_stem_keeps_its_foot_below_the_bowl() -> None:
    # The foot is half a pen long beyond the line that runs into the stem: thinning takes it for a spur.
    bowl: Places = [(60, 150), (100, 158), (150, 130), (200, 80)]
    strokes = page(bowl, [(136, 40), (136, 151)]).drawing.strokes
    lowest = max(stroke.bounds[3] for stroke in strokes if abs(stroke.bounds[0] - 136) < 6)
    assert lowest == pytest.approx(151, abs=3)
