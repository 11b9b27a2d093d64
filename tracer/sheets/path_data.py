"""Chains of cubics as short SVG path data."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_CUBIC = "c%g %g %g %g %g %g"


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
        steps = (whole[:, 1:] - whole[:, :1]) / 100
        said = (_CUBIC * len(steps)) % tuple(steps.ravel().tolist())
        data.append(said.replace("c0.", "c.").replace(" 0.", " .").replace("-0.", "-."))
        end = last
    return "".join(data)
