"""The table: figures down, sets and levels across, bars and what they missed at the end."""

import operator
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.strokes.metrics import Score
from benchmarks.strokes.run import Result

Column = Sequence[Score]


@dataclass(frozen=True)
class Figure:
    """A row: its name, how it is taken from scores, and the digits it is printed with."""

    name: str
    take: Callable[[Column], float]
    digits: int


def _mean(value: Callable[[Score], float]) -> Callable[[Column], float]:
    """Return a figure that is the mean of a value over drawings; those without it do not count."""

    def take(scores: Column) -> float:
        values = np.array([value(s) for s in scores], float)
        return float(np.nanmean(values)) if np.isfinite(values).any() else float("nan")

    return take


FIGURES = (
    Figure("F1 at 0.05 mm", _mean(lambda s: s.f1[0]), 4),
    Figure("F1 at 0.10 mm", _mean(lambda s: s.f1[1]), 4),
    Figure("F1 at 0.25 mm", _mean(lambda s: s.f1[2]), 4),
    Figure("mean distance, mm", _mean(lambda s: s.mean), 4),
    Figure("p95 distance, mm", _mean(lambda s: s.p95), 4),
    Figure("Hausdorff, median, mm", lambda x: float(np.median([s.hausdorff for s in x])), 3),
    Figure("Hausdorff < 0.10 mm, %", _mean(lambda s: 100 * (s.hausdorff < 0.10)), 1),
    Figure("Hausdorff < 0.25 mm, %", _mean(lambda s: 100 * (s.hausdorff < 0.25)), 1),
    Figure("parts right, %", _mean(lambda s: 100 * s.parts_right), 1),
    Figure("spurs a drawing", _mean(lambda s: len(s.spurs)), 3),
    Figure("ends missed", _mean(lambda s: len(s.missed_ends)), 3),
    Figure("crossings missed", _mean(lambda s: len(s.crossings_missed)), 3),
    Figure("crossings invented", _mean(lambda s: len(s.crossings_invented)), 3),
    Figure("segments to a true one", lambda x: float(np.mean([s.segments for s in x])), 3),
    Figure("width error, mm", _mean(lambda s: s.width_error), 4),
    Figure("direction error, deg", _mean(lambda s: s.direction_error_deg), 3),
)

SHARP = {
    "F1 at 0.05 mm": (operator.ge, 0.998),
    "F1 at 0.10 mm": (operator.ge, 0.9995),
    "mean distance, mm": (operator.le, 0.007),
    "p95 distance, mm": (operator.le, 0.020),
    "Hausdorff, median, mm": (operator.le, 0.045),
    "Hausdorff < 0.25 mm, %": (operator.ge, 95.0),
    "parts right, %": (operator.ge, 97.0),
    "spurs a drawing": (operator.le, 0.0),
    "crossings missed": (operator.le, 0.0),
    "crossings invented": (operator.le, 0.0),
    "segments to a true one": (operator.le, 1.15),
    "width error, mm": (operator.le, 0.006),
}

WORDY = {
    "F1 at 0.05 mm": (operator.ge, 0.95),
    "F1 at 0.10 mm": (operator.ge, 0.975),
    "mean distance, mm": (operator.le, 0.014),
    "p95 distance, mm": (operator.le, 0.07),
    "Hausdorff, median, mm": (operator.le, 0.30),
    "parts right, %": (operator.ge, 90.0),
    "spurs a drawing": (operator.le, 0.2),
    "segments to a true one": (operator.le, 1.2),
}

BARS = {("icons", "clean"): SHARP, ("icons", "scan"): SHARP, ("words", "scan"): WORDY}
"""Bars of a set at a level."""


def print_table(found: Sequence[Result]) -> None:
    """Print our figures and the plain chain's, a table for each set and level."""
    keys = list(dict.fromkeys((r.art.kind, r.level.name) for r in found))
    for key in sorted(keys):
        _print_block(key, [r for r in found if (r.art.kind, r.level.name) == key])


def _print_block(key: tuple[str, str], rows: Sequence[Result]) -> None:
    """Print one set at one level."""
    bars = BARS.get(key, {})
    ours = [r.own.score for r in rows]
    plain = [r.plain.score for r in rows if r.plain]
    print(f"{key[0] + ', ' + key[1] + f', {len(rows)} drawings':28}{'tracer':>10}{'plain':>10}  bar")
    for figure in FIGURES:
        value = figure.take(ours)
        other = f"{figure.take(plain):.{figure.digits}f}" if plain else "-"
        line = f"{figure.name:28}{value:10.{figure.digits}f}{other:>10}  {_bar(figure, value, bars)}"
        print(line.rstrip())
    seconds = np.mean([r.own.seconds for r in rows])
    other = f"{np.mean([r.plain.seconds for r in rows if r.plain]):.3f}" if plain else "-"
    print(f"{'seconds':28}{seconds:10.3f}{other:>10}")
    failed = [r.art.name for r in rows if r.own.failure]
    if failed:
        print(f"{'FAILED':28}{len(failed):10}  {', '.join(failed[:6])}")
    print()


def _bar(figure: Figure, value: float, bars: dict[str, tuple[Callable[[float, float], bool], float]]) -> str:
    """Return a bar in words, and whether it was missed."""
    if figure.name not in bars:
        return ""
    holds, limit = bars[figure.name]
    sign = ">=" if holds is operator.ge else "<="
    return f"{sign} {limit:g}" + ("" if holds(value, limit) else "  MISSED")
