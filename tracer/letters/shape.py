"""A line of text to glyphs from the left as seen, by HarfBuzz: runs of one way and one script each."""

import unicodedata
from functools import lru_cache
from itertools import groupby, pairwise
from typing import Any

from tracer.errors import LetterError
from tracer.letters.bidi import levels_of, visual_order
from tracer.letters.face import Glyph
from tracer.letters.outline import FARTHEST, FINER


def shaped(font: Any, line: str, name: str) -> tuple[Glyph, ...]:
    """Return the glyphs of a line that HarfBuzz's `font`, at the scale FINER, makes.

    Kerning is what the advances differ by from the same line shaped without it.

    Raises
    ------
    LetterError
        For a character that the font, called `name`, lacks; for advances that no letter has.
    """
    runs = _runs(line)
    order = visual_order(level for _, _, level, _ in runs)
    return tuple(glyph for k in order for glyph in _shaped_run(font, line, runs[k], name))


Run = tuple[int, int, int, str]
"""Start, end, level, script ("" where no character has one)."""


def _runs(line: str) -> list[Run]:
    """Cut a line where its way or its script changes."""
    scripts = [_script(c) for c in line]
    for k in range(1, len(line)):
        scripts[k] = scripts[k] or scripts[k - 1]  # spaces and marks go with what is before them
    first = next((script for script in scripts if script), "")
    kinds = list(zip(levels_of(line), (script or first for script in scripts), strict=True))
    runs, start = [], 0
    for (level, script), run in groupby(kinds):
        end = start + len(list(run))
        runs.append((start, end, level, script))
        start = end
    return runs


@lru_cache(maxsize=4096)
def _script(character: str) -> str:
    """Return the script of a character as HarfBuzz has it, "" for what all scripts share."""
    import uharfbuzz as hb

    buffer = hb.Buffer()
    buffer.add_codepoints([ord(character)])
    buffer.guess_segment_properties()
    return str(buffer.script or "")


def _shaped_run(font: Any, line: str, run: Run, name: str) -> list[Glyph]:
    """Return the glyphs of a run, kerned."""
    kerned, plain = (_buffer(font, line, run, kern=kern) for kern in (True, False))
    infos, positions = kerned.glyph_infos, kerned.glyph_positions
    same = [info.codepoint for info in infos] == [info.codepoint for info in plain.glyph_infos]
    unkerned = plain.glyph_positions if same else positions
    _require_all(font, line, run, [(info.codepoint, info.cluster) for info in infos], name)
    glyphs = [
        Glyph(
            key=info.codepoint,
            name=font.glyph_to_string(info.codepoint),
            cluster=info.cluster,
            offset=(at.x_offset / FINER, at.y_offset / FINER),
            advance=at.x_advance / FINER,
            kern=(at.x_advance - own.x_advance) / FINER,
        )
        for info, at, own in zip(infos, positions, unkerned, strict=True)
    ]
    farthest = max((abs(v) for g in glyphs for v in (g.advance, *g.offset)), default=0.0) / font.face.upem
    if farthest > FARTHEST:
        raise LetterError(f"{name}: a letter is moved by {farthest:.0f} em: the font is broken; take another")
    return glyphs


def _buffer(font: Any, line: str, run: Run, *, kern: bool) -> Any:
    """Return HarfBuzz's buffer of a shaped run; its clusters are indices in the line."""
    import uharfbuzz as hb

    start, end, level, script = run
    buffer = hb.Buffer()
    buffer.add_codepoints([ord(c) for c in line], start, end - start)
    if script:
        buffer.script = script
    buffer.direction = "rtl" if level % 2 else "ltr"
    buffer.language = "und"  # else it is that of the machine, and the letters with it
    buffer.guess_segment_properties()
    hb.shape(font, buffer, None if kern else {"kern": False})
    return buffer


def _require_all(font: Any, line: str, run: Run, glyphs: list[tuple[int, int]], name: str) -> None:
    """Raise an error that names the first character the font has no glyph for."""
    lacking = sorted(cluster for glyph, cluster in glyphs if glyph == 0)
    if not lacking:
        return
    starts = [*sorted({cluster for _, cluster in glyphs}), run[1]]
    end = next(b for a, b in pairwise(starts) if a == lacking[0])
    at = next((k for k in range(lacking[0], end) if not font.get_nominal_glyph(ord(line[k]))), lacking[0])
    raise LetterError(
        f"{name} has no glyph for {_called(line[at])}, character {at + 1} of "
        f'"{line[max(0, at - 15) : at + 16]}"; take another face or other words'
    )


def _called(character: str) -> str:
    """Return a character with its code point and name."""
    shown = f'"{character}" ' if character.isprintable() and not unicodedata.combining(character) else ""
    return f"{shown}(U+{ord(character):04X} {unicodedata.name(character, 'without a name')})"
