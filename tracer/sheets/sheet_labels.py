"""What is written all over the sheets of one template, and where. Template mm."""

from dataclasses import dataclass

from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.island_names import Name, draw_name, island_names
from tracer.sheets.labels import Spot
from tracer.sheets.letter_marks import LetterMark, letter_marks, letter_names
from tracer.sheets.pdf import Pdf
from tracer.sheets.run_marks import draw_numbers, meet, run_numbers
from tracer.sheets.track import Box


@dataclass(frozen=True)
class Labels:
    """Places of the runs' numbers, islands' names, letters and their names: the same for all sheets."""

    runs: tuple[Spot | None, ...]
    islands: tuple[Name, ...]
    letters: tuple[LetterMark, ...]
    letter_names: tuple[Spot | None, ...]


def labels_of(pdf: Pdf, plan: Plan, assembly: Assembly) -> Labels:
    """Find places for all that is written on the sheets of a plan."""
    runs = run_numbers(pdf, assembly.track, assembly.room)
    islands = island_names(pdf, plan, assembly.track, runs)
    letters = letter_marks(plan)
    taken = (*runs, *(name.spot for name in islands))
    return Labels(runs, islands, letters, letter_names(pdf, letters, assembly.track, taken))


def draw_labels(pdf: Pdf, assembly: Assembly, labels: Labels, view: Box) -> None:
    """Write the islands' names and the runs' numbers that a view (x0, y0, x1, y1) shows."""
    for name in labels.islands:
        if meet(name.spot.box, view):
            draw_name(pdf, name)
    draw_numbers(pdf, assembly.track.ways, labels.runs, view)
