"""Where on the figure a point lies, in words, on a grid of three by three."""

from tracer.model.layout import Layout

_ACROSS = ("left", "middle", "right")
_DOWN = ("upper", "middle", "lower")


def place_words(layout: Layout, where: tuple[float, float]) -> str:
    """Return such as "upper left" or "in the middle" for a point on the wood (mm), by the figure's extent."""
    x0, y0, x1, y1 = layout.extent
    column = _third(where[0], x0, x1)
    row = _third(where[1], y0, y1)
    if (row, column) == (1, 1):
        return "in the middle"
    return f"{_DOWN[row]} {_ACROSS[column]}"


def _third(value: float, low: float, high: float) -> int:
    return 1 if high <= low else min(2, max(0, int(3 * (value - low) / (high - low))))
