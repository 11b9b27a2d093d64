"""Chains of cubics as short SVG path data."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def path_data(*chains: Array) -> str:
    """Return chains of cubics, each (n, 4, 2), as path data in steps of a hundredth; "" for none.

    Steps are told from where the one before ended as it was rounded, so that errors do not add up.
    A chain that begins where the one before it ended goes on with it.
    """
    data, end = [], None
    for chain in chains:
        whole = np.rint(100 * chain).astype(int)
        first, last = tuple(whole[0, 0].tolist()), tuple(whole[-1, 3].tolist())
        if first != end:
            data.append(f"M{first[0] / 100:g} {first[1] / 100:g}")
        steps = (whole[:, 1:] - whole[:, :1]).reshape(-1, 6).tolist()
        data += ["c" + " ".join([_short(value) for value in step]) for step in steps]
        end = last
    return "".join(data)


def _short(hundredths: int) -> str:
    """Return hundredths as a number without zeros that say nothing."""
    whole, rest = divmod(abs(hundredths), 100)
    sign = "-" if hundredths < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    part = f".{rest:02d}".rstrip("0")
    return f"{sign}{whole or ''}{part}"
