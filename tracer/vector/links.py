"""What the repair of junctions decided for each branch end."""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
End = tuple[int, int]
"""(branch index, 0 for its start or 1 for its end)."""


class Course(NamedTuple):
    """A line within junctions: points (k, 2), a closed one's first repeated; whether its ends lie free."""

    points: Array
    free_start: bool
    free_end: bool


@dataclass(eq=False)
class Links:
    """What happens at each branch end.

    Attributes
    ----------
    cuts : how many samples are taken off there.
    partner : the branch end that goes on from it.
    tails : points (k, 2) that follow the last kept sample; of a partnered end only that
        end's whose tail is the bridge holds them.
    free : ends that lie at no junction, or are a line's own end beyond one.
    dropped : branches that are part of a junction, not lines.
    more : lines that lie within junctions.
    no_dots : nodes without branches that are no dots.
    """

    cuts: dict[End, int] = field(default_factory=dict)
    partner: dict[End, End] = field(default_factory=dict)
    tails: dict[End, Array] = field(default_factory=dict)
    free: set[End] = field(default_factory=set)
    dropped: set[int] = field(default_factory=set)
    more: list[Course] = field(default_factory=list)
    no_dots: set[int] = field(default_factory=set)
