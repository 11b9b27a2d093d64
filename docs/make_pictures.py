"""Make the picture in the README: `python docs/make_pictures.py`.

The hare page of the sample art, 400 mm wide in pine, as the pack's own preview shows it.
"""

import datetime
import tempfile
from pathlib import Path

from PIL import Image

import tracer

ROOT = Path(__file__).parent.parent
WIDTH = 1200  # px
LARGEST = 400_000  # bytes: a page that loads on a telephone


def preview() -> Image.Image:
    """The preview of the hare page's pack."""
    with tempfile.TemporaryDirectory() as folder:
        pack = Path(folder) / "pack"
        piece = tracer.PieceSpec(str(ROOT / "sample_art" / "hare-page.jpg"), width=400.0)
        job = tracer.Job(name="Hare", pieces=(piece,), date=datetime.date(2026, 11, 25))
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
    save(preview(), ROOT / "docs" / "preview.png")
