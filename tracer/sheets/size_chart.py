"""The curve of losses against finished size, as a small chart: SVG that stands alone or in a page."""

import math
from collections.abc import Iterator
from html import escape
from pathlib import Path

from tracer.errors import OutputError
from tracer.lengths import Units, format_length
from tracer.model.sizes import Losses, SizeCurve, Sizes

WIDTH, HEIGHT = 720, 420

_LEFT, _RIGHT, _TOP, _BOTTOM = 56, 20, 78, 76
_INK, _RULE = "#1c1a17", "#cfc8bb"
_KINDS = (
    ("strokes too thin", "#24507d", ""),
    ("grooves run together", "#9b1c1c", "7 3"),
    ("thin wood between grooves", "#8a5200", "2 3"),
    ("standing wood breaks out", "#55504a", "9 3 2 3"),
)
"""Name, colour and dashes of each line: told apart without colour, too."""

_TICKS = 5
_NAME = 40  # letters of a job's name that there is room for
_LETTER = 7.2  # units, width of a letter
_LEAST_APART = 62  # units between two sizes written under the chart


def write_chart(sizes: Sizes, path: Path) -> None:
    """Write the chart as an SVG file.

    Raises
    ------
    OutputError
        Where the file cannot be written.
    """
    drawn = chart(sizes, nothing_lost=sizes.nothing_lost.size)
    alone = drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    try:
        path.write_text(f'<?xml version="1.0" encoding="UTF-8"?>\n{alone}\n', encoding="utf-8")
    except OSError as error:
        why = error.strerror or error
        raise OutputError(f"{path} cannot be written: {why}; name another file with --output") from error


def chart(sizes: SizeCurve, *, nothing_lost: float | None = None) -> str:
    """Return the chart as an `svg` element of a page, without scripts or styles of its own.

    `nothing_lost` is the size from which on nothing is lost, where that is known.
    """
    counts = [_counts(row.losses) for row in sizes.rows]
    most = _round_up(max(max(one) for one in counts))
    name = sizes.job.name
    title = f"{name if len(name) <= _NAME else name[:_NAME] + '…'}: what is lost at which size"
    said = escape(title)
    attributes = f'viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{said}"'
    font = f'font-family="system-ui, sans-serif" font-size="13" fill="{_INK}"'
    body = [
        f"<svg {attributes} {font}>",
        f"<title>{said}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
        f'<text x="{_LEFT}" y="22" font-size="16" font-weight="700">{said}</text>',
        *_key(),
        *_counting(most),
        *_sizing(sizes),
        *_marks(sizes, nothing_lost),
        *_lines(sizes, counts, most),
        "</svg>",
    ]
    return "\n".join(body)


def _counts(losses: Losses) -> tuple[int, int, int, int]:
    return losses.thin, losses.merged, losses.crumbling, losses.breaking


def _round_up(most: int) -> int:
    """Return a number not below `most` that divides into even steps."""
    power = int(10 ** math.floor(math.log10(max(most, _TICKS) / _TICKS)))
    step = next(power * by for by in (1, 2, 5, 10) if power * by * _TICKS >= most)
    return step * math.ceil(max(most, 1) / step)


def _x(sizes: SizeCurve, size: float) -> float:
    """Return where a size stands: by its logarithm, so that the same share is as wide everywhere."""
    low, high = (math.log(sizes.size_of_row(row)) for row in (sizes.rows[0], sizes.rows[-1]))
    return _LEFT + (WIDTH - _LEFT - _RIGHT) * (math.log(size) - low) / ((high - low) or 1.0)


def _y(count: int, most: int) -> float:
    return HEIGHT - _BOTTOM - (HEIGHT - _TOP - _BOTTOM) * count / most


def _key() -> Iterator[str]:
    for k, (name, colour, dashes) in enumerate(_KINDS):
        x, y = _LEFT + 330 * (k % 2), 40 + 17 * (k // 2)
        yield f'<line x1="{x}" y1="{y}" x2="{x + 34}" y2="{y}" {_pen(colour, dashes)}/>'
        yield f'<text x="{x + 42}" y="{y + 4}">{name}</text>'


def _pen(colour: str, dashes: str) -> str:
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'fill="none" stroke="{colour}" stroke-width="2.2" stroke-linejoin="round"{dashed}'


def _counting(most: int) -> Iterator[str]:
    """The rules across, with their counts."""
    step = max(1, most // _TICKS)
    for count in range(0, most + 1, step):
        y = _y(count, most)
        yield f'<line x1="{_LEFT}" y1="{y:.1f}" x2="{WIDTH - _RIGHT}" y2="{y:.1f}" stroke="{_RULE}"/>'
        yield f'<text x="{_LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{count}</text>'


def _sizing(sizes: SizeCurve) -> Iterator[str]:
    """The sizes under the chart, in both units, as many as there is room for."""
    units = sizes.job.units
    other: Units = "mm" if units == "in" else "in"
    written = -math.inf
    size_is = "finished width" if sizes.side == "wide" else "finished height"
    yield f'<text x="{(_LEFT + WIDTH - _RIGHT) / 2}" y="{HEIGHT - 10}" text-anchor="middle">{size_is}</text>'
    for row in sizes.rows:
        size = sizes.size_of_row(row)
        x = _x(sizes, size)
        if x - written < _LEAST_APART:
            continue
        written = x
        y = HEIGHT - _BOTTOM
        yield f'<line x1="{x:.1f}" y1="{y}" x2="{x:.1f}" y2="{y + 5}" stroke="{_INK}"/>'
        anchor = "end" if x > WIDTH - _RIGHT - 30 else "middle"
        yield f'<text x="{x:.1f}" y="{y + 20}" text-anchor="{anchor}">{format_length(size, units)}</text>'
        yield (
            f'<text x="{x:.1f}" y="{y + 36}" text-anchor="{anchor}" fill="#57524a" font-size="11">'
            f"{format_length(size, other)}</text>"
        )


def _marks(sizes: SizeCurve, nothing_lost: float | None) -> Iterator[str]:
    """Upright lines at the size asked for, the largest on the board, and where nothing is lost."""
    known: list[tuple[str, float | None]] = [("asked for", sizes.asked)]
    if sizes.largest is not None and math.isclose(sizes.largest, sizes.asked, rel_tol=1e-9):
        known = [("asked for, the largest on the board", sizes.asked)]
    else:
        known.append(("largest on the board", sizes.largest))
    known.append(("nothing lost from here on", nothing_lost))
    ends = [sizes.size_of_row(row) for row in (sizes.rows[0], sizes.rows[-1])]
    shown = [(name, size) for name, size in known if size is not None and ends[0] <= size <= ends[1]]
    for k, (name, size) in enumerate(shown):
        x, y = _x(sizes, size), _TOP + 14 + 16 * k
        left = x + _LETTER * len(name) > WIDTH - _RIGHT
        yield (
            f'<line x1="{x:.1f}" y1="{_TOP}" x2="{x:.1f}" y2="{HEIGHT - _BOTTOM}" '
            f'stroke="{_INK}" stroke-width="0.9"/>'
        )
        yield (
            f'<text x="{x + (-5 if left else 5):.1f}" y="{y}" text-anchor="{"end" if left else "start"}" '
            f'stroke="#fff" stroke-width="4" paint-order="stroke">{name}</text>'
        )


def _lines(sizes: SizeCurve, counts: list[tuple[int, int, int, int]], most: int) -> Iterator[str]:
    for k, (name, colour, dashes) in enumerate(_KINDS):
        points = [
            (_x(sizes, sizes.size_of_row(row)), _y(one[k], most))
            for row, one in zip(sizes.rows, counts, strict=True)
        ]
        way = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        yield f'<polyline points="{way}" {_pen(colour, dashes)}><title>{name}</title></polyline>'
        yield from (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="2.6" fill="{colour}"/>' for x, y in points)
