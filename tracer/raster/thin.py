"""Lines one pixel wide."""

import numpy as np
from numpy.typing import NDArray


def thin(line: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the skeleton (H, W) of the line mask: one pixel wide, connected as the ink is.

    Parallel thinning (Zhang and Suen 1984) as scikit-image has it.
    """
    from skimage.morphology import skeletonize

    skeleton: NDArray[np.bool_] = skeletonize(line)  # type: ignore[no-untyped-call]  # the package ships no types
    return skeleton
