"""On 50 random drawings no label lies on another, as read back from the printed file by another program.

It takes longer than other tests because of their number.
"""

from pathlib import Path

import numpy as np
import pytest
import shapely
from sheets.drawn import drawn, shapes
from sheets.random_drawings import random_plan

from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly, assemble
from tracer.sheets.template import write_template
from tracer.sheets.tiling import Cell

RED, BLUE, BLACK = (191, 0, 26), (0, 51, 153), (0, 0, 0)
SEEDS = range(50)
LONGEST = 10.0
"""mm round the largest start of a run: a square of 2.4 mm."""


class Sheet:
    """The labels of one printed sheet as shapely sees them: mm on paper, those of the strip left out."""

    def __init__(self, path: Path, page: int, assembly: Assembly, cell: Cell) -> None:
        margin = assembly.tiling.margin
        self.window = shapely.box(margin, margin, margin + cell.width, margin + cell.height)
        lines, words = drawn(path, page)
        inside = [word for word in words if self.window.contains(shapely.box(*word.box))]
        self.numbers = {w.text.strip(): shapely.box(*w.box) for w in inside if w.text.strip().isdigit()}
        self.names = [shapely.box(*word.box) for word in inside if not word.text.strip().isdigit()]
        filled = [one for one in shapes(path, page) if self.window.contains(shapely.Polygon(one.points))]
        self.arrows = [shapely.Polygon(one.points) for one in filled if one.colour == RED]
        black = [shapely.Polygon(_points(one.points)) for one in filled if one.colour == BLACK]
        self.dots = [one for one in black if one.length < LONGEST]  # corner marks are longer
        self.lines = [shapely.LineString(_points(one.points)) for one in lines if one.colour in {RED, BLUE}]

    @property
    def labels(self) -> list[shapely.Geometry]:
        """All of them."""
        return [*self.numbers.values(), *self.names, *self.arrows, *self.dots]


def _points(points: np.ndarray) -> np.ndarray:
    """Return points on a chain of cubics given by ends and handles; straight lines as they are."""
    if len(points) % 3 != 1 or len(points) < 7:
        return points
    u = np.linspace(0.0, 1.0, 12)[:, None]
    a, b, c, d = (points[k::3][: len(points) // 3, None] for k in range(4))
    chain = a * (1 - u) ** 3 + 3 * b * u * (1 - u) ** 2 + 3 * c * u**2 * (1 - u) + d * u**3
    return np.concatenate(chain)


def sheets_of(plan: Plan, path: Path) -> list[Sheet]:
    write_template(plan, path)
    assembly = assemble(plan)
    return [Sheet(path, page, assembly, cell) for page, cell in enumerate(assembly.used)]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_label_lies_on_another_nor_a_number_on_a_line(tmp_path, seed):
    plan = random_plan(seed)
    sheets = sheets_of(plan, tmp_path / "t.pdf")
    for sheet in sheets:
        labels = sheet.labels
        pairs = shapely.STRtree(labels).query(labels, predicate="intersects").T.tolist()
        for one, other in pairs:
            alike = one == other or labels[one].equals(labels[other])  # two runs that start at one place
            assert alike or labels[one].intersection(labels[other]).area < 1e-3
        lines = shapely.union_all(sheet.lines)
        assert not any(number.intersects(lines) for number in sheet.numbers.values())
    shown = {number for sheet in sheets for number in sheet.numbers}
    assert shown == {str(run.number) for run in plan.runs}
