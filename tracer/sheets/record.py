"""The plan for other programs: report.json, described by docs/report.schema.json."""

import json
import math
from collections.abc import Iterable, Mapping
from numbers import Integral
from pathlib import Path
from typing import Any

import numpy as np

from tracer.acts import Acts
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.finding import Finding
from tracer.model.plan import Dropped, Groove, Island, Land, Leg, Plan, Run
from tracer.sheets.assembly import assemblies
from tracer.sheets.letter_record import letter_record
from tracer.sheets.pieces import piece_of_stroke
from tracer.sheets.record_art import art_record
from tracer.sheets.set_up_record import set_up_record, sheets_record
from tracer.shop.bit_words import describe, spec
from tracer.shop.linkage import ratio_words

VERSION = 2
"""Of the record's shape: raised when a key goes, or changes what it means."""

SETTINGS = (
    "name", "width", "height", "board", "thickness", "margin", "ratio", "bit", "depth", "wood", "grain",
    "paper", "units", "date", "retrace", "max-widening", "thin", "stops", "hand", "read-from",
)  # fmt: skip
"""Keys of the settings whose origin is told, as in a job file."""

_DIGITS = 6


def write_record(plan: Plan, path: Path) -> None:
    """Write `record` as UTF-8 JSON, indented; the same plan gives the same bytes."""
    text = json.dumps(record(plan), indent=1, ensure_ascii=False, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")


def record(plan: Plan) -> dict[str, Any]:
    """Return the whole plan as what JSON can hold.

    Lengths are mm and places (x, y) on the wood in mm from the board's top left, y down,
    rounded to 6 decimals; lists are in the order of their numbers, findings and plunges
    in that of the plan. What is not a finite number is null.
    """
    piece, sheets = piece_of_stroke(plan.layout), assemblies(plan)
    grooves = {groove.stroke: groove for groove in plan.grooves}
    lengths = {stroke.number: stroke.length for stroke in plan.strokes}
    whole: dict[str, Any] = _tidy(
        {
            "version": VERSION,
            "job": _job(plan),
            "art": [art_record(number, one) for number, one in enumerate(plan.layout.pieces, 1)],
            "strokes": [
                _stroke(stroke, piece.get(stroke.number), grooves.get(stroke.number))
                for stroke in plan.strokes
            ],
            "dropped": [_dropped(one, lengths.get(one.stroke)) for one in plan.dropped],
            "findings": [_finding(number, one) for number, one in enumerate(plan.findings, 1)],
            "lands": [_land(one) for one in plan.lands],
            "islands": [_island(one) for one in plan.islands],
            "plunges": [_plunge(run, plan) for run in plan.runs],
            "totals": _totals(plan),
            "sheets": sheets_record(plan, sheets),
            "letters": letter_record(plan),
            **({"set_ups": set_up_record(plan, sheets)} if plan.set_ups else {}),
        }
    )
    return whole


def grooved_extent(plan: Plan) -> tuple[float, float, float, float]:
    """Return the extent (x0, y0, x1, y1) of all grooves on the wood, mm; all zero where nothing is cut."""
    half = {groove.stroke: groove.width / 2 for groove in plan.grooves}
    boxes = [(half[stroke.number], stroke.bounds) for stroke in plan.cut]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    return (
        min(box[0] - r for r, box in boxes),
        min(box[1] - r for r, box in boxes),
        max(box[2] + r for r, box in boxes),
        max(box[3] + r for r, box in boxes),
    )


def _job(plan: Plan) -> dict[str, Any]:
    job, board = plan.job, plan.layout.board
    x0, y0, x1, y1 = plan.layout.extent
    gx0, gy0, gx1, gy1 = grooved_extent(plan)
    return {
        "name": job.name,
        "date": job.date.isoformat(),
        "units": job.units,
        "board": {
            "size_mm": [board.width, board.height], "thickness_mm": board.thickness, "wood": board.wood,
            "grain_deg": board.grain_deg, "declared": board.declared,
        },
        "margin_mm": job.margin,
        "size_mm": [x1 - x0, y1 - y0],
        "size_with_grooves_mm": [gx1 - gx0, gy1 - gy0],
        "place_mm": [x0, y0],
        "bit": {"words": describe(job.bit, job.units), "spec": spec(job.bit)},
        "depth_mm": job.depth,
        "stops_at_most": job.stops,
        "stops": [
            {
                "number": stop.number, "depth_mm": stop.depth, "groove_mm": stop.width,
                "pass_depths_mm": list(stop.pass_depths),
            }
            for stop in plan.stops
        ],
        **_rules(job),
        "decided": _decided(job.acts),
        "origins": {key: job.origin(key) for key in sorted({*SETTINGS, *job.origins})},
    }  # fmt: skip


def _rules(job: Job) -> dict[str, Any]:
    """Return the settings of linkage, hand, router and paper."""
    linkage = job.linkage
    measured = linkage.measured_on
    return {
        "ratio": job.ratio,
        "ratio_words": ratio_words(job.ratio),
        "ratio_measured_on": None if measured is None else measured.isoformat(),
        "turned": linkage.turned,
        "play_mm": linkage.play,
        "reach_mm": None if linkage.reach is None else list(linkage.reach),
        "table_mm": None if linkage.table is None else list(linkage.table),
        "router_base_mm": job.router_base,
        "hand_error_on_template_mm": job.hand_error,
        "read_from_mm": job.read_from,
        "least_wood": _least_wood(job),
        "retrace": job.retrace,
        "thin": job.thin,
        "max_widening": job.max_widening,
        "pass_limit_mm": job.pass_limit,
        "speed_mm_per_s": {"low": job.speed_low, "high": job.speed_high},
        "revision": job.revision,
        "finish": job.finish,
        "art_from": job.art_from,
        "allowed_by": job.allowed_by,
        "hold": job.hold,
        "sheet_overlap_mm": job.overlap,
        "plunge_s": {"low": job.plunge_low, "high": job.plunge_high},
        "printer": {
            "bar_x_mm": job.printer.bar_x, "bar_y_mm": job.printer.bar_y,
            "measured": job.printer.measured, "margin_mm": job.printer.margin,
        },
    }  # fmt: skip


def _least_wood(job: Job) -> dict[str, float]:
    """Return the numbers of the rule for the wood between two grooves."""
    wood, linkage = job.wood, job.linkage
    return {
        "along_mm": wood.land_along,
        "across_mm": wood.land_across,
        "sloping_share": wood.sloping_share,
        "straight_share": wood.straight_share,
        "straight_across_factor": wood.straight_across_factor,
        "stray_mm": linkage.error_on_wood(job.hand_error) if job.hand_error else 0.0,
    }


def _decided(acts: Acts) -> dict[str, Any]:
    """Return what the user decided about single strokes."""
    return {
        "leave_out": list(acts.leave_out),
        "keep": list(acts.keep),
        "join": [{"a": one.a, "a_end": one.a_end, "b": one.b, "b_end": one.b_end} for one in acts.join],
        "thin_out": [list(bundle) for bundle in acts.thin_out],
        "stops": [{"stroke": number, "stop": stop} for number, stop in sorted(acts.stops.items())],
        "sides": [{"stroke": number, "side": side} for number, side in sorted(acts.sides.items())],
    }


def _stroke(stroke: Stroke, piece: int | None, groove: Groove | None) -> dict[str, Any]:
    return {
        "number": stroke.number,
        "piece": None if piece is None else piece + 1,
        "kind": stroke.kind,
        "closed": stroke.closed,
        "length_mm": stroke.length,
        "width_mm": stroke.width,
        "groove_mm": None if groove is None else groove.width,
        "depth_mm": None if groove is None else groove.depth,
        "stop": None if groove is None else groove.stop,
        "bounds_mm": list(stroke.bounds),
    }


def _dropped(one: Dropped, length: float | None) -> dict[str, Any]:
    return {
        "stroke": one.stroke,
        "reason": one.reason,
        "where_mm": list(one.where),
        "length_mm": length,
        "measured_mm": one.measured,
        "groove_mm": one.groove,
        "limit_mm": one.limit,
        "remedy": one.remedy,
    }


def _finding(number: int, one: Finding) -> dict[str, Any]:
    return {
        "number": number,
        "check": one.check,
        "severity": one.severity,
        "message": one.message,
        "strokes": list(one.strokes),
        "where_mm": None if one.where is None else list(one.where),
        "measured_mm": one.measured,
        "limit_mm": one.limit,
        "remedy": one.remedy,
    }


def _land(one: Land) -> dict[str, Any]:
    return {
        "strokes": list(one.strokes),
        "where_mm": list(one.where),
        "width_mm": one.width,
        "limit_mm": one.limit,
        "length_mm": one.length,
        "wedge": one.wedge,
    }


def _island(one: Island) -> dict[str, Any]:
    return {
        "number": one.number,
        "kind": one.kind,
        "where_mm": list(one.where),
        "size_mm": list(one.size),
        "strokes": list(one.strokes),
        "enclosed_by": list(one.enclosed_by),
        "nesting": one.nesting,
        "area_mm2": one.area,
        "widest_mm": one.widest or None,
        "least_mm": one.least or None,
        "breaks": one.breaks,
    }


def _plunge(run: Run, plan: Plan) -> dict[str, Any]:
    shapes = {stroke.number: stroke for stroke in plan.strokes}
    lengths = leg_lengths(run)
    return {
        "number": run.number,
        "part": run.part,
        "stop": run.stop,
        "feed": run.feed,
        "start_mm": [float(value) for value in run.start],
        "end_mm": [float(value) for value in run.end],
        "strokes": [
            {
                "stroke": leg.stroke,
                "direction": direction(leg, shapes[leg.stroke]),
                "retraced": leg.retraced,
                "length_mm": length,
            }
            for leg, length in zip(run.legs, lengths, strict=True)
        ],
        "length_mm": sum(lengths),
        "retraced_mm": sum(length for leg, length in zip(run.legs, lengths, strict=True) if leg.retraced),
    }


def leg_lengths(run: Run) -> list[float]:
    """Return the length of each leg of a run, mm of wood."""
    each = bezier.lengths(np.concatenate([leg.curves for leg in run.legs]))
    ends = np.cumsum([len(leg.curves) for leg in run.legs])[:-1]
    return [float(own.sum()) for own in np.split(each, ends)]


def direction(leg: Leg, stroke: Stroke) -> str:
    """Return "forward" where the leg goes as its stroke was drawn, from start to end, else "backward".

    A leg once round a closed stroke has equal places at both ends: its first step tells.
    """
    if leg.start != leg.end or stroke.kind == "dot":
        return "forward" if leg.end >= leg.start else "backward"
    place = np.array([leg.start % len(stroke.curves)])
    drawn, went = bezier.tangents_at(stroke.curves, place)[0], bezier.tangents_at(leg.curves, np.zeros(1))[0]
    return "forward" if float(drawn @ went) >= 0 else "backward"


def _totals(plan: Plan) -> dict[str, Any]:
    totals = plan.totals
    return {
        "strokes_cut": len(plan.grooves),
        "strokes_dropped": len(plan.dropped),
        "plunges": totals.plunges,
        "plunges_with_passes": totals.plunges_with_passes,
        "plunges_with_retracing": totals.plunges_with_retracing,
        "plunges_without_retracing": totals.plunges_without_retracing,
        "passes": totals.passes,
        "carving_length_mm": totals.carving_length,
        "template_length_mm": totals.template_length,
        "retraced_mm": totals.retraced,
        "removed_ml": totals.removed_ml,
        "time_s": {"low": totals.time_low, "high": totals.time_high},
    }


def _tidy(value: Any) -> Any:
    """Return `value` with numbers rounded, no negative zero, nothing infinite, and only lists and dicts."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode("utf-8")  # file names may hold what is no text
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Mapping):
        return {key: _tidy(one) for key, one in value.items()}
    if isinstance(value, Iterable):
        return [_tidy(one) for one in value]
    return round(float(value), _DIGITS) + 0.0 if math.isfinite(value) else None
