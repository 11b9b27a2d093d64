"""What is let in: bounds on a picture's size, looked at before anything is decoded."""

from math import ceil, sqrt

from tracer.errors import ArtError

LARGEST = 120_000_000
"""Pixels beyond which a picture is refused, unless its decoder can make it smaller on the way."""

LARGEST_SHRUNK = 500_000_000
"""Pixels beyond which a picture is refused whatever its decoder can do: reading it takes too long."""

KEPT = 72_000_000
"""Pixels that are kept: A3 at 600 dpi has 70 million. Larger pictures are made smaller."""

LONGEST = 32_000
"""Pixels a side beyond which a picture is refused: what samples it later counts in 16 bits."""

KEPT_WHERE_DEAR = 48_000_000
"""The same for JPEG 2000, whose decoder takes 18 bytes a pixel."""

MOST_PAGES = 1000
"""Pages that are counted and gone to."""

SMALLEST = 16
"""Pixels a side below which there is nothing to follow."""

MOST_REPLAYED = 2_000_000_000
"""Pixels decoded to reach a frame: frames of animations are drawn each over the last."""

LARGEST_FILE = 1_500_000_000
"""Bytes: 120 million pixels of three channels of 16 bits have half of that."""


def check_size(width: int, height: int, name: str, *, largest: int = LARGEST) -> None:
    """Refuse pictures with nothing to follow, or too many pixels to hold."""
    if min(width, height) < SMALLEST:
        raise ArtError(f"{name} is {width} x {height} pixels: at least {SMALLEST} x {SMALLEST} are needed.")
    if width * height > largest:
        raise ArtError(
            f"{name} is {width} x {height} pixels, {width * height / 1e6:.0f} million; "
            f"up to {largest // 1_000_000} million are read: save it smaller (300 dpi is plenty)."
        )
    if max(width, height) > LONGEST:
        raise ArtError(
            f"{name} is {width} x {height} pixels: up to {LONGEST} a side are read; cut it into shorter ones."
        )


def check_page(page: int, count: int, name: str) -> list[str]:
    """Refuse a page, counted from 1, that is not there; say which of several it is."""
    if page > count:
        has = "holds one picture only" if count == 1 else f"has {count} pages"
        raise ArtError(f"{name} {has}: there is no page {page}.")
    if count == 1:
        return []
    return [f"{f'the first of {count} pages' if page == 1 else f'page {page} of {count}'} was taken"]


def check_replay(page: int, width: int, height: int, name: str) -> None:
    """Refuse frames so late in an animation that reaching them takes minutes."""
    if page * width * height > MOST_REPLAYED:
        raise ArtError(
            f"Page {page} of {name} comes after too many others of {width} x {height} pixels to reach: "
            "save that frame as a picture of its own."
        )


def shrinking(width: int, height: int, *, dear: bool = False) -> int:
    """Return by which power of two a picture is to be made smaller, so that few enough pixels remain."""
    factor, most = 1, KEPT_WHERE_DEAR if dear else KEPT
    while ceil(width / factor) * ceil(height / factor) > most:
        factor *= 2
    return factor


def densest(width: float, height: float, most: int | None = None) -> float:
    """Return the pixels a unit of length with which a page has `most` of them, or as many as are kept."""
    return sqrt((most or KEPT) / (width * height))
