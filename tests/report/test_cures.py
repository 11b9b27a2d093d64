"""How much larger: each sum against a look at that size."""

import pytest
import shapes

from tracer.job import Job
from tracer.report.cures import Kind, cures
from tracer.report.looks import Looks


def looks_at(parts: list[shapes.Part], width: float) -> Looks:
    job = Job()
    return Looks(shapes.layout_of(shapes.drawing_from(parts), width_mm=width, job=job), job)


@pytest.mark.parametrize(
    ("parts", "kind"),
    [
        ([shapes.line((0, 0), (1000, 0), width=4.0)], "thin"),
        ([shapes.line((0, 0), (1000, 0)), shapes.line((0, 10), (1000, 10))], "merged"),
        ([shapes.line((0, 0), (1000, 0)), shapes.line((0, 30), (1000, 30))], "holds"),
        ([shapes.line((0, 0), (1000, 0)), shapes.line((500, 30), (500, 300))], "holds"),
        ([shapes.ring((0, 0), 30), shapes.line((200, 0), (1170, 0))], "holds"),
    ],
)
def test_a_sum_is_the_size_from_which_it_holds(parts: list[shapes.Part], kind: Kind) -> None:
    looks = looks_at(parts, 80.0)
    ((times, strokes),) = cures(looks.at(1.0), kind, looks.figure)
    assert times > 1.0
    assert strokes
    assert not cures(looks.as_planned(times * 1.005), kind, looks.figure)
    assert cures(looks.as_planned(times * 0.995), kind, looks.figure)


def test_what_is_shorter_than_its_groove_makes_no_land() -> None:
    # 1 mm long: a dimple in a groove of 1.83 mm.
    looks = looks_at([shapes.line((0, 0), (1000, 0)), shapes.line((500, 25), (510, 25))], 100.0)
    assert looks.at(1.0).losses.crumbling == 0
    assert looks.at(1.9).losses.crumbling == 1


def test_no_size_parts_what_touches() -> None:
    looks = looks_at([shapes.line((0, 0), (1000, 0)), shapes.line((0, 1e-4), (1000, 1e-4))], 80.0)
    ((times, _),) = cures(looks.at(1.0), "holds", looks.figure)
    assert times > 1e5
