"""Gaps in lines closed; each is listed with its number and can be left open."""

from dataclasses import replace

from tracer.errors import ArtError
from tracer.model.ink import Ink, Mend, MendKind
from tracer.raster.bridge import bridge
from tracer.raster.gap_search import find_gaps
from tracer.reading import Reading


def with_gaps_closed(ink: Ink, name: str, reading: Reading) -> Ink:
    """Return the ink of the picture `name` with the gaps in its lines closed.

    Gaps are numbered from 1 from top to bottom, closed or not; those that `reading` leaves
    open are listed only. So are dashed lines, whose gaps have no number.

    Raises
    ------
    ArtError
        Where a gap is to be left open that there is not.
    """
    gaps, dashed = find_gaps(ink)
    _refuse_unknown(reading.open_gaps, len(gaps), name)
    closed = [reading.close_gaps and number not in reading.open_gaps for number in range(1, len(gaps) + 1)]
    mends = []
    for number, (gap, wanted) in enumerate(zip(gaps, closed, strict=True), start=1):
        if wanted:
            bridge(ink, gap)
        x, y = (gap.place / ink.zoom).tolist()
        kind: MendKind = "gap closed" if wanted else "gap left open"
        mends.append(Mend(kind, x, y, gap.length / ink.zoom, number))
    for line in dashed:
        x, y = (line.place / ink.zoom).tolist()
        mends.append(Mend("gap left open", x, y, line.extent / ink.zoom))
    return replace(ink, mends=(*ink.mends, *mends))


def _refuse_unknown(numbers: tuple[int, ...], count: int, name: str) -> None:
    """Refuse numbers of gaps that there are not."""
    unknown = sorted(n for n in numbers if not 1 <= n <= count)
    if unknown:
        known = "it has none" if not count else f"it has 1 to {count}" if count > 1 else "it has only gap 1"
        raise ArtError(
            f"Gap {unknown[0]} of {name} is to be left open, but {known}: "
            "look at the numbers in report.html once more, they may change with the picture."
        )
