"""Font files: kinds, collections, instances, names, measures, and what is no use."""

import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from letters.fonts import SANS, font_path, sans

from tracer.errors import LetterError
from tracer.lettering import Lettering
from tracer.letters.faces import face_named, names
from tracer.letters.font import open_font
from tracer.letters.measures import cap_height_of, stem_of
from tracer.letters.outline import FARTHEST, FINER, MOST, rings_of
from tracer.letters.set_words import set_words

CABIN = ("fontpkg_cabin", "Cabin[wdth,wght].ttf")


def built(path: Path, **how: Any) -> Path:
    """A font of boxes made with fontTools: H, I, a counter, a box on its own, space."""
    builder_module = pytest.importorskip("fontTools.fontBuilder")
    pens = pytest.importorskip("fontTools.pens.ttGlyphPen")
    boxes: dict[str, list[tuple[int, ...]]] = {
        ".notdef": [],
        "space": [],
        "H": [(50, 0, 150, 700), (450, 0, 550, 700), (150, 300, 450, 400)],
        "I": [(50, 0, 140, 700)],
        "o": [(50, 0, 540, 500), (440, 100, 150, 400)],
    }
    glyphs = {}
    for name, rectangles in boxes.items():
        pen = pens.TTGlyphPen(None)
        for x0, y0, x1, y1 in rectangles:
            pen.moveTo((x0, y0))
            for point in ((x0, y1), (x1, y1), (x1, y0)):
                pen.lineTo(point)
            pen.closePath()
        glyphs[name] = pen.glyph()
    builder = builder_module.FontBuilder(how.get("em", 1000), isTTF=True)
    builder.setupGlyphOrder(list(boxes))
    builder.setupCharacterMap({32: "space", 72: "H", 73: "I", 111: "o", 0x2800: "space", 0x410: "space"})
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics({name: (600 if name != "o" else 611, 50) for name in boxes})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable(how.get("names", {"familyName": "Boxes", "styleName": "Regular"}))
    builder.setupOS2(sCapHeight=how.get("said", 700))
    builder.setupPost()
    if "layers" in how:
        builder.setupCOLR({how["layers"]: [("o", 0), ("I", 1)]})
        builder.setupCPAL([[(0, 0, 0, 1), (1, 0, 0, 1)]])
    if "kern" in how:
        builder.addOpenTypeFeatures(f"feature kern {{ pos H I {how['kern']}; }} kern;")
    builder.save(path)
    return path


def test_check_values_91_to_94(tmp_path: Path) -> None:
    # Rows 91 to 94: mm = units x em / unitsPerEm, em = H x unitsPerEm / capHeight, and
    # rsb = aw - (lsb + xMax - xMin): OpenType specification [S6].
    face = open_font(built(tmp_path / "boxes.ttf", kern=-80))
    drawing = set_words(Lettering("oHIo", height=50.0, cut="outline"), face)
    assert drawing.marks is not None
    o, h, _, last = drawing.marks.letters
    assert 1000 * 50.0 / face.cap_height == pytest.approx(71.429, abs=5e-4)
    assert o.advance == pytest.approx(43.643, abs=5e-4)
    assert h.kern == pytest.approx(-5.714, abs=5e-4)
    ink = [stroke.bounds for stroke in drawing.strokes if stroke.number in drawing.marks.letters[2].strokes]
    right = last.origin[0] - ink[0][2]
    assert right * face.cap_height / 50.0 == pytest.approx(600 - (50 + 140 - 50), abs=1e-9)
    assert 600 - (50 + 540 - 50) == 60


def test_overlapping_strokes_of_a_letter_are_one_area_and_counters_stay(tmp_path: Path) -> None:
    face = open_font(built(tmp_path / "boxes.ttf"))
    (h,) = face.figure(face.shape("H")[0].key)
    assert h.curves[:, 0].min(axis=0).tolist() == [50, 0]
    assert len(face.figure(face.shape("o")[0].key)) == 2


def test_letters_made_one_have_the_kern_of_the_last(tmp_path: Path) -> None:
    face = open_font(built(tmp_path / "boxes.ttf", kern=200))
    drawing = set_words(Lettering("oHI", height=70.0, cut="outline", tracking=-130 / 700), face)
    assert drawing.marks is not None
    both, last = drawing.marks.letters
    assert (both.text, last.text) == ("oH", "I")
    assert both.kern == pytest.approx(20.0)
    assert both.origin[0] + both.advance == pytest.approx(last.origin[0])


class Tangle:
    """A font whose every glyph is a path through given points, in font units of 1000 an em."""

    def __init__(self, points: list[tuple[float, float]]) -> None:
        self.points = points
        self.face = type("Face", (), {"upem": 1000})

    def draw_glyph_with_pen(self, _: int, pen: Any) -> None:
        pen.moveTo(self.points[0])
        for point in self.points[1:]:
            pen.lineTo(point)
        pen.closePath()


def test_outlines_that_no_letter_has_are_refused() -> None:
    steps = [(float(k), float(k % 7)) for k in range(MOST + 2)]
    with pytest.raises(LetterError, match=rf"has {MOST + 2} curves, more than {MOST}"):
        rings_of(Tangle(steps), 1)
    far = 1000 * FINER * (FARTHEST + 1)
    with pytest.raises(LetterError, match=r"reaches 65 em from its origin, more than 64"):
        rings_of(Tangle([(0.0, 0.0), (far, 0.0), (0.0, 500.0)]), 1)
    with pytest.raises(LetterError, match="reaches nan em"):
        rings_of(Tangle([(0.0, 0.0), (float("nan"), 0.0), (0.0, 500.0)]), 1)


@pytest.mark.parametrize(
    ("said", "expected"),
    [(700, 700), (701, 700), (650, 700), (0, 700), (-30000, 700)],
)
def test_the_height_of_capitals_is_believed_where_h_agrees(
    tmp_path: Path, said: int, expected: float
) -> None:
    assert open_font(built(tmp_path / "boxes.ttf", said=said)).cap_height == expected


def test_the_height_of_capitals_without_h_is_what_is_said_or_a_rule() -> None:
    assert cap_height_of(680, [], 1000) == 680
    assert cap_height_of(0, [], 1000) == 700
    assert cap_height_of(9000, [], 2000) == 1400


def test_the_stem_is_that_of_a_plain_i(tmp_path: Path) -> None:
    face = open_font(built(tmp_path / "boxes.ttf"))
    assert face.stem == pytest.approx(90)
    h = [contour.curves for contour in face.figure(face.shape("H")[0].key)]
    assert stem_of(h, 900) == 0.0
    assert stem_of([], 700) == 0.0


def test_lines_and_quadratics_become_cubics_exactly() -> None:
    (border,) = sans().figure(sans().shape("l")[0].key)
    assert border.closed
    assert np.array_equal(border.curves[:, 3], np.roll(border.curves[:, 0], -1, axis=0))


def test_named_instances_and_axis_values_of_a_variable_font() -> None:
    path = font_path(*CABIN)
    plain, bold, valued = open_font(path), open_font(path, "bold"), open_font(path, "wght=700, wdth=100")
    assert plain.stem < bold.stem == valued.stem
    assert bold.name == "Cabin Bold"
    assert valued.name == "Cabin wght=700, wdth=100"


@pytest.mark.parametrize("wanted", ["Heavy", "wght=1000", "wgth=500", "wght=", "wght=nan", "wght=500,,"])
def test_an_unknown_instance_is_refused_with_those_there_are(wanted: str) -> None:
    with pytest.raises(LetterError, match=r"wght=400 to 700, wdth=75 to 100"):
        open_font(font_path(*CABIN), wanted)
    with pytest.raises(LetterError, match=r"Regular, Medium, SemiBold, Bold"):
        open_font(font_path(*CABIN), "Heavy")


def test_a_font_with_one_form_takes_its_own_name_only() -> None:
    assert open_font(SANS, "Regular").name == "Varela Round Regular"
    with pytest.raises(LetterError, match="no variable font"):
        open_font(SANS, "Bold")


def collection(folder: Path) -> Path:
    """A collection of three faces: two with names, one variable."""
    module = pytest.importorskip("fontTools.ttLib")
    one = module.TTCollection()
    boxes = built(folder / "boxes.ttf", names={"familyName": "Crates", "styleName": "Plain"})
    one.fonts = [module.TTFont(path) for path in (SANS, boxes, font_path(*CABIN))]
    one.save(folder / "three.ttc")
    return folder / "three.ttc"


def test_faces_of_a_collection_by_number_and_name(tmp_path: Path) -> None:
    path = collection(tmp_path)
    assert open_font(path).name == "Varela Round Regular"
    assert open_font(path, "2").name == open_font(path, "crates plain").name == "Crates Plain"
    assert open_font(path, "3/Bold").name == "Cabin Bold"
    assert open_font(path, "2").cap_height == 700
    with pytest.raises(
        LetterError, match=r"it holds: 1 Varela Round Regular, 2 Crates Plain, 3 Cabin Regular"
    ):
        open_font(path, "4")


def test_outlines_of_cubics_are_read(tmp_path: Path) -> None:
    face = open_font(font_path("font_source_serif_pro", "SourceSerifPro-Regular.otf"))
    assert face.name == "Source Serif Pro"
    assert len(face.figure(face.shape("o")[0].key)) == 2


def test_what_a_font_says_of_its_licence() -> None:
    assert sans().licence == "OFL 1.1"


def test_a_font_without_a_licence_says_so(tmp_path: Path) -> None:
    assert open_font(built(tmp_path / "boxes.ttf")).licence == "the font names no licence"
    owned = {"familyName": "Boxes", "styleName": "Regular", "copyright": "by the burrow"}
    assert open_font(built(tmp_path / "owned.ttf", names=owned)).licence == "the font names no licence"


def test_a_font_without_a_name_has_its_files(tmp_path: Path) -> None:
    assert open_font(built(tmp_path / "crate.ttf", names={})).name == "crate"


def test_a_letter_whose_outline_is_empty_is_no_space(tmp_path: Path) -> None:
    face = open_font(built(tmp_path / "boxes.ttf"))
    with pytest.raises(LetterError, match=r'empty outline for "А" \(U\+0410\), character 2 of "HАI"'):
        face.shape("HАI")
    assert [glyph.name for glyph in face.shape("H\u2800I")] == ["H", "space", "I"]


def test_a_letter_in_colours_without_an_outline_is_named(tmp_path: Path) -> None:
    face = open_font(built(tmp_path / "boxes.ttf", layers="space"))
    with pytest.raises(LetterError, match=r"has a picture and no outline for .* \(U\+0410\)"):
        face.shape("АH")
    assert [glyph.name for glyph in face.shape("H I")] == ["H", "space", "I"]


def without(path: Path, *tags: str, extra: dict[str, bytes] | None = None) -> Path:
    """The shipped sans less some tables, with others of raw bytes."""
    module = pytest.importorskip("fontTools.ttLib")
    font = module.TTFont(SANS)
    for tag in tags:
        del font[tag]
    for tag, data in (extra or {}).items():
        table = module.newTable(tag)
        table.data = data
        font[tag] = table
    font.save(path, reorderTables=False)
    return path


def test_bitmaps_and_colours_alone_are_refused(tmp_path: Path) -> None:
    path = without(tmp_path / "bits.ttf", "glyf", "loca", extra={"sbix": bytes(8)})
    with pytest.raises(LetterError, match="pictures of letters only"):
        open_font(path)
    with pytest.raises(LetterError, match="no outlines of letters"):
        open_font(without(tmp_path / "none.ttf", "glyf", "loca"))


@pytest.mark.parametrize("tag", ["cmap", "hmtx"])
def test_a_font_without_a_table_it_needs_is_refused(tmp_path: Path, tag: str) -> None:
    data = bytearray(SANS.read_bytes())
    at = data.index(tag.encode())
    data[at : at + 4] = b"xxxx"
    (tmp_path / "font.ttf").write_bytes(data)
    with pytest.raises(LetterError, match=f"lacks its table {tag}"):
        open_font(tmp_path / "font.ttf")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no font; TTF, OTF"),
        (b"Once there was a hare.", "no font; TTF, OTF"),
        (b"wOF2" + bytes(60), "a web font"),
        (b"%!PS-AdobeFont-1.0", "Type 1"),
        (b"\x00\x01\x00\x00", "list of tables is cut short"),
        (b"ttcf", "list of the collection's faces is broken"),
        (SANS.read_bytes()[:50_000], r"cut short: 50000 bytes, and its table \w+ ends at"),
    ],
)
def test_what_is_no_font_is_a_sentence(tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "hare.ttf").write_bytes(data)
    with pytest.raises(LetterError, match=words):
        open_font(tmp_path / "hare.ttf")


def test_missing_files_and_folders_are_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(LetterError, match="cannot be read: No such file"):
        open_font(tmp_path / "none.ttf")
    with pytest.raises(LetterError, match="no font"):
        open_font(tmp_path)
    if not hasattr(os, "mkfifo"):
        return  # Windows
    os.mkfifo(tmp_path / "pipe.ttf")
    with pytest.raises(LetterError, match="no font"):
        open_font(tmp_path / "pipe.ttf")
    with pytest.raises(LetterError, match="cannot be read: not a path"):
        open_font("a\0b.ttf")


def test_the_faces_that_ship_can_be_opened_by_name() -> None:
    for name in names():
        assert face_named(Lettering("", face=name)).cap_height > 0
    assert face_named(Lettering("", face=str(SANS))).name == "Varela Round Regular"


def test_an_unknown_face_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(LetterError, match=r'no face "grotesk"; faces that ship: .*sans'):
        face_named(Lettering("", face="grotesk"))
    with pytest.raises(LetterError, match=r'no font file "grotesk.otf"'):
        face_named(Lettering("", face="grotesk.otf"))
    with pytest.raises(LetterError, match="no face"):
        face_named(Lettering("", face=" "))


def test_a_single_stroke_face_has_no_instances() -> None:
    with pytest.raises(LetterError, match="one form only"):
        face_named(Lettering("", face="plain", instance="Bold"))
