"""What is said of a plan at the bench, on more than one page: findings, runs, plunges, volumes."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from tracer.lengths import Units, both
from tracer.model.finding import Finding
from tracer.model.plan import DepthStop, Island, Plan
from tracer.shop.told_apart import ToldApart

_NAMED = 8
"""Islands that break out named on the job sheet; the report holds all."""


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


def stops_in_order(plan: Plan) -> tuple[tuple[DepthStop, tuple[int, ...]], ...]:
    """Return the depth stops in the order of cutting, each with its runs' numbers; unused ones left out."""
    runs: dict[int, list[int]] = {}
    for run in plan.runs:
        runs.setdefault(run.stop, []).append(run.number)
    stops = {stop.number: stop for stop in plan.stops}
    return tuple((stops[number], tuple(numbers)) for number, numbers in runs.items() if number in stops)


def depths_of(plan: Plan) -> ToldApart:
    """Return how depths of stops and passes are said, which stand together wherever there are several."""
    return ToldApart.of((depth for stop in plan.stops for depth in stop.pass_depths), plan.job.units)


def widths_of(plan: Plan) -> ToldApart:
    """Return how the widths of the stops' grooves are said."""
    return ToldApart.of((stop.width for stop in plan.stops), plan.job.units)


def run_range(numbers: Sequence[int]) -> str:
    """Say which runs: those of one depth stop follow one another."""
    return f"run {numbers[0]}" if len(numbers) == 1 else f"runs {numbers[0]} to {numbers[-1]}"


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
