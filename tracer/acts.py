"""What the user decided about single strokes, by their numbers: the answers to findings."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

End = Literal["start", "end"]
Side = Literal["on", "inside", "outside"]


@dataclass(frozen=True)
class Join:
    """Two ends to be joined by a stroke of their own: stroke `a` at its `a_end`, and `b` likewise."""

    a: int
    a_end: End
    b: int
    b_end: End


@dataclass(frozen=True)
class Acts:
    """Decisions by stroke number, as the plan numbers them.

    Attributes
    ----------
    leave_out : strokes that are not cut.
    keep : strokes that are cut though the bit will not hold them.
    join : ends that are joined.
    thin_out : bundles of near-parallel strokes, of which every second goes until the lands hold.
    stops : depth stop of a stroke, from 1, the deepest.
    sides : on which side of its edge a stroke's groove lies.
    """

    leave_out: tuple[int, ...] = ()
    keep: tuple[int, ...] = ()
    join: tuple[Join, ...] = ()
    thin_out: tuple[tuple[int, ...], ...] = ()
    stops: Mapping[int, int] = field(default_factory=dict, hash=False)
    sides: Mapping[int, Side] = field(default_factory=dict, hash=False)
