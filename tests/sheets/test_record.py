"""report.json against its published schema, and its sums against the plan they are taken from."""

import datetime
import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import jsonschema
import numpy as np
import pytest
import shapes
from sheets.plans import GROOVE, small_plan, with_break, with_join, with_stops

from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.finding import Finding
from tracer.model.ink import Mend, MendKind
from tracer.model.layout import Layout
from tracer.model.plan import Leg, Run
from tracer.report.build import build_plan
from tracer.sheets.record import record, write_record
from tracer.shop.linkage import Linkage

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "report.schema.json").read_text("utf-8"))
KEYS = [
    "version", "job", "art", "strokes", "dropped", "findings", "lands", "islands", "plunges", "totals",
    "sheets", "letters",
]  # fmt: skip


def closed(schema: Any) -> Any:
    """Return the schema with no keys allowed but those described: ours are to be described all."""
    if isinstance(schema, list):
        return [closed(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    shut = {key: closed(value) for key, value in schema.items()}
    return {"additionalProperties": False, **shut} if "properties" in shut else shut


def check(data: Any) -> None:
    jsonschema.Draft202012Validator(
        closed(SCHEMA), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    ).validate(data)


def test_set_ups_are_told_and_only_where_there_are_any() -> None:
    layout = shapes.layout_of(shapes.drawing_of("face"), width_mm=220.0)
    plan = build_plan(layout, Job(linkage=Linkage(0.5, reach=(130.0, 120.0))))
    data = record(plan)
    check(data)
    assert "set_ups" not in record(build_plan(layout, Job()))
    assert [one["number"] for one in data["set_ups"]] == list(range(1, len(plan.set_ups) + 1))
    assert [n for one in data["set_ups"] for n in one["plunges"]] == [
        one["number"] for one in data["plunges"]
    ]
    assert [name for one in data["set_ups"] for name in one["sheets"]] == data["sheets"]["names"]
    first, second = data["set_ups"][:2]
    assert first["shift_mm"] == [0.0, 0.0]
    moved = [a - b for a, b in zip(first["place_mm"], second["place_mm"], strict=True)]
    assert second["shift_mm"] == pytest.approx(moved, abs=2e-6)
    assert second["size_mm"] == pytest.approx([130.0, 120.0])
    where = {mark["name"]: mark["where_mm"] for one in data["set_ups"] for mark in one["marks"]}
    assert all(where[mark["name"]] == mark["where_mm"] for one in data["set_ups"] for mark in one["marks"])


def test_schema_is_a_schema_and_describes_everything() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)

    def walk(node: Any) -> None:
        for key, one in node.get("properties", {}).items():
            assert one.get("description") or key in ("low", "high"), key
        for value in node.values():
            for one in value if isinstance(value, list) else [value]:
                if isinstance(one, dict):
                    walk(one)

    walk(SCHEMA)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"units": "in", "retrace": False, "thin": "keep"},
        {"linkage": Linkage(0.595, datetime.date(2026, 11, 1), 0.3, (300.0, 200.0), turned=True)},
        {"declared": False, "grain_deg": 30.0, "scale": 3.0, "board": (420.0, 300.0, 19.05)},
    ],
)
def test_record_is_what_the_schema_says(changes: dict[str, Any]) -> None:
    data = record(small_plan(**changes))
    assert list(data) == KEYS
    check(json.loads(json.dumps(data, allow_nan=False)))


def test_empty_plan_is_valid() -> None:
    plan = small_plan()
    check(record(replace(plan, grooves=(), runs=(), islands=(), findings=(), dropped=(), stops=())))


def test_schema_notices_a_missing_and_a_misspelt_key() -> None:
    data = record(small_plan())
    del data["totals"]["passes"]
    with pytest.raises(jsonschema.ValidationError, match="passes"):
        check(data)
    data = record(small_plan())
    data["strokes"][0]["lenght_mm"] = 1.0
    with pytest.raises(jsonschema.ValidationError, match="lenght_mm"):
        check(data)


def test_numbers_are_those_of_the_plan() -> None:
    plan = small_plan()
    data = record(plan)
    assert [one["number"] for one in data["strokes"]] == [1, 2, 3, 4, 5, 6]
    assert data["strokes"][4]["groove_mm"] is None
    assert data["strokes"][4]["width_mm"] == 0.2  # 1 px drawn, 0.2 mm a pixel
    assert data["strokes"][0]["groove_mm"] == GROOVE
    assert data["dropped"][0]["stroke"] == 5
    assert data["job"]["size_mm"] == [78.0, 68.0]
    assert data["job"]["ratio"] == 0.5
    assert data["job"]["origins"]["ratio"] == "assumed"
    assert data["findings"][2]["where_mm"] is None
    x, y = np.array(data["art"][0]["art_to_wood"]) @ [120.0, 40.0, 1.0]
    assert (x, y) == pytest.approx((20.0, 12.0))


def test_lands_are_listed() -> None:
    (land,) = record(small_plan())["lands"]
    assert land["strokes"] == [1, 4]
    assert (land["width_mm"], land["limit_mm"], land["length_mm"]) == (2.1, 3.0, 12.0)
    assert land["where_mm"] == [round(x, 6) for x in small_plan().lands[0].where]


def test_stops_islands_and_decisions_are_told() -> None:
    data = record(with_join(with_break(with_stops(small_plan()))))
    check(data)
    assert [(one["number"], one["pass_depths_mm"]) for one in data["job"]["stops"]] == [
        (1, [1.7, 2.4]), (2, [1.6]), (3, [0.8]),
    ]  # fmt: skip
    assert data["job"]["stops_at_most"] == 3
    assert [one["stop"] for one in data["strokes"]] == [1, 1, 1, 2, None, 3, None]
    assert [one["stop"] for one in data["plunges"]] == [2, 3, 1]
    assert data["totals"]["removed_ml"] == 1.25
    island = data["islands"][1]
    assert (island["kind"], island["enclosed_by"], island["size_mm"]) == ("standing wood", [1], [70.0, 42.0])
    assert (island["area_mm2"], island["widest_mm"], island["breaks"]) == (12.5, 2.2, True)
    assert data["job"]["decided"]["leave_out"] == [7]
    assert data["job"]["decided"]["join"] == [{"a": 3, "a_end": "end", "b": 5, "b_end": "start"}]


def test_the_rule_for_the_wood_between_is_told() -> None:
    """Pine: 3 mm along, 3/16 in across; 1 mm of the hand at a half, root of squares with 0.3 mm of play."""
    shaky = small_plan(hand_error=1.0, linkage=Linkage(0.5, play=0.3))
    rule = record(shaky)["job"]["least_wood"]
    assert (rule["along_mm"], rule["across_mm"], rule["sloping_share"]) == (3.0, 4.7625, 0.5)
    assert rule["stray_mm"] == pytest.approx(math.hypot(0.5, 0.3), abs=1e-6)
    assert record(small_plan(linkage=Linkage(0.5, play=0.3)))["job"]["least_wood"]["stray_mm"] == 0.0
    check(record(shaky))


def test_mends_are_told_with_the_numbers_of_gaps() -> None:
    plan = small_plan()
    piece = plan.layout.pieces[0]
    mends = (Mend("gap closed", 5.0, 6.0, 2.0, 4), Mend("speck dropped", 7.0, 8.0, 1.0))
    piece = replace(piece, drawing=replace(piece.drawing, mends=mends))
    data = record(replace(plan, layout=Layout(plan.layout.board, (piece,))))
    check(data)
    assert data["art"][0]["mends"] == [
        {"kind": "gap closed", "number": 4, "x_px": 5.0, "y_px": 6.0, "size_px": 2.0},
        {"kind": "speck dropped", "number": None, "x_px": 7.0, "y_px": 8.0, "size_px": 1.0},
    ]


@pytest.mark.parametrize("kind", get_args(MendKind))
def test_the_schema_knows_every_kind_of_mend(kind: MendKind) -> None:
    art = SCHEMA["properties"]["art"]["items"]["properties"]
    assert kind in art["mends"]["items"]["properties"]["kind"]["enum"]


def test_a_join_belongs_to_no_piece() -> None:
    assert [one["piece"] for one in record(with_join(small_plan()))["strokes"]] == [1] * 6 + [None]


def test_lengths_of_plunges_add_up() -> None:
    data = record(small_plan())
    plunges, totals = data["plunges"], data["totals"]
    bit_way = totals["carving_length_mm"] + totals["retraced_mm"]
    assert sum(one["length_mm"] for one in plunges) == pytest.approx(bit_way, abs=1e-5)
    assert sum(one["retraced_mm"] for one in plunges) == pytest.approx(totals["retraced_mm"], abs=1e-5)
    for one in plunges:
        assert sum(leg["length_mm"] for leg in one["strokes"]) == pytest.approx(one["length_mm"], abs=1e-5)
    lengths = {one["number"]: one["length_mm"] for one in data["strokes"] if one["groove_mm"] is not None}
    cut = sum(one["length_mm"] - one["retraced_mm"] for one in plunges)
    assert cut == pytest.approx(sum(lengths.values()), abs=1e-5)


def test_directions() -> None:
    plan = small_plan()
    legs = record(plan)["plunges"][2]["strokes"]
    walk = [(leg["stroke"], leg["direction"], leg["retraced"]) for leg in legs]
    assert walk == [
        (1, "forward", False), (2, "forward", False),
        (3, "backward", False), (3, "forward", True), (3, "forward", False),
    ]  # fmt: skip
    ring = plan.layout.strokes[0].curves
    round_back = Run(1, 1, (Leg(1, 2, 2, False, bezier.reverse(np.roll(ring, -2, axis=0))),))
    assert record(replace(plan, runs=(round_back,)))["plunges"][0]["strokes"][0]["direction"] == "backward"


def test_two_pieces_are_numbered_through() -> None:
    plan = small_plan()
    piece = plan.layout.pieces[0]
    layout = Layout(plan.layout.board, (piece, piece))
    data = record(replace(plan, layout=layout, strokes=layout.strokes))
    assert [one["piece"] for one in data["strokes"]] == [1] * 6 + [2] * 6
    assert [one["number"] for one in data["strokes"]] == list(range(1, 13))
    assert [one["piece"] for one in data["art"]] == [1, 2]
    check(data)


def test_file_is_the_same_twice_and_holds_no_nan(tmp_path: Path) -> None:
    odd = Finding("odd", "note", "not a number", (1,), (1.0, 2.0), math.nan, math.inf)
    plan = replace(small_plan(), findings=(odd,))
    for name in ("a", "b"):
        write_record(plan, tmp_path / name)
    text = (tmp_path / "a").read_bytes()
    assert text == (tmp_path / "b").read_bytes()
    data = json.loads(text, parse_constant=pytest.fail)
    assert data["findings"][0]["measured_mm"] is None
    assert data["findings"][0]["limit_mm"] is None
    check(data)


def test_rounding_leaves_no_more_than_six_decimals_and_no_negative_zero() -> None:
    def walk(value: Any) -> None:
        if isinstance(value, dict | list):
            for one in value.values() if isinstance(value, dict) else value:
                walk(one)
        elif isinstance(value, float):
            assert value == round(value, 6)
            assert math.copysign(1, value) > 0 or value < 0

    walk(record(replace(small_plan(), findings=(Finding("a", "note", "b", (), (-0.0, -1e-9)),))))


def test_names_that_are_no_text_are_written(tmp_path: Path) -> None:
    plan = small_plan(name="a\udcff</script>\u202e\U0001f98a", art="b/../\udc80.png")
    write_record(plan, tmp_path / "r.json")
    data = json.loads((tmp_path / "r.json").read_text("utf-8"))
    assert data["job"]["name"] == "a?</script>\u202e\U0001f98a"
    check(data)
