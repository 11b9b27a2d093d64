"""What the job sheet says of a job: how the router is set, what must be known, what is to be written down."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracer.lengths import Units, both, format_length
from tracer.model.plan import DepthStop, Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.bench_words import (
    depths_of,
    grain_words,
    minutes,
    plunge_words,
    run_range,
    stops_in_order,
    volume_words,
    widths_of,
)
from tracer.sheets.diagonals import diagonal_words, diagonals_of
from tracer.sheets.extents import beside_edges, between_words, followed_extent
from tracer.sheets.letter_words import letter_facts
from tracer.sheets.paper_words import table_note
from tracer.sheets.pdf_letters import shown
from tracer.sheets.placement import pieces_of_words
from tracer.sheets.record import grooved_extent
from tracer.sheets.said_names import unshown

_SET_UP = (15, 30)
"""Minutes to tape up, set up and test (common practice, no source)."""

_MOVE = (2, 3)
"""Minutes to move the board on to its next place (common practice, no source)."""

_NOTHING = 0.005
"""mm: a shift that is none."""

_LISTED = 12
"""Sheets that are named one by one; of more the first and the last."""


@dataclass(frozen=True)
class Fact:
    """One line of the sheet: `label`, `value`, and how the value came (`trust`, "" where it was computed)."""

    label: str
    value: str
    trust: str = ""


@dataclass(frozen=True)
class Setting:
    """A depth to set the router to: `depth` and `groove` in words, and the passes and runs it is for.

    `stop` is its number, 0 where it is the only one.
    """

    stop: int
    depth: str
    groove: str
    rest: str


def settings_of(plan: Plan) -> tuple[Setting, ...]:
    """Return each depth stop in the order of cutting."""
    stops = stops_in_order(plan)
    if not stops:
        return tuple(_setting(plan, stop, (), only=True) for stop in plan.stops[:1])
    return tuple(_setting(plan, stop, runs, only=len(plan.stops) < 2) for stop, runs in stops)


def _setting(plan: Plan, stop: DepthStop, runs: Sequence[int], *, only: bool) -> Setting:
    """Say one stop; of several the steps are told in the user's own unit alone."""
    times, depths = len(stop.pass_depths), depths_of(plan)
    steps = ", then ".join((depths.both if only else depths.own)(depth) for depth in stop.pass_depths)
    said = "in one pass" if times == 1 else f"{times} passes: {steps}"
    depth, groove = depths.both(stop.depth), widths_of(plan).both(stop.width)
    return Setting(0 if only else stop.number, depth, groove, said if only else f"{run_range(runs)}, {said}")


def ratio_trust(plan: Plan) -> str:
    """Say how the ratio came: the day it was measured, or that it was not."""
    measured = plan.job.linkage.measured_on
    return f"measured {measured.isoformat()}" if measured else f"{plan.job.origin('ratio')}, not measured"


def facts_of(plan: Plan, sheets: Sequence[Assembly]) -> tuple[Fact, ...]:
    """Return the facts for the bench, in the order in which they are needed; `sheets` are all assemblies."""
    job = plan.job
    declared = plan.layout.board.declared
    return (
        Fact("Board", _board(plan), job.origin("board") if declared else "assumed round the figure"),
        Fact("Finished size", _finished(plan)),
        Fact("Template", _template(plan, sheets)),
        *_bars(plan),
        *_table(plan, sheets),
        *_turned(plan),
        *_reach(plan),
        *(Fact(*fact) for fact in letter_facts(plan)),
        *_said(plan),
        *_unshown(plan),
        Fact("Plunges", plunge_words(plan)),
        Fact("Wood removed", volume_words(plan.totals.removed_ml, job.units)),
        Fact("Time", _time(plan)),
    )


def _board(plan: Plan) -> str:
    board, units = plan.layout.board, plan.job.units
    size = " x ".join(format_length(side, units) for side in (board.width, board.height, board.thickness))
    return f"{size}, {board.wood}, grain {grain_words(plan)}"


def _finished(plan: Plan) -> str:
    """Return the size as drawn, before anything was dropped, and over the grooves."""
    units = plan.job.units
    x0, y0, x1, y1 = plan.layout.extent
    drawn = " x ".join(both(side, units) for side in (x1 - x0, y1 - y0))
    gx0, gy0, gx1, gy1 = grooved_extent(plan)
    over = " x ".join(format_length(side, units) for side in (gx1 - gx0, gy1 - gy0))
    return f"{drawn} {between_words(plan)}; {over} over the grooves"


def _template(plan: Plan, sheets: Sequence[Assembly]) -> str:
    x0, y0, x1, y1 = (side / plan.job.ratio for side in followed_extent(plan))
    between = "outermost tracks" if beside_edges(plan) else "stroke middles"
    size = " x ".join(format_length(side, plan.job.units) for side in (x1 - x0, y1 - y0))
    names = [name for one in sheets for name in one.names]
    count = f"{len(names)} {'sheet' if len(names) == 1 else 'sheets'}"
    return f"{size} between {between}, {count} of {plan.job.paper.name}: {listed_names(names)}"


def listed_names(names: Sequence[str], *, most: int = _LISTED) -> str:
    """List names of sheets: of more than `most` the first and the last."""
    return ", ".join(names) if len(names) <= most else f"{names[0]} to {names[-1]}"


def _bars(plan: Plan) -> Iterator[Fact]:
    """Say what the printed bar measured, where it was measured."""
    printer = plan.job.printer
    if printer.measured:
        read = f"{printer.bar_x:g} mm (short edge), {printer.bar_y:g} mm (long edge)"
        yield Fact("Printed bars", f"{read}: made up for", plan.job.origin("printer"))


def _table(plan: Plan, sheets: Sequence[Assembly]) -> Iterator[Fact]:
    """Say of the largest template whether it lies flat under the stylus, where it is known how much does."""
    notes = [(table_note(plan, one.size), one.size) for one in sheets]
    known = [(note.bad, size, note.words) for note, size in notes if note is not None]
    if known:
        bad, _, words = max(known)
        yield Fact("Template too large" if bad else "Under the stylus", words, plan.job.origin("table"))


def _turned(plan: Plan) -> Iterator[Fact]:
    """Say how the sheets lie where the linkage turns the copy half round."""
    if plan.job.linkage.turned:
        words = (
            "The linkage turns the copy half round: lay the sheets with the board's top, which is at their "
            "foot, towards you"
        )
        yield Fact("Which way round", words, plan.job.origin("turned"))


def _reach(plan: Plan) -> Iterator[Fact]:
    """Say in how many positions of the board all is cut, where the reach is known."""
    reach, units = plan.job.linkage.reach, plan.job.units
    if reach is None:
        return
    size = " x ".join(format_length(side, units) for side in reach)
    count = len(plan.set_ups)
    many = f"{count} set-ups: see how the board is moved" if count > 1 else "all is cut in one set-up"
    if any(one.check == "out of reach" for one in plan.findings):
        many = "less than the carving takes, and no set-ups are planned"
    yield Fact("Reach on the wood", f"{size}, {many}", plan.job.origin("reach"))


def _said(plan: Plan) -> Iterator[Fact]:
    """Repeat what the user wrote of the job; nothing of it is judged."""
    if shown(plan.job.finish):
        yield Fact("Finish", plan.job.finish)


def _unshown(plan: Plan) -> Iterator[Fact]:
    """Say which letters of the user's words the type lacks."""
    if words := unshown(plan):
        yield Fact("Letters not shown", words)


def _time(plan: Plan) -> str:
    totals = plan.totals
    moves = len(plan.set_ups) - 1
    moved = f", and {_MOVE[0]} to {_MOVE[1]} min each time the board is moved on" if moves > 0 else ""
    return (
        f"{minutes(totals.time_low, totals.time_high)} with the router running, after {_SET_UP[0]} to "
        f"{_SET_UP[1]} min to set up and test{moved}"
    )


def feeds_of(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return (runs, which way and why) for each way that runs are followed, the commonest first."""
    common = Counter(run.feed for run in plan.runs if run.feed)
    return tuple(
        (runs_words([run.number for run in plan.runs if run.feed == said]), said)
        for said, _ in common.most_common()
    )


def runs_words(numbers: Sequence[int]) -> str:
    """List numbers of runs, three and more in a row as a range: "runs 1, 2, 5 to 9"."""
    rows: list[list[int]] = []
    for number in numbers:
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    said = [f"{row[0]} to {row[-1]}" if len(row) > 2 else ", ".join(map(str, row)) for row in rows]
    return f"{'run' if len(numbers) == 1 else 'runs'} {', '.join(said)}"


def tape_words(plan: Plan, sheets: Sequence[Assembly]) -> tuple[str, ...]:
    """Return the line on which the diagonals of sheets that are taped together are written down."""
    spans = [diagonals_of(one) for one in sheets]
    if not any(spans):
        return ()
    if len(sheets) > 1:
        return ("Sheets taped set-up by set-up; the corner marks are as far apart as each sheet says",)
    words = diagonal_words(spans[0], plan.job.units).removesuffix(".")
    return (f"{words}; measured {' and '.join(['______'] * len(spans[0]))} mm",)


def scrap_words(plan: Plan) -> str:
    """Return the line on which the test grooves are written down."""
    units, stops = plan.job.units, stops_in_order(plan)
    if len(stops) < 2:
        groove = f"{both(plan.job.groove, units)} at {both(plan.job.depth, units)} deep"
        if plan.stops:
            groove = f"{both(plan.stops[0].width, units)} at {both(plan.stops[0].depth, units)} deep"
        return f"Test groove in scrap of this wood: ________ wide (expect {groove})"
    each = "; ".join(
        f"stop {stop.number} ______ wide (expect {widths_of(plan).own(stop.width)})" for stop, _ in stops
    )
    return f"Test grooves in scrap of this wood: {each}"


def rights_words(plan: Plan) -> tuple[str, ...]:
    """Return where the art came from and who allowed it, and the lines on which that is written down."""
    job, said = plan.job, []
    if plan.layout.pictures or not pieces_of_words(plan):
        source, leave = shown(job.art_from), shown(job.allowed_by)
        by = f"; allowed by {leave}" if leave else f" and I may carve it: {'_' * 20}"
        said.append(f"The art comes from {source or '_' * 26}{by}")
    if pieces_of_words(plan):
        said.append("The font's licence (see Letters) lets me carve with it: ___________________________")
    return tuple(said)


def shift_words(shift: tuple[float, float], units: Units) -> str:
    """Say how far the board is moved from where it lay first, by its own edges: it may lie either way up."""
    ways = (("left", "right"), ("top", "bottom"))
    moved = [
        f"{both(abs(by), units)} towards its {way[by > 0]} edge"
        for by, way in zip(shift, ways, strict=True)
        if abs(by) > _NOTHING
    ]
    return ", ".join(moved) or "where it lies first"
