"""The table: figures down, levels across, bars beside what missed them."""

import operator
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.raster.judge import Judged

Column = Sequence[Judged]
Take = Callable[[Column], float]


@dataclass(frozen=True)
class Figure:
    """A row: its name, how it is taken from a level's results, and the digits it is printed with."""

    name: str
    take: Take
    digits: int


def _mean(value: Callable[[Judged], float]) -> Take:
    """Return a figure that is the mean of a value over drawings; those without it do not count."""

    def take(rows: Column) -> float:
        values = np.array([value(r) for r in rows], float)
        return float(np.nanmean(values)) if np.isfinite(values).any() else float("nan")

    return take


def _most(value: Callable[[Judged], float]) -> Take:
    """Return a figure that is the largest of a value over drawings."""

    def take(rows: Column) -> float:
        values = np.abs(np.array([value(r) for r in rows], float))
        return float(np.nanmax(values)) if np.isfinite(values).any() else float("nan")

    return take


FIGURES = (
    Figure("F1 at 0.10 mm", _mean(lambda r: r.own.score.f1[1]), 4),
    Figure("F1 at 0.25 mm", _mean(lambda r: r.own.score.f1[2]), 4),
    Figure("F1 at 0.10 settled", _mean(lambda r: r.settled.f1[1] if r.settled else float("nan")), 4),
    Figure("F1 at 0.25 settled", _mean(lambda r: r.settled.f1[2] if r.settled else float("nan")), 4),
    Figure("parts right, %", _mean(lambda r: 100 * r.own.score.parts_right), 1),
    Figure("spurs a drawing", _mean(lambda r: len(r.own.score.spurs)), 2),
    Figure("ends missed", _mean(lambda r: len(r.own.score.missed_ends)), 2),
    Figure("invented, %", _mean(lambda r: 100 * r.invented), 2),
    Figure("lost, %", _mean(lambda r: 100 * r.lost), 2),
    Figure("size known, %", _mean(lambda r: 100 * np.isfinite(r.size_error)), 0),
    Figure("size error, %", _mean(lambda r: 100 * abs(r.size_error)), 3),
    Figure("size error, worst, %", _most(lambda r: 100 * r.size_error), 3),
    Figure("stretch, worst, %", _most(lambda r: 100 * r.stretch), 3),
    Figure("seconds", _mean(lambda r: r.own.seconds), 2),
    Figure("failed", lambda x: float(sum(bool(r.own.failure) for r in x)), 0),
)

COLOURED = ("crayon-light", "crayon-heavy", "crayon-dark", "felt", "wash")

PARTS = (operator.ge, 95.0)

SHEET = {"size error, worst, %": (operator.le, 0.3), "F1 at 0.25 settled": (operator.ge, 0.985)}

BARS: dict[str, dict[str, tuple[Callable[[float, float], bool], float]]] = {
    **{name: {"parts right, %": PARTS, "invented, %": (operator.le, 0.3)} for name in COLOURED},
    **{name: {"invented, %": (operator.le, 1.0)} for name in ("ruled", "squared", "fold", "through")},
    "photo": SHEET,
    "evening": {**SHEET, "parts right, %": PARTS, "invented, %": (operator.le, 0.3)},
    "sketched": {"size error, worst, %": (operator.le, 0.3), "F1 at 0.25 settled": (operator.ge, 0.97)},
    "pencil": {"F1 at 0.25 mm": (operator.ge, 0.97)},
    "bleed": {"F1 at 0.25 mm": (operator.ge, 0.97), "parts right, %": PARTS},
    "speckle": {"F1 at 0.25 mm": (operator.ge, 0.97), "parts right, %": PARTS},
}
"""Bars of a level for icons; the words' own tangles are no fault of their pictures."""

NEAR_SCAN = 0.004
"""How far F1 at 0.25 mm of what is coloured in may be below the scan's."""

WIDTH = 14
"""Characters to a level."""

ACROSS = 8
"""Levels side by side."""


def print_table(found: Sequence[Judged]) -> None:
    """Print a table for each set."""
    for kind in dict.fromkeys(r.art.kind for r in found):
        rows = [r for r in found if r.art.kind == kind]
        names = list(dict.fromkeys(r.level.name for r in rows))
        columns = {name: [r for r in rows if r.level.name == name] for name in names}
        for first in range(0, len(names), ACROSS):
            _print_block(kind, {name: columns[name] for name in names[first : first + ACROSS]}, columns)


def _print_block(kind: str, shown: dict[str, Column], columns: dict[str, Column]) -> None:
    """Print some levels of a set, with what missed its bar below."""
    count = max(len(rows) for rows in shown.values())
    print(f"{f'{kind}, {count} drawings':22}" + "".join(f"{name:>{WIDTH}}" for name in shown))
    missed: list[str] = []
    for figure in FIGURES:
        cells = []
        for name, rows in shown.items():
            value = figure.take(rows)
            bar = _bar(figure, name, columns) if kind == "icons" or figure.name == "F1 at 0.25 mm" else None
            failed = bar is not None and not bar[0](value, bar[1])
            if bar is not None and failed:
                sign = ">=" if bar[0] is operator.ge else "<="
                words = f"{figure.name} {value:.{figure.digits}f}, bar {sign} {bar[1]:.4g} MISSED"
                missed.append(f"  {name}: {words}")
            mark = "" if bar is None else "*" if failed else "+"
            cells.append(f"{'-' if np.isnan(value) else f'{value:.{figure.digits}f}'}{mark:1}")
        print(f"{figure.name:22}" + "".join(f"{cell:>{WIDTH}}" for cell in cells))
    print("\n".join(missed) if missed else "  (+ holds its bar)", end="\n\n")


def _bar(
    figure: Figure, name: str, columns: dict[str, Column]
) -> tuple[Callable[[float, float], bool], float] | None:
    """Return the bar of a figure at a level, None where there is none."""
    if figure.name == "F1 at 0.25 mm" and name in COLOURED:
        return (operator.ge, figure.take(columns["scan"]) - NEAR_SCAN) if "scan" in columns else None
    return BARS.get(name, {}).get(figure.name)
