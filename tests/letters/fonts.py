"""Open fonts from the packages of the test extra; a test that asks for one that is missing is skipped."""

import importlib.resources
from functools import cache
from pathlib import Path

import pytest

from tracer.letters.face import Face
from tracer.letters.font import open_font

SANS = Path(__file__).parents[2] / "tracer" / "letters" / "faces" / "VarelaRound-Regular.ttf"


def font_path(package: str, name: str) -> Path:
    """The path of a font in a package."""
    module = pytest.importorskip(package)
    return Path(str(importlib.resources.files(module) / "files" / name))


@cache
def sans() -> Face:
    """The sans that ships."""
    return open_font(SANS)
