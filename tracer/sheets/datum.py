"""How the board is brought to its place under the linkage: by what its sheets show, by nothing else."""

import numpy as np
from numpy.typing import NDArray

from tracer.geometry import affine
from tracer.lengths import both, format_length
from tracer.model.plan import Plan, Run, SetUp
from tracer.sheets.assembly import Assembly
from tracer.sheets.job_facts import shift_words
from tracer.sheets.set_up_marks import listed, measured_marks, place_words, register_names

Array = NDArray[np.float64]

_NEAR = 10.0
"""mm on the template: two starts closer than this tell no board askew, so one is named (our own choice)."""


def datum_words(plan: Plan, assembly: Assembly) -> tuple[str, ...]:
    """Say in sentences how the board lies for these sheets; nothing for a board whose size nobody said."""
    if assembly.set_up is not None:
        return (_set_up_words(plan, assembly.set_up),)
    board, units = plan.layout.board, plan.job.units
    if not board.declared or not plan.runs:
        return ()
    size = " x ".join(format_length(side, units) for side in (board.width, board.height))
    if prints(assembly, affine.apply(plan.to_template, np.array([board.width, board.height]) / 2)):
        across, down = (both(side / 2, units) for side in (board.width, board.height))
        said = (
            f"Board {size}. Mark its middle, {across} from the left edge and {down} from the top: with the "
            "stylus on the ringed crossing the bit stands there; along a middle line it follows the board's."
        )
        return (said,)
    places = "; ".join(f"of run {run.number}, {place_words(plan, _at(run))}" for run in _far_apart(plan))
    return (f"Board {size}. With the stylus on the start {places}: there the bit must stand.",)


def prints(assembly: Assembly, point: Array) -> bool:
    """Say whether a point (2,) of the template lies on a printed sheet."""
    boxes = np.array([assembly.tiling.trimmed(cell) for cell in assembly.used]) + np.tile(assembly.origin, 2)
    return bool(((boxes[:, :2] <= point) & (point <= boxes[:, 2:])).all(axis=1).any())


def _set_up_words(plan: Plan, set_up: SetUp) -> str:
    """Say how the board comes to its place in a set-up: the first by measure, the others by marks."""
    board, units = plan.layout.board, plan.job.units
    names = register_names(plan)
    first = f"Set-up {set_up.number} of {len(plan.set_ups)}."
    if set_up.number == 1:
        size = " x ".join(format_length(side, units) for side in (board.width, board.height))
        whole = f"Board {size}{'' if board.declared else ' or larger'}"
        places = "; ".join(f"{names[mark]}, {place_words(plan, mark)}" for mark in measured_marks(plan))
        return (
            f"{first} {whole}. Measure and mark on it {places}. Lay it so that with the stylus on each of "
            "these marks of the sheets the bit stands on the board's."
        )
    old = {mark for one in plan.set_ups[: set_up.number - 1] for mark in one.marks}
    again = listed([name for mark, name in names.items() if mark in old and mark in set_up.marks])
    until = f", until with the stylus on {again} the bit stands on the board's dots" if again else ""
    moved = shift_words(plan.shift_of(set_up), units)
    return f"{first} From its place in set-up 1 move the board {moved}{until}."


def _far_apart(plan: Plan) -> tuple[Run, ...]:
    """Return the two runs whose starts lie farthest apart, one where all start in one place."""
    starts = np.array([run.start for run in plan.runs]).reshape(-1, 2)
    away = np.hypot(*(starts[:, None] - starts[None]).transpose(2, 0, 1))
    one, other = sorted(np.unravel_index(int(away.argmax()), away.shape))
    runs = (plan.runs[one], plan.runs[other])
    return runs if away.max() / plan.job.ratio > _NEAR else runs[:1]


def _at(run: Run) -> tuple[float, float]:
    x, y = run.start.tolist()
    return x, y
