"""The rows of the page's tables."""

import math
import shlex
from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np

from tracer.lengths import Units, both, format_length
from tracer.model.finding import Finding, Severity
from tracer.model.plan import Dropped, Island, Plan, Run
from tracer.model.sizes import SizeCurve
from tracer.sheets.bench_words import stops_in_order
from tracer.sheets.job_facts import runs_words, shift_words
from tracer.sheets.letter_table import baseline_words, reading, table_columns, turn_words
from tracer.sheets.page_words import PageWords, count
from tracer.sheets.pieces import chosen, joins
from tracer.sheets.placement import PlacedLine, placed_lines
from tracer.sheets.record import direction, leg_lengths


@dataclass(frozen=True)
class FindingGroup:
    """Findings of one check and severity, each with its number in the plan's order, from 1."""

    check: str
    severity: Severity
    findings: tuple[tuple[int, Finding], ...]


def finding_groups(plan: Plan) -> tuple[FindingGroup, ...]:
    """Return the findings gathered by what was found, in the order of their costliest."""
    groups: dict[tuple[str, Severity], list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(plan.findings, 1):
        groups.setdefault((finding.check, finding.severity), []).append((number, finding))
    return tuple(FindingGroup(*key, tuple(found)) for key, found in groups.items())


@dataclass(frozen=True)
class StopRow:
    """One depth stop as the page says it, with its runs in the order of cutting."""

    number: int
    depth: str
    groove: str
    passes: str
    strokes: int
    plunges: str
    runs: tuple["RunRow", ...]


@dataclass(frozen=True)
class RunRow:
    """One run: `strokes` are (number, followed backwards, followed again) in the order of travel."""

    number: int
    start: str
    feed: str
    strokes: tuple[tuple[int, bool, bool], ...]
    length: str
    retraced: str


def stop_rows(plan: Plan, words: PageWords) -> tuple[StopRow, ...]:
    """Return the depth stops in the order in which they are cut; unused ones last."""
    strokes = Counter(groove.stop for groove in plan.grooves)
    used = [stop for stop, _ in stops_in_order(plan)]
    rows = []
    for stop in (*used, *(stop for stop in plan.stops if stop not in used)):
        runs = tuple(run_row(run, plan, words) for run in plan.runs if run.stop == stop.number)
        times = len(stop.pass_depths)
        plunges = f"{len(runs)}" if times < 2 else f"{len(runs)}, times {times} passes: {len(runs) * times}"
        passes = ", then ".join(words.length(depth) for depth in stop.pass_depths)
        rows.append(
            StopRow(
                number=stop.number,
                depth=words.length(stop.depth),
                groove=words.length(stop.width),
                passes="one" if times < 2 else f"{times}: {passes} deep",
                strokes=strokes[stop.number],
                plunges=plunges,
                runs=runs,
            )
        )
    return tuple(rows)


def run_row(run: Run, plan: Plan, words: PageWords) -> RunRow:
    """Return a row of the table of plunges."""
    shapes = {stroke.number: stroke for stroke in plan.strokes}
    lengths = leg_lengths(run)
    back = sum(length for leg, length in zip(run.legs, lengths, strict=True) if leg.retraced)
    return RunRow(
        number=run.number,
        start=words.place((float(run.start[0]), float(run.start[1]))),
        feed=run.feed,
        strokes=tuple(
            (leg.stroke, direction(leg, shapes[leg.stroke]) == "backward", leg.retraced) for leg in run.legs
        ),
        length=words.short(sum(lengths)),
        retraced=words.short(back) if back else "–",
    )


@dataclass(frozen=True)
class SetUpRow:
    """One position of the board: its runs, how far it is moved from the first, and what the bit reaches."""

    number: int
    runs: str
    shift: str
    window: str


def set_up_rows(plan: Plan, words: PageWords) -> tuple[SetUpRow, ...]:
    """Return the positions of the board in the order of cutting; none where one does."""
    if len(plan.set_ups) < 2:
        return ()
    rows, sides = [], (plan.layout.board.width, plan.layout.board.height)
    for one in plan.set_ups:
        (x0, x1), (y0, y1) = (
            (words.short(max(0.0, low)), words.short(min(high, side)))
            for low, high, side in zip(one.window[:2], one.window[2:], sides, strict=True)
        )
        rows.append(
            SetUpRow(
                number=one.number,
                runs=words.begin(runs_words(one.runs)),
                shift=words.begin(shift_words(plan.shift_of(one), words.units)),
                window=f"{x0} to {x1} from left, {y0} to {y1} from top",
            )
        )
    return tuple(rows)


@dataclass(frozen=True)
class StrokeRow:
    """One stroke, its lengths in words; `stop` "" where it is left out, `fate` its plunges or why it is."""

    number: int
    kind: str
    length: str
    drawn: str
    groove: str
    stop: str
    fate: str


def stroke_rows(plan: Plan, words: PageWords) -> tuple[StrokeRow, ...]:
    """Return all strokes in the order of their numbers."""
    grooves = {groove.stroke: groove for groove in plan.grooves}
    reasons = {one.stroke: one.reason for one in plan.dropped}
    plunges: dict[int, list[int]] = defaultdict(list)
    for run in plan.runs:
        for number in dict.fromkeys(leg.stroke for leg in run.legs):
            plunges[number].append(run.number)
    joined = joins(plan)
    rows = []
    for stroke in plan.strokes:
        groove = grooves.get(stroke.number)
        followed = f"plunge {', '.join(map(str, plunges[stroke.number]))}" if groove else ""
        rows.append(
            StrokeRow(
                number=stroke.number,
                kind="join" if stroke.number in joined else stroke.kind,
                length=words.short(stroke.length),
                drawn=words.short(stroke.width),
                groove=words.short(groove.width if groove else None),
                stop=f"{groove.stop}" if groove else "–",
                fate=followed or reasons.get(stroke.number, "–"),
            )
        )
    return tuple(rows)


@dataclass(frozen=True)
class DroppedGroup:
    """Strokes left out for one reason; `chosen` where the user wants it so."""

    reason: str
    chosen: bool
    strokes: tuple[Dropped, ...]


def dropped_groups(plan: Plan) -> tuple[DroppedGroup, ...]:
    """Return the strokes left out, by reason, those lost to the bit before those that the user left out."""
    unwanted = chosen(plan)
    groups: dict[tuple[bool, str], list[Dropped]] = {}
    for one in plan.dropped:
        groups.setdefault((one.stroke in unwanted, one.reason), []).append(one)
    return tuple(
        DroppedGroup(reason, wanted, tuple(groups[wanted, reason])) for wanted, reason in sorted(groups)
    )


@dataclass(frozen=True)
class IslandGroup:
    """Islands of one fate; `title` says it."""

    title: str
    islands: tuple[Island, ...]


def island_groups(plan: Plan) -> tuple[IslandGroup, ...]:
    """Return what breaks out, the largest first, then parts of the drawing, then wood that stands."""
    breaking = tuple(sorted((i for i in plan.islands if i.breaks), key=lambda i: (-i.area, i.number)))
    parts = tuple(island for island in plan.islands if island.kind == "enclosed strokes")
    standing = tuple(i for i in plan.islands if i.kind == "standing wood" and not i.breaks)
    groups = (
        IslandGroup(f"Will break out: {count(len(breaking), 'piece')} of standing wood", breaking),
        IslandGroup(f"Closed-in parts of the drawing, each a plunge of its own: {len(parts)}", parts),
        IslandGroup(f"Standing wood that holds: {count(len(standing), 'piece')}", standing),
    )
    return tuple(group for group in groups if group.islands)


@dataclass(frozen=True)
class LetterTable:
    """The letters of one line: what the line says and where its baseline lies, heads, and rows of words."""

    title: str
    place: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def letter_tables(plan: Plan) -> tuple[LetterTable, ...]:
    """Return where the letters of each line of words go."""
    return tuple(_letter_table(plan, line) for line in placed_lines(plan))


def _letter_table(plan: Plan, line: PlacedLine) -> LetterTable:
    first = plan.job.units
    second: Units = "mm" if first == "in" else "in"
    columns = table_columns(line)
    heads = [" ".join(column.head).capitalize() for column in columns]
    rows = []
    for place, one in enumerate(line.letters):
        lengths = [column.value(line, place) for column in columns]
        said = ["–" if mm is None else f"{reading(mm, first)} ({reading(mm, second)})" for mm in lengths]
        rows.append((f"{one.number}", one.name, *said, *(() if line.straight else (turn_words(one),))))
    return LetterTable(
        title=f"Line {line.number}: {line.words}",
        place=baseline_words(plan, line),
        heads=("No.", "Letter", *heads, *(() if line.straight else ("Turned",))),
        rows=tuple(rows),
    )


@dataclass(frozen=True)
class SizeTable:
    """What is lost at other sizes: what the sizes are, and rows of (size, counts, whether it was asked for).

    `starred` says that at some sizes, with a star, even the typical line comes out too wide.
    """

    head: str
    rows: tuple[tuple[str, tuple[int, int, int, int], bool], ...]
    starred: bool


def size_commands(plan: Plan) -> tuple[str, ...]:
    """Return the commands that tell of each picture alone what other sizes lose."""
    found = []
    for piece in plan.layout.pieces:
        x0, y0, x1, y1 = np.array(piece.drawing.bounds) * piece.scale
        side, length = ("width", x1 - x0) if x1 > x0 else ("height", y1 - y0)
        if piece.picture and length > 0:
            said = format_length(float(length), plan.job.units)
            found.append(f'tracer size {shlex.quote(piece.drawing.name)} --{side} "{said}"')
    return tuple(dict.fromkeys(found))


def size_table(curve: SizeCurve | None) -> SizeTable | None:
    """Return the rows of a curve, from small to large; None for none."""
    if curve is None:
        return None
    rows = []
    for row in curve.rows:
        lost, size = row.losses, curve.size_of_row(row)
        counts = (lost.thin, lost.merged, lost.crumbling, lost.breaking)
        said = both(size, curve.job.units) + (" *" if lost.all_thin else "")
        rows.append((said, counts, math.isclose(size, curve.asked)))
    starred = any(row.losses.all_thin for row in curve.rows)
    return SizeTable(f"Finished size, {curve.side}", tuple(rows), starred)
