"""Which way round to follow a run, and why, in words for the bench.

The bit turns clockwise seen from above. In a groove of its own width it drifts to the left of
the direction of travel [D; S12 says likewise that the kick is against the rotation]; a copying
linkage turns but does not mirror, so the stylus is drawn to the left as well. Along one wall the
steady direction is anticlockwise round an outside edge and clockwise round the inside of an
opening [S14]. Pulling towards oneself is steadier than pushing [P]. Whoever follows the template
stands at its lower edge.
"""

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Side
from tracer.geometry.flatten import flatten
from tracer.model.plan import Run
from tracer.report.runs import turned_round
from tracer.report.starts import is_closed

Array = NDArray[np.float64]

_FLAT = 0.1
"""mm on the wood; closer than anyone could tell which way a stroke sets out."""

_ROUND = 0.05
"""A closed run goes round something when it holds this share of the square of its length / 4."""

_AROUND: dict[Side, str] = {
    "on": "Clockwise: the bit pulls to the left of travel, here outwards, away from the wood inside.",
    "inside": "Clockwise round the inside: against the bit's rotation, which is steadier to hold.",
    "outside": "Anticlockwise round the outside: against the bit's rotation, which is steadier to hold.",
}


def fed_well(run: Run, side: Side = "on") -> Run:
    """Return a closed run the way round that is steadier; any other as it is.

    Round the outside of a solid that is anticlockwise [S14]. Inside an opening it is
    clockwise [S14], and on a line clockwise as well: the drift to the left then goes
    outwards, and the wood inside, the weaker, is spared [D].
    """
    area = _clockwise_area(run) if is_closed(run) else 0.0
    return run if area == 0.0 or (area > 0.0) == (side != "outside") else turned_round(run)


def feed_words(run: Run, side: Side = "on", *, turned: bool = False) -> str:
    """Return one sentence for the job sheet: which way the run is followed, and why.

    Parameters
    ----------
    run : as it is followed, wood mm.
    side : of an edge, the side its groove lies on; "on" for lines.
    turned : the linkage turns the figure by half a turn between stylus and bit.
    """
    if not np.ptp(run.curves.reshape(-1, 2), axis=0).any():
        return "Straight down and up again."
    if is_closed(run) and _clockwise_area(run) != 0.0:
        return _AROUND[side]
    right, down = _sets_out(run) * (-1.0 if turned else 1.0)
    if abs(down) >= abs(right):
        return (
            "Pull it towards you: steadier than pushing."
            if down > 0
            else "Push it away from you, slowly: pushing is less steady than pulling."
        )
    way, drift = ("left to right", "away from you") if right > 0 else ("right to left", "towards you")
    return f"From {way}: the bit pulls to the left of travel, here {drift}; lean against it."


def _sets_out(run: Run) -> Array:
    """Return the way (2,) from start to end of the run's first leg, or, where that is a loop, across it."""
    curves = run.legs[0].curves
    way: Array = curves[-1, 3] - curves[0, 0]
    reach = np.abs(curves - curves[0, 0]).reshape(-1, 2).max(axis=0)
    if np.hypot(*way) > np.hypot(*reach) / 2:  # the stroke lies within its handles
        return way
    line = flatten(curves, _FLAT)
    far = line - line[0]
    farthest: Array = far[int((far**2).sum(axis=1).argmax())]
    return way if np.hypot(*way) > np.hypot(*farthest) / 2 else farthest


def _clockwise_area(run: Run) -> float:
    """Return the area that the run goes round, > 0 clockwise seen from above; 0 for next to nothing."""
    line = flatten(run.curves, _FLAT)
    x, y = line.T
    area = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    size = float(np.hypot(*np.diff(line, axis=0).T).sum()) / 4
    return area if abs(area) > _ROUND * size**2 else 0.0
