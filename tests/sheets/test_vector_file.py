import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapes import drawing_of, layout_of
from sheets.plans import DATE, GROOVE, small_plan, with_stops
from sheets.words import word_plan

from tracer.model.drawing import Drawing
from tracer.model.plan import SetUp
from tracer.sheets.placement import placed_letters
from tracer.sheets.vector_file import write_carving_svg, write_strokes_svg, write_template_svg
from tracer.shop.linkage import Linkage

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = (
    '<script>alert("1")</script>&amp;',
    "]]> -- \x00\x07\x1b\x7f\ufffe",
    "\u202eturned \u05d0\u05d1 \u0627\u0644",
    "\U0001f989\U0001f3a8 owl",
    "a/b\\c:d*?",
    "x" * 250,
    "half \ud800 pair",
    "",
)


def paths(file: Path) -> dict[str, ET.Element]:
    """The strokes to follow, by their ids."""
    layer = layers(file)["strokes"]
    return {p.get("id", ""): p for p in layer.iter(f"{SVG}path")}


def layers(file: Path) -> dict[str, ET.Element]:
    return {group.get("id", ""): group for group in ET.parse(file).getroot().findall(f"{SVG}g")}


def numbers(data: str) -> np.ndarray:
    return np.array([float(n) for n in re.findall(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?", data)])


def written(tmp_path: Path, **changes: object) -> tuple[Path, Path]:
    plan = small_plan(**changes)
    write_template_svg(plan, tmp_path / "t.svg")
    write_carving_svg(plan, tmp_path / "c.svg")
    return tmp_path / "t.svg", tmp_path / "c.svg"


def test_one_path_a_kept_stroke(tmp_path):
    template, carving = written(tmp_path)
    assert list(paths(template)) == [f"stroke-{n}" for n in (1, 2, 3, 4, 6)]
    assert list(paths(carving)) == list(paths(template))


def test_paths_say_their_kind_and_depth_stop(tmp_path):
    write_template_svg(with_stops(small_plan()), tmp_path / "t.svg")
    looks = {name: path.get("class") for name, path in paths(tmp_path / "t.svg").items()}
    assert looks["stroke-1"] == "line stop-1"
    assert looks["stroke-4"] == "line stop-2"
    assert looks["stroke-6"] == "dot stop-3"
    assert paths(written(tmp_path)[0])["stroke-6"].get("class") == "dot"


def test_size_is_in_mm_and_the_view_is_in_the_same_numbers(tmp_path):
    template, carving = written(tmp_path)
    root = ET.parse(template).getroot()
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("280mm", "200mm", "0 0 280 200")
    assert ET.parse(carving).getroot().get("viewBox") == "0 0 140 100"


@settings(max_examples=20)
@given(ratio=st.floats(0.05, 1.0))
def test_carving_divided_by_the_ratio_is_the_template(tmp_path_factory, ratio):
    template, carving = written(tmp_path_factory.mktemp("svg"), linkage=Linkage(ratio))
    for name, path in paths(carving).items():
        np.testing.assert_allclose(
            numbers(path.get("d")) / ratio, numbers(paths(template)[name].get("d")), rtol=0, atol=1e-6
        )


def test_a_turned_linkage_turns_the_template_about_the_board(tmp_path):
    template, carving = written(tmp_path, linkage=Linkage(0.5, turned=True))
    for name, path in paths(carving).items():
        points = numbers(path.get("d")).reshape(-1, 2)
        turned = numbers(paths(template)[name].get("d")).reshape(-1, 2)
        np.testing.assert_allclose([280.0, 200.0] - 2 * points, turned, rtol=0, atol=1e-6)


def test_another_library_reads_back_the_same_curves(tmp_path):
    """By svgpathtools' parser: every cubic of every stroke, and the closed one closed."""
    from svgpathtools import parse_path

    plan = small_plan()
    write_carving_svg(plan, tmp_path / "c.svg")
    read = paths(tmp_path / "c.svg")
    for stroke in plan.cut:
        curve = parse_path(read[f"stroke-{stroke.number}"].get("d"))
        cubics = np.array([segment.bpoints() for segment in curve if len(segment.bpoints()) == 4])
        np.testing.assert_allclose(np.stack([cubics.real, cubics.imag], axis=-1), stroke.curves, atol=1e-9)
        assert curve.isclosed() == stroke.closed or stroke.kind == "dot"


def test_layers_from_the_lowest_up_and_what_is_only_looked_at(tmp_path):
    for file in written(tmp_path):
        found = layers(file)
        assert list(found) == ["board", "grooves", "strokes", "starts", "left-out"]
        assert [name for name, group in found.items() if not group.get("data-aside")] == ["strokes"]
        assert all(group.findtext(f"{SVG}title") for group in found.values())
        assert found["left-out"].get("display") == "none"
        assert [p.get("id") for p in found["left-out"].iter(f"{SVG}path")] == ["left-out-5"]
    assert "board" not in layers(written(tmp_path, declared=False)[0])


def test_the_board_in_true_millimetres(tmp_path):
    """A board of 140 x 100 mm at 1:2."""
    for file, scale in zip(written(tmp_path), (2, 1), strict=True):
        (edge,) = layers(file)["board"].iter(f"{SVG}rect")
        size = [float(edge.get(key)) for key in ("x", "y", "width", "height")]
        assert size == [0.0, 0.0, 140.0 * scale, 100.0 * scale]


def test_grooves_are_the_strokes_as_wide_as_they_are_cut(tmp_path):
    for file, scale in zip(written(tmp_path), (2, 1), strict=True):
        bands = list(layers(file)["grooves"].iter(f"{SVG}use"))
        assert [band.get("href", "")[1:] for band in bands] == list(paths(file))
        assert [float(band.get("stroke-width")) for band in bands] == [pytest.approx(GROOVE * scale)] * 5


def test_another_renderer_shows_bands_as_wide_as_the_groove(tmp_path):
    """By resvg at 508 dpi, 20 pixels a millimetre: across the top of the ring, 56 mm from the left."""
    resvg = pytest.importorskip("resvg_py")
    image = pytest.importorskip("PIL.Image")
    _, carving = written(tmp_path, declared=False)
    png = bytes(resvg.svg_to_bytes(svg_string=carving.read_text(), dpi=508))
    grey = np.asarray(image.open(io.BytesIO(png)).convert("LA"))
    column = grey[:, 56 * 20, 1] > 128
    first = int(np.argmax(column))
    high = int(np.argmin(column[first:])) / 20
    assert high == pytest.approx(GROOVE, abs=0.1)


def test_runs_start_at_their_dots(tmp_path):
    plan = small_plan()
    template, _ = written(tmp_path)
    dots = np.array(
        [[float(c.get(k)) for k in ("cx", "cy")] for c in layers(template)["starts"].iter(f"{SVG}circle")]
    )
    np.testing.assert_allclose(dots, [2 * run.start for run in plan.runs], atol=1e-3)
    numbers = [one.text for one in layers(template)["starts"].iter(f"{SVG}text")]
    assert numbers == [str(run.number) for run in plan.runs]


@pytest.mark.parametrize("turned", [False, True])
def test_letters_have_their_baselines_and_origins(tmp_path, turned):
    """Each baseline ends a letter's advance after its origin, whose tick stands across it."""
    plan = word_plan("LATE", linkage=Linkage(0.5, turned=turned))
    write_template_svg(plan, tmp_path / "t.svg")
    write_carving_svg(plan, tmp_path / "c.svg")
    for file, to_wood in (
        (tmp_path / "t.svg", np.linalg.inv(np.vstack([plan.to_template, [0, 0, 1]]))),
        (tmp_path / "c.svg", np.eye(3)),
    ):
        marks = list(layers(file)["letters"].iter(f"{SVG}path"))
        assert [mark.findtext(f"{SVG}title") for mark in marks] == list("LATE")
        for mark, letter in zip(marks, placed_letters(plan), strict=True):
            line, tick = np.split(
                numbers(mark.get("d")).reshape(-1, 2) @ to_wood[:2, :2].T + to_wood[:2, 2], 2
            )
            np.testing.assert_allclose(line[-1], np.add(letter.origin, (letter.advance, 0.0)), atol=2e-3)
            np.testing.assert_allclose(tick[:, 0], letter.origin[0], atol=2e-3)
            assert tick[:, 1].min() < letter.origin[1] < tick[:, 1].max()


def test_set_ups_have_their_windows_and_register_marks(tmp_path):
    ups = (
        SetUp(1, (0, 0, 80, 100), (1, 2), ((70.0, 10.0),)),
        SetUp(2, (60, 0, 140, 100), (3,), ((70.0, 10.0),)),
    )
    write_template_svg(replace(small_plan(), set_ups=ups), tmp_path / "t.svg")
    first, second, mark = layers(tmp_path / "t.svg")["set-ups"].iter(f"{SVG}path")
    assert first.findtext(f"{SVG}title") == "set-up 1"
    assert numbers(second.get("d")).reshape(-1, 2).tolist() == [[120, 0], [280, 0], [280, 200], [120, 200]]
    assert numbers(mark.get("d")).reshape(-1, 2).mean(axis=0).tolist() == [140.0, 20.0]


def test_stops_have_groups_of_their_own(tmp_path):
    write_template_svg(with_stops(small_plan()), tmp_path / "t.svg")
    groups = layers(tmp_path / "t.svg")["strokes"].findall(f"{SVG}g")
    assert [group.get("id") for group in groups] == ["stop-1", "stop-2", "stop-3"]
    assert [float(group.get("data-depth-mm")) for group in groups] == [2.4, 1.6, 0.8]
    held = [[p.get("id") for p in group.iter(f"{SVG}path")] for group in groups]
    assert held == [["stroke-1", "stroke-2", "stroke-3"], ["stroke-4"], ["stroke-6"]]


def test_the_file_says_what_it_is(tmp_path):
    """Title, date, source and rights in Dublin Core's own words; ratio and units on the root."""
    said = {"linkage": Linkage(0.4), "art_from": "our own hand", "allowed_by": "Bram & Pim"}
    root = ET.parse(written(tmp_path, name="Kite <1>", **said)[0]).getroot()
    core = "{http://purl.org/dc/elements/1.1/}"
    found = {term.tag.removeprefix(core): term.text for term in root.iter() if term.tag.startswith(core)}
    assert (found["title"], found["date"]) == ("Kite <1>", "2026-11-25")
    assert (found["source"], found["rights"]) == ("our own hand", "Bram & Pim")
    facts = {key: root.get(f"data-{key}") for key in ("strokes", "ratio", "units", "date")}
    assert facts == {"strokes": "template", "ratio": "0.4", "units": "mm", "date": "2026-11-25"}
    plain = ET.parse(written(tmp_path)[0]).getroot()
    assert core + "rights" not in {term.tag for term in plain.iter()}


def test_closed_strokes_are_closed_and_no_others(tmp_path):
    _, carving = written(tmp_path)
    closed = {name for name, path in paths(carving).items() if path.get("d").endswith("Z")}
    assert closed == {"stroke-1"}


def test_same_plan_same_bytes(tmp_path):
    first = [file.read_bytes() for file in written(tmp_path)]
    assert first == [file.read_bytes() for file in written(tmp_path)]
    assert DATE.isoformat().encode() in first[0]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_stays_text(tmp_path, name):
    template, _ = written(tmp_path, name=name)
    root = ET.parse(template).getroot()
    tags = {element.tag for element in root.iter()}
    assert tags <= {element.tag for element in ET.parse(written(tmp_path)[0]).getroot().iter()}
    if name.isascii() and name.isprintable():
        assert (root.findtext(f"{SVG}title") or "") == name


def test_strokes_in_the_arts_own_mm(tmp_path):
    drawing = small_plan().layout.pieces[0].drawing
    write_strokes_svg(drawing, tmp_path / "s.svg")
    root = ET.parse(tmp_path / "s.svg").getroot()
    assert (root.get("width"), root.get("viewBox")) == ("120mm", "0 0 120 90")
    assert list(paths(tmp_path / "s.svg")) == [f"stroke-{n}" for n in range(1, 7)]
    assert {p.get("class") for p in paths(tmp_path / "s.svg").values()} == {"line", "dot"}
    first = numbers(paths(tmp_path / "s.svg")["stroke-1"].get("d"))[:2]
    np.testing.assert_allclose(first, drawing.strokes[0].curves[0, 0] * 0.2)


def test_strokes_in_pixels_where_the_scale_is_not_known(tmp_path):
    drawing = replace(small_plan().layout.pieces[0].drawing, mm_per_px=None)
    write_strokes_svg(drawing, tmp_path / "s.svg")
    root = ET.parse(tmp_path / "s.svg").getroot()
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("600", "450", "0 0 600 450")


def test_a_drawing_without_strokes_is_an_empty_file(tmp_path):
    empty = drawing_of("nothing")
    assert isinstance(empty, Drawing)
    assert layout_of(empty).strokes == ()
    write_strokes_svg(empty, tmp_path / "s.svg")
    assert paths(tmp_path / "s.svg") == {}
