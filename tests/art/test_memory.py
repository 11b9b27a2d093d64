"""The largest pictures are never held twice."""

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

pytest.importorskip("resource", reason="no such measure on this system")

READ = """
import resource, sys
from pathlib import Path
from tracer.art.read import read_picture
scan = read_picture(Path(sys.argv[1]))
assert scan.colour is not None
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(peak // (1024 * 1024 if sys.platform == "darwin" else 1024), *scan.grey.shape)
"""


def test_a3_at_600_dpi_in_colour_and_on_its_side(tmp_path: Path) -> None:
    # 297 x 420 mm at 600 dpi: 7016 x 9921 px; 280 MB decoded and as many handed on.
    exif = Image.Exif()
    exif[274] = 6
    image = Image.new("RGB", (7016, 9921), "white")
    image.paste((200, 40, 40), (100, 9000, 900, 9800))
    image.save(tmp_path / "a3.jpg", exif=exif)
    done = subprocess.run(
        [sys.executable, "-c", READ, str(tmp_path / "a3.jpg")], capture_output=True, text=True, check=True
    )
    peak, height, width = map(int, done.stdout.split())
    assert (width, height) == (9921, 7016)
    assert peak < 800  # MB; 577 measured, of which 35 are the libraries
