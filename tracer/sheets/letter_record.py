"""The letters of words in report.json."""

import math
from typing import Any

from tracer.model.plan import Plan
from tracer.sheets.placement import placed_letters


def letter_record(plan: Plan) -> list[dict[str, Any]]:
    """Return the letters of all words in the order of cutting; lengths mm on the wood, y down."""
    return [
        {
            "number": one.number,
            "piece": one.piece + 1,
            "line": one.line + 1,
            "text": one.text,
            "glyphs": list(one.glyphs),
            "origin_mm": list(one.from_first),
            "origin_on_board_mm": list(one.origin),
            "turn_deg": math.degrees(one.turn),
            "advance_mm": one.advance,
            "height_mm": one.height,
            "strokes": list(one.strokes),
        }
        for one in placed_letters(plan)
    ]
