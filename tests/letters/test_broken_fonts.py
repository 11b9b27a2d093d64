"""Damaged fonts end in a drawing or a sentence: never a traceback, a hang or a swollen process."""

import random
import struct
import time
from pathlib import Path

import pytest
from letters.fonts import SANS, font_path

from tracer.errors import LetterError
from tracer.lettering import Lettering
from tracer.letters.font import open_font
from tracer.letters.outline import FARTHEST
from tracer.letters.set_words import set_words

WORDS = Lettering("H\N{LATIN SMALL LETTER E WITH ACUTE} fi", height=50.0, cut="outline")

SEEDS = range(200)

SLOWEST = 20.0
"""Seconds of one font on a busy machine; 0.1 s is usual."""

MOST_MEMORY = 300
"""MB that all of them may add."""


def sources() -> list[Path]:
    """A plain, a cubic and a variable font, as far as they are there."""
    wanted = [
        ("font_source_serif_pro", "SourceSerifPro-It.otf"),
        ("fontpkg_cabin", "Cabin[wdth,wght].ttf"),
    ]
    found = [SANS]
    for package, name in wanted:
        try:
            found.append(font_path(package, name))
        except pytest.skip.Exception:
            continue
    return found


def damaged(data: bytes, chance: random.Random) -> bytes:
    """One of five kinds of damage."""
    broken = bytearray(data)
    count = struct.unpack(">H", data[4:6])[0]
    start, size = struct.unpack_from(">II", data, 12 + 16 * chance.randrange(count) + 8)
    kind = chance.randrange(5)
    if kind == 0:
        return data[: chance.randrange(len(data))]
    if kind == 1:
        broken[start : start + size] = bytes(size)
        return bytes(broken)
    first, last = ((0, len(data)), (start, start + size), (0, 12 + 16 * count))[kind - 2]
    for _ in range(chance.choice([1, 10, 100])):
        broken[chance.randrange(first, max(last, first + 1))] = chance.choice(
            [0, 127, 255, chance.randrange(256)]
        )
    return bytes(broken)


def memory() -> float:
    """The most memory this process had, MB."""
    resource = pytest.importorskip("resource")
    return float(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024


def test_damaged_fonts_end_in_a_drawing_or_a_sentence(tmp_path: Path) -> None:
    fonts = [path.read_bytes() for path in sources()]
    before, drawings, sentences = memory(), 0, list[str]()
    for seed in SEEDS:
        chance = random.Random(seed)
        path = tmp_path / "damaged.ttf"
        path.write_bytes(damaged(chance.choice(fonts), chance))
        began = time.perf_counter()
        try:
            drawing = set_words(WORDS, open_font(path, chance.choice(["", "", "wght=600"])))
        except LetterError as error:
            sentences.append(str(error))
        else:
            drawings += 1
            assert max(drawing.size_px) < 20 * FARTHEST * 100
        assert time.perf_counter() - began < SLOWEST, seed
    assert drawings > 20
    assert len(sentences) > 20
    assert max(map(len, sentences)) < 500
    assert memory() - before < MOST_MEMORY
