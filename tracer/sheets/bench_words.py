"""What the job sheet says about a plan: labels, values, cautions, in the user's units."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tracer.lengths import Units, both, format_length
from tracer.model.finding import Finding
from tracer.model.plan import DepthStop, Island, Plan
from tracer.sheets.assembly import Assembly
from tracer.sheets.extents import beside_edges, between_words, followed_extent
from tracer.sheets.letter_words import letter_facts
from tracer.sheets.placement import pieces_of_words
from tracer.sheets.record import grooved_extent
from tracer.shop.bit_words import describe
from tracer.shop.linkage import ratio_words

CAUTIONS = (
    """Speed and depth: the marking on the bit and the router's manual come first, then local rules, then
    this sheet. Unplug the router to change bits.""",
    "Eyes, ears, dust mask; extraction running. No gloves, loose cuffs or long hair near the arms.",
    """The board must not shift: stops on two edges, clamps outside the sweep of arms and router. Lift
    before you stop.""",
    """A child's bed or furniture: shallow grooves only, no loose splinters, no lead in paint or finish;
    openings and projections come under the safety rules for cots and bunk beds where you live. This sheet
    does not call it safe.""",
)
"""The usual cautions; line breaks in them mean nothing."""

_NAMED = 8
"""Islands that break out named on the job sheet; the report holds all."""

_SET_UP = (15, 30)
"""Minutes to tape up, set up and test (common practice, no source)."""


@dataclass(frozen=True)
class Fact:
    """One line of the sheet: `label`, `value`, and how the value came (`trust`, "" where it was computed).

    `sum` marks what follows from the others for the whole job.
    """

    label: str
    value: str
    trust: str = ""
    sum: bool = False


def facts_of(plan: Plan, assembly: Assembly) -> tuple[Fact, ...]:
    """Return the facts for the bench, in the order in which they are needed."""
    job, totals = plan.job, plan.totals
    ratio = ratio_words(job.ratio)
    measured = job.linkage.measured_on
    trust = f"measured {measured.isoformat()}" if measured else f"{job.origin('ratio')}, not measured"
    return (
        Fact(
            "Board",
            _board(plan),
            "assumed round the figure" if not plan.layout.board.declared else job.origin("board"),
        ),
        Fact("Finished size", _finished(plan)),
        Fact("Bit", describe(job.bit, job.units), job.origin("bit")),
        *_depths(plan),
        Fact("Ratio", ratio[0].upper() + ratio[1:], trust),
        Fact("Template", _template(plan, assembly)),
        *(Fact(*fact) for fact in letter_facts(plan)),
        Fact("Plunges", plunge_words(plan), sum=True),
        Fact("Wood removed", volume_words(totals.removed_ml, job.units), sum=True),
        Fact(
            "Time",
            f"{minutes(totals.time_low, totals.time_high)} with the router running, after {_SET_UP[0]} to "
            f"{_SET_UP[1]} min to set up and test",
            sum=True,
        ),
    )


def warnings_of(plan: Plan) -> tuple[Finding, ...]:
    """Return the first finding of each check, in order of cost; it says how many more are like it.

    What is said of wood that breaks out is put together from the islands, and comes before all
    but losses: it names them as the template does.
    """
    alike = Counter(finding.check for finding in plan.findings)
    firsts: dict[str, Finding] = {}
    for finding in plan.findings:
        more = alike[finding.check] - 1
        said = f"{finding.message} And {more} more like this: see report.html." if more else finding.message
        firsts.setdefault(finding.check, replace(finding, message=said))
    islands = _break_outs(plan)
    if islands is None:
        return tuple(firsts.values())
    islands = replace(islands, severity=firsts.pop(islands.check, islands).severity)
    others = firsts.values()
    losses = [finding for finding in others if finding.severity == "loss"]
    return (*losses, islands, *(finding for finding in others if finding.severity != "loss"))


def _break_outs(plan: Plan) -> Finding | None:
    """Say which islands will break out, the largest first; None where all hold."""
    breaking = sorted((i for i in plan.islands if i.breaks), key=lambda i: (-i.area, i.number))
    if not breaking:
        return None
    named = ", ".join(island_name(island) for island in breaking[:_NAMED])
    more = f" and {len(breaking) - _NAMED} more" if len(breaking) > _NAMED else ""
    pieces = "1 piece" if len(breaking) == 1 else f"{len(breaking)} pieces"
    first, units = breaking[0], plan.job.units
    widest = f"{'it' if len(breaking) == 1 else 'the first'} is {both(first.widest, units)} at its widest"
    return Finding(
        check="standing wood breaks out",
        severity="risk",
        message=f"{pieces} of standing wood will break out: {named}{more} on the template; "
        f"{widest}, and the rule there asks for {both(first.least, units)}.",
    )


def island_name(island: Island) -> str:
    """Return what an island is called on the sheets: "i7", and "i7!" where it will break out."""
    return f"i{island.number}{'!' if island.breaks else ''}"


def grain_words(plan: Plan) -> str:
    """Say how the grain runs on the board."""
    angle = plan.layout.board.grain_deg % 180
    if angle in {0, 90}:
        return "along the width" if angle == 0 else "along the height"
    return f"{angle:g} deg from the width"


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


def _depths(plan: Plan) -> Iterator[Fact]:
    """Say depth and groove, of each stop in the order of cutting where there are several."""
    units, origin = plan.job.units, plan.job.origin("depth")
    if len(plan.stops) < 2:
        for stop in plan.stops:
            yield Fact("Depth", _passes(stop, units), origin)
            yield Fact("Groove to expect", f"{both(stop.width, units)} wide at the face")
        return
    for stop, runs in stops_in_order(plan):
        times = len(stop.pass_depths)
        passes = "one pass" if times == 1 else f"{times} passes"
        steps = ", then ".join(both(depth, units) for depth in stop.pass_depths)
        yield Fact(
            f"Depth stop {stop.number}: {run_range(runs)}, {passes}",
            f"{steps}, groove {both(stop.width, units)}",
            origin,
        )


def stops_in_order(plan: Plan) -> tuple[tuple[DepthStop, tuple[int, ...]], ...]:
    """Return the depth stops in the order of cutting, each with its runs' numbers; unused ones left out."""
    runs: dict[int, list[int]] = {}
    for run in plan.runs:
        runs.setdefault(run.stop, []).append(run.number)
    stops = {stop.number: stop for stop in plan.stops}
    return tuple((stops[number], tuple(numbers)) for number, numbers in runs.items() if number in stops)


def run_range(numbers: Sequence[int]) -> str:
    """Say which runs: those of one depth stop follow one another."""
    return f"run {numbers[0]}" if len(numbers) == 1 else f"runs {numbers[0]} to {numbers[-1]}"


def _passes(stop: DepthStop, units: Units) -> str:
    if len(stop.pass_depths) == 1:
        return f"{both(stop.depth, units)} in one pass"
    steps = ", then ".join(both(depth, units) for depth in stop.pass_depths)
    return f"{len(stop.pass_depths)} passes: {steps}"


def scrap_words(plan: Plan) -> str:
    """Return the line on which the test grooves are written down."""
    units, stops = plan.job.units, stops_in_order(plan)
    if len(stops) < 2:
        groove = f"{both(plan.job.groove, units)} at {both(plan.job.depth, units)} deep"
        if plan.stops:
            groove = f"{both(plan.stops[0].width, units)} at {both(plan.stops[0].depth, units)} deep"
        return f"Test groove in scrap of this wood: ________ wide (expect {groove})"
    each = "; ".join(
        f"stop {stop.number} ______ wide (expect {format_length(stop.width, units)})" for stop, _ in stops
    )
    return f"Test grooves in scrap of this wood: {each}"


def rights_words(plan: Plan) -> tuple[str, ...]:
    """Return the lines on which the right to carve is written down: of art, of a font of one's own."""
    said = []
    if plan.layout.pictures or not pieces_of_words(plan):
        said.append("The art comes from __________________________ and I may carve it: ____________________")
    if pieces_of_words(plan):
        said.append("The font's licence (see Letters) lets me carve with it: ___________________________")
    return tuple(said)


def _template(plan: Plan, assembly: Assembly) -> str:
    x0, y0, x1, y1 = (side / plan.job.ratio for side in followed_extent(plan))
    between = "outermost tracks" if beside_edges(plan) else "stroke middles"
    size = " x ".join(format_length(side, plan.job.units) for side in (x1 - x0, y1 - y0))
    names = assembly.names
    listed = ", ".join(names) if len(names) <= 12 else f"{names[0]} to {names[-1]}"
    sheets = "sheet" if len(names) == 1 else "sheets"
    return f"{size} between {between}, {len(names)} {sheets} of {plan.job.paper.name}: {listed}"


def plunge_words(plan: Plan) -> str:
    """Say how many plunges there are, and the other way; times passes where all stops take as many."""
    totals = plan.totals
    other, how = (
        (totals.plunges_without_retracing, "without going back over grooves")
        if plan.job.retrace
        else (totals.plunges_with_retracing, "if you go back over grooves")
    )
    if totals.passes <= 1:
        return f"{totals.plunges} ({other} {how})"
    runs = f"{totals.plunges} a pass, {totals.plunges_with_passes} in all"
    alike = {len(stop.pass_depths) for stop in plan.stops} == {totals.passes}
    return f"{runs} ({other} a pass{f', {other * totals.passes} in all,' if alike else ''} {how})"


def volume_words(ml: float, units: Units) -> str:
    """Say a volume in mL, US fluid ounces and cubic inches, the user's own first.

    1 US fl oz is 29.5735 mL and 1 cu in 16.3871 mL (NIST Special Publication 811, appendix B).
    """
    metric, customary = f"{ml:.3g} mL", f"{ml / 29.5735:.2g} fl oz, {ml / 16.3871:.2g} cu in"
    return f"{customary} ({metric})" if units == "in" else f"{metric} ({customary})"


def minutes(low: float, high: float) -> str:
    """Return a range of seconds as one of minutes, or of hours and minutes."""
    first, last = max(1, math.floor(low / 60)), max(2, math.ceil(high / 60))
    if last < 100:
        return f"{first} to {last} min"
    return " to ".join(f"{whole // 60} h {whole % 60:02d} min" for whole in (first, last))
