"""The set-ups in report.json."""

from collections.abc import Sequence
from typing import Any

from tracer.model.plan import Plan, SetUp
from tracer.sheets.assembly import Assembly
from tracer.sheets.set_up_marks import register_names


def set_up_record(plan: Plan, sheets: Sequence[Assembly]) -> list[dict[str, Any]]:
    """Return each set-up in the order of cutting; `sheets` are the assemblies, one each."""
    names = register_names(plan)
    return [_set_up(plan, one, names, own) for one, own in zip(plan.set_ups, sheets, strict=True)]


def sheets_record(plan: Plan, sheets: Sequence[Assembly]) -> dict[str, Any]:
    """Return the paper and its sheets: of several set-ups all names, and the most columns and rows of any."""
    first = sheets[0].tiling
    return {
        "paper": plan.job.paper.name,
        "paper_mm": [plan.job.paper.width, plan.job.paper.height],
        "orientation": _held(sheets[0]),
        "columns": max(one.tiling.columns for one in sheets),
        "rows": max(one.tiling.rows for one in sheets),
        "names": [name for one in sheets for name in one.names],
        "left_out": [name for one in sheets for name in _left_out(one)],
        "overlap_mm": first.overlap,
        "margin_mm": first.margin,
    }


def _set_up(plan: Plan, one: SetUp, names: dict[tuple[float, float], str], own: Assembly) -> dict[str, Any]:
    x0, y0, x1, y1 = one.window
    return {
        "number": one.number,
        "place_mm": [x0, y0],
        "size_mm": [x1 - x0, y1 - y0],
        "shift_mm": list(plan.shift_of(one)),
        "plunges": list(one.runs),
        "marks": [{"name": names[mark], "where_mm": list(mark)} for mark in one.marks],
        "sheets": list(own.names),
        "orientation": _held(own),
    }


def _held(assembly: Assembly) -> str:
    return "landscape" if assembly.tiling.landscape else "portrait"


def _left_out(assembly: Assembly) -> list[str]:
    names = set(assembly.names)
    return [cell.name for cell in assembly.tiling.cells if cell.name not in names]
