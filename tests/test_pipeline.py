"""The hall: what one job's pieces leave behind."""

import inspect
from dataclasses import fields, replace
from pathlib import Path

import cv2
import pytest
from any_face import AnyFace
from pen import Page

import tracer
from tracer.border import border_drawing
from tracer.errors import JobError, LetterError
from tracer.job import Beside, Border, Job, PieceSpec
from tracer.lettering import Lettering
from tracer.pipeline import Work


def picture(folder: Path, y: float) -> str:
    folder.mkdir()
    path = folder / "line.png"
    cv2.imwrite(str(path), Page(200, 100).line((30, y), (170, y)).grey)
    return str(path)


def test_each_piece_keeps_the_pictures_of_its_own_stages(tmp_path: Path) -> None:
    arts = [picture(tmp_path / "a", 30), picture(tmp_path / "b", 60)]
    steps = tmp_path / "steps"
    Work(keep_steps=steps).plan(Job(pieces=tuple(PieceSpec(art, width=50.0) for art in arts)))
    kept = sorted(path.relative_to(steps).as_posix() for path in steps.rglob("*.png"))
    assert kept == [
        f"{piece}/{name}"
        for piece in ("1-line", "2-line")
        for name in ("1-darkness.png", "2-ink.png", "3-strokes.png")
    ]
    one, other = (cv2.imread(str(steps / folder / "2-ink.png")) for folder in ("1-line", "2-line"))
    assert one.shape == other.shape
    assert (one != other).any()


def test_one_piece_keeps_them_in_the_folder_itself(tmp_path: Path) -> None:
    art = picture(tmp_path / "a", 30)
    Work(keep_steps=tmp_path / "steps").plan(Job(pieces=(PieceSpec(art, width=50.0),)))
    assert (tmp_path / "steps" / "2-ink.png").exists()


def test_only_pictures_have_stages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracer.letters.faces.face_named", lambda _: AnyFace(single=True))
    hare = PieceSpec(picture(tmp_path / "a", 30), width=50.0, name="hare")
    words = PieceSpec(words=Lettering("ab", height=20.0), beside=Beside("below", "hare"))
    job = Job(pieces=(words, hare, PieceSpec(border=Border(10.0))))
    work = Work(keep_steps=tmp_path / "steps")
    plan = work.plan(job)
    assert (tmp_path / "steps" / "2-ink.png").exists()
    assert list(work.pictures(job)) == [1]
    assert [piece.name for piece in plan.layout.pieces] == ["ab", "hare", "border"]
    assert [drawing.name for drawing in plan.layout.pictures] == ["line.png"]
    a, b, c = plan.layout.extents
    assert a[1] - b[3] == pytest.approx(job.margin)
    assert b[1] - c[1] == pytest.approx(10.0)


def test_words_are_set_once_however_often_the_depth_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Lettering] = []
    face = "tracer.letters.faces.face_named"
    monkeypatch.setattr(face, lambda one: asked.append(one) or AnyFace(single=True))
    said: list[str] = []
    work = Work(say=said.append)
    job = Job(pieces=(PieceSpec(words=Lettering("ab", height=20.0)),), board=(300.0, 200.0, 19.0))
    one, other = work.plan(job), work.plan(replace(job, depth=1.0))
    assert one.layout is other.layout
    work.plan(replace(job, pieces=(PieceSpec(words=Lettering("ab", height=21.0)),)))
    assert [one.height for one in asked] == [20.0, 21.0]
    assert said.count("setting “ab”") == 2


def test_letter_gives_words_with_their_marks(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Lettering] = []
    monkeypatch.setattr("tracer.letters.faces.face_named", lambda one: asked.append(one) or AnyFace())
    drawing = tracer.letter("ab\nc", font=Path("oak.ttf"), height=70.0, cut="outline", tracking=0.1)
    assert asked == [Lettering("ab\nc", "oak.ttf", height=70.0, cut="outline", tracking=0.1)]
    assert drawing.marks is not None
    # A glyph is 600 of 700 wide, and a tenth of the capitals is added: 60 + 7 mm.
    assert drawing.marks.letters[0].advance == pytest.approx(67.0)
    assert drawing.mm_per_px == 1.0


def test_letter_has_the_settings_of_lettering_and_their_defaults() -> None:
    settings = {one.name: one.default for one in fields(Lettering)} | {"font": Lettering.face}
    known = {
        name: parameter.default
        for name, parameter in inspect.signature(tracer.letter).parameters.items()
        if name not in ("words", "say")
    }
    assert known == {name: settings[name] for name in known}
    assert set(known) == set(settings) - {"words", "face"}


def test_words_in_a_face_that_is_not_there_are_refused() -> None:
    with pytest.raises(LetterError, match=r"no face .nosuch.*sans"):
        tracer.letter("EMMA", font="nosuch")


def test_sizes_of_words_and_of_one_piece_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tracer.letters.faces.face_named", lambda _: AnyFace(single=True))
    words = PieceSpec(words=Lettering("ab", height=20.0))
    assert Work().sizes(Job(pieces=(words,))).capitals == pytest.approx(20.0)
    said: list[str] = []
    with pytest.raises(JobError, match="for one piece alone, and this job has 2: name one picture"):
        Work(say=said.append).sizes(Job(pieces=(words, PieceSpec("hare.png"))))
    assert not said  # before anything is read


def test_a_drawing_is_planned_as_the_first_piece_that_is_no_border() -> None:
    job = Job(board=(300.0, 200.0, 19.0), pieces=(PieceSpec(border=Border(10.0)), PieceSpec("", width=80.0)))
    layout = tracer.plan(box(), job).layout
    assert [round(x1 - x0, 6) for x0, _, x1, _ in layout.extents] == [280.0, 80.0]
    alone = tracer.plan(box(), replace(job, pieces=job.pieces[:1])).layout
    assert [piece.border for piece in alone.pieces] == [True, False]


def box() -> tracer.Drawing:
    (stroke,) = border_drawing(100.0, 50.0, 0.0).strokes
    return tracer.Drawing((stroke,), (), (100, 50), name="box")


def test_outlines_cut_along_their_middle_become_single_strokes() -> None:
    """The sans that ships, whose l is one stem: its middle is one upright line."""
    drawing = tracer.letter("Il", font="sans", height=70.0)
    assert [(stroke.kind, stroke.closed) for stroke in drawing.strokes] == [("line", False)] * 2
    for stroke in drawing.strokes:
        x0, y0, x1, y1 = stroke.bounds
        assert x1 - x0 < 0.1
        assert y1 - y0 > 60.0
    edges = tracer.letter("Il", font="sans", height=70.0, cut="outline")
    assert {stroke.kind for stroke in edges.strokes} == {"edge"}


def test_single_strokes_are_followed_as_they_are() -> None:
    drawing = tracer.letter("HI", height=70.0)
    assert len(drawing.strokes) == 4  # two stems and a bar, and a stem
    assert {stroke.kind for stroke in drawing.strokes} == {"line"}
    with pytest.raises(LetterError, match="made of single strokes and has no edges"):
        tracer.letter("HI", cut="outline")
