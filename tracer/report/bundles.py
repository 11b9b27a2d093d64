"""Lands that hang together by their strokes."""

from collections.abc import Sequence
from dataclasses import dataclass

from tracer.report.lands import Near


@dataclass(frozen=True)
class Bundle:
    """Lands said in one breath: the worst first, the strokes' numbers, and mm of thin wood in all."""

    lands: tuple[Near, ...]
    strokes: tuple[int, ...]
    cost: float

    @classmethod
    def of(cls, lands: Sequence[Near]) -> "Bundle":
        """Return these lands as a bundle."""
        worst_first = sorted(lands, key=lambda near: near.land.width - near.land.limit)
        strokes = sorted({number for near in lands for number in near.land.strokes})
        return cls(tuple(worst_first), tuple(strokes), sum(near.land.length for near in lands))

    @property
    def worst(self) -> Near:
        """The land that falls short by most."""
        return self.lands[0]

    @property
    def places(self) -> list[tuple[float, float]]:
        """Where they are, wood mm."""
        return [near.land.where for near in self.lands]


def bundles(lands: Sequence[Near]) -> list[Bundle]:
    """Gather the lands whose strokes hang together by such lands, as whiskers do; costliest first."""
    root: dict[int, int] = {}

    def find(number: int) -> int:
        while root.setdefault(number, number) != number:
            root[number] = root[root[number]]
            number = root[number]
        return number

    for near in lands:
        a, b = near.land.strokes
        root[find(a)] = find(b)
    groups: dict[int, list[Near]] = {}
    for near in lands:
        groups.setdefault(find(near.land.strokes[0]), []).append(near)
    return sorted(map(Bundle.of, groups.values()), key=lambda one: (-one.cost, one.strokes))
