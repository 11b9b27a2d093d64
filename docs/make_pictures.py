"""Make the pictures in the README: `python docs/make_pictures.py`.

The hare page of the sample art, 400 mm wide in pine, and the headboard of the sample job, as the packs'
own previews show them.
"""

import datetime
import tempfile
from pathlib import Path

from PIL import Image

import tracer
from tracer.settle import resolve

ROOT = Path(__file__).parent.parent
WIDTH = 1200  # px
LARGEST = 400_000  # bytes: a page that loads on a telephone


def hare() -> tracer.Job:
    """The hare page alone."""
    piece = tracer.PieceSpec(str(ROOT / "sample_art" / "hare-page.jpg"), width=400.0)
    return tracer.Job(name="Hare", pieces=(piece,), date=datetime.date(2026, 11, 25))


def headboard() -> tracer.Job:
    """The sample job of a picture, a name and a border."""
    return resolve({}, job_file=ROOT / "sample_art" / "headboard.toml")


def preview(job: tracer.Job) -> Image.Image:
    """The preview of a job's pack."""
    with tempfile.TemporaryDirectory() as folder:
        pack = Path(folder) / "pack"
        tracer.write(tracer.Work().plan(job), pack)
        with Image.open(pack / "preview.png") as picture:
            return picture.convert("RGB")


def save(picture: Image.Image, path: Path) -> None:
    """Write `picture` as PNG, with as many colours as fit into `LARGEST` bytes."""
    height = round(picture.height * WIDTH / picture.width)
    small = picture.resize((WIDTH, height), Image.Resampling.LANCZOS)
    for colours in (256, 128, 64, 32, 16):
        small.quantize(colours, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size <= LARGEST:
            return
    raise SystemExit(f"{path} has {path.stat().st_size} bytes even with 16 colours: lower WIDTH")


if __name__ == "__main__":
    save(preview(hare()), ROOT / "docs" / "preview.png")
    save(preview(headboard()), ROOT / "docs" / "headboard.png")
