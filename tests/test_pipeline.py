"""The hall: what one job's pieces leave behind."""

from pathlib import Path

import cv2
from pen import Page

from tracer.job import Job, PieceSpec
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
