"""What is to be said of print and paper: the bar's correction, and whether the template lies flat."""

from dataclasses import dataclass

from tracer.lengths import format_length
from tracer.model.plan import Plan
from tracer.shop.printer import BAR, UNEQUAL, Printer, doubts

_SAME = 0.005
"""mm: a bar so near 100 mm needs no correction."""


_TOO_LARGE = "too large to lie flat"
"""The finding that says so."""


@dataclass(frozen=True)
class Note:
    """A short sentence for each sheet; `bad`: the sheets are not to be used before it is cured."""

    words: str
    bad: bool = False


def notes_of(plan: Plan, size: tuple[float, float]) -> tuple[Note, ...]:
    """Return what each sheet says of the print, and of a template of `size` mm beside the linkage's table."""
    return tuple(note for note in (bar_note(plan.job.printer), table_note(plan, size)) if note)


def bar_note(printer: Printer) -> Note | None:
    """Say what the measured bar changed, and whether the feed slips; None where there is nothing to say."""
    x, y = printer.bar_x, printer.bar_y
    if not printer.measured or max(abs(x - BAR), abs(y - BAR)) < _SAME:
        return None
    if slips(printer):
        cure = "corrected, but the feed slips. Clean the rollers, print anew."
        return Note(f"Bars measured {x:g} and {y:g} mm: {cure}", bad=True)
    measured = f"{x:g} mm" if abs(x - y) < _SAME else f"{x:g} and {y:g} mm"
    return Note(f"Corrected for a bar that measured {measured}; these must measure 100 mm.")


def slips(printer: Printer) -> bool:
    """Say whether the bars along the two edges differ by more than an even feed lets them."""
    return abs(printer.bar_x - printer.bar_y) > BAR * UNEQUAL


def table_note(plan: Plan, size: tuple[float, float]) -> Note | None:
    """Say whether the template lies flat under the stylus; None where nobody said how much does."""
    table, units = plan.job.linkage.table, plan.job.units
    if table is None:
        return None
    over, room = (" x ".join(format_length(side, units) for side in sides) for sides in (size, table))
    if _within(size, table):
        return Note(f"Lies flat under the stylus, where {room} find room.")
    if _within(size, table[::-1]):
        turned = f"Lies flat under the stylus ({room}) only when turned by a quarter; turn the board, too."
        return Note(turned)
    return Note(f"TOO LARGE to lie flat under the stylus: {over}, where {room} find room.", bad=True)


def paper_sentences(plan: Plan) -> tuple[str, ...]:
    """Return what whoever prints must know."""
    printer = plan.job.printer
    note = bar_note(printer)
    said = []
    if note and not slips(printer):
        said.append(f"{note.words} If they do not, print without --bar and measure anew.")
    said += doubts(printer)
    if not printer.measured:
        said.append(
            "Measure both bars on the first sheet. If they are not 100 mm, say what they are, along the "
            'paper\'s short edge and then along the long one: --bar "99.2mm x 99.4mm".'
        )
    said += [f"{one.message} {one.remedy}" for one in plan.findings if one.check == _TOO_LARGE]
    return tuple(said)


def _within(size: tuple[float, float], room: tuple[float, float]) -> bool:
    return all(side <= most + 1e-6 for side, most in zip(size, room, strict=True))
