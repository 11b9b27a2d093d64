"""What the clean-up changed, in words."""

from typing import get_args

import pytest

from tracer.model.ink import Mend, MendKind
from tracer.sheets.mend_words import mend_groups, mend_line, undo_words


def closed(*numbers: int) -> list[Mend]:
    return [Mend("gap closed", 1.0, 1.0, 1.0, number) for number in numbers]


def test_a_line_says_all_kinds_with_their_numbers_and_how_to_undo() -> None:
    mends = [*(Mend("speck dropped", 1.0, 1.0, 1.0) for _ in range(12)), *closed(1, 2, 3, 7)]
    assert mend_line(mends, "report.html shows where") == (
        "Clean-up: 4 gaps closed (1-3, 7), 12 specks dropped: report.html shows where; "
        "--open-gaps 1 leaves gap 1 open."
    )
    assert mend_line(closed(4), "") == "Clean-up: 1 gap closed (4): --open-gaps 4 leaves it open."
    assert mend_line([], "report.html shows where") == ""


def test_dashed_lines_are_told_from_gaps_left_open() -> None:
    mends = [Mend("gap left open", 1.0, 1.0, 90.0), Mend("gap left open", 5.0, 5.0, 2.0, 3)]
    assert [group.what for group in mend_groups(mends)] == [
        "1 gap left open (3)",
        "1 dashed line left dashed",
    ]
    assert undo_words(mends) == ""


@pytest.mark.parametrize("kind", get_args(MendKind))
@pytest.mark.parametrize("count", [1, 3])
def test_every_kind_has_words(kind: MendKind, count: int) -> None:
    mends = [Mend(kind, 1.0, 1.0, 1.0, n if kind.startswith("gap") else 0) for n in range(1, count + 1)]
    (group,) = mend_groups(mends)
    assert len(group.mends) == count
    assert group.what
    assert group.why
    assert "{" not in group.what
