"""The settings of a plan as rows to read: what, how much, and whether it was measured, said or assumed."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tracer.job import Job
from tracer.lengths import both
from tracer.model.plan import DepthStop, Plan
from tracer.sheets.bench_words import depths_of
from tracer.sheets.page_words import sides
from tracer.shop.bit_words import describe
from tracer.shop.linkage import ratio_words


@dataclass(frozen=True)
class Setting:
    """A row: `origin` as the job tells it; `assumed` where nobody said or measured it."""

    name: str
    value: str
    origin: str

    @property
    def assumed(self) -> bool:
        """Whether nobody said or measured it."""
        return "assumed" in self.origin


def settings_rows(plan: Plan) -> tuple[Setting, ...]:
    """Return the settings in the order in which a job is thought through."""
    job, board = plan.job, plan.layout.board
    depths = _by_stop(plan, lambda stop: depths_of(plan).both(stop.depth))
    passes = _by_stop(plan, lambda stop: ", ".join(map(depths_of(plan).both, stop.pass_depths)))
    way = "turns the figure by 180°" if job.linkage.turned else "leaves the figure upright"

    def row(name: str, value: str, key: str) -> Setting:
        return Setting(name, value, job.origin(key))

    return (
        row("Wood", board.wood, "wood"),
        row("Grain", f"{board.grain_deg:g}° from the board's width", "grain"),
        row("Board", f"{sides(board.width, board.height, job.units)}", "board"),
        row("Thickness", both(board.thickness, job.units), "thickness"),
        row("Margin to the outermost groove", both(job.margin, job.units), "margin"),
        row("Bit", describe(job.bit, job.units), "bit"),
        row("Depth", depths or both(job.depth, job.units), "depth"),
        row("Depth of the passes", passes or "–", "depth"),
        row("Deepest cut in one pass", both(job.pass_limit, job.units), "pass-limit"),
        row("Depth stops at most", f"{job.stops}", "stops"),
        row("Ratio", ratio_words(job.ratio), "ratio"),
        row("Linkage", way, "turned"),
        row("Play at the router", both(job.linkage.play, job.units), "play"),
        row("Hand error on the template", _hand(job), "hand"),
        *(row("Words to be read from", both(far, job.units), "read-from") for far in _read_from(job)),
        _least_wood(job),
        row("Going back over grooves", "yes" if job.retrace else "no", "retrace"),
        row("Strokes too thin for the bit", "left out" if job.thin == "drop" else "kept", "thin"),
        row("Widest groove for a drawn line", f"{job.max_widening:g} times its width", "max-widening"),
        *_stand(job),
        *_paper(job),
        row("Stylus speed", _range(job.speed_low, job.speed_high, "mm/s"), "speed"),
        row("Time for a plunge and its lift", _range(job.plunge_low, job.plunge_high, "s"), "plunge"),
        row("Date", job.date.isoformat(), "date"),
        *_told(job),
    )


def _stand(job: Job) -> Iterator[Setting]:
    """Say how far bit and stylus come, where that is known, and what no clamp may stand under."""
    for name, key, area in (
        ("What the bit reaches on the wood", "reach", job.linkage.reach),
        ("Largest template under the stylus", "table", job.linkage.table),
    ):
        if area is not None:
            yield Setting(name, sides(*area, job.units), job.origin(key))
    yield Setting("Router's base, across", both(job.router_base, job.units), job.origin("router-base"))


def _paper(job: Job) -> Iterator[Setting]:
    """Say what the sheets are printed on, and how."""
    paper = f"{job.paper.name}, {sides(job.paper.width, job.paper.height, job.units)}"
    held = "whichever way takes fewer sheets" if job.hold == "fewest" else job.hold
    yield Setting("Paper", paper, job.origin("paper"))
    yield Setting("Paper held", held, job.origin("hold"))
    border = both(job.printer.margin, job.units)
    yield Setting("Border of the paper left free", border, job.origin("paper-margin"))
    yield Setting("Sheets overlap by", both(job.overlap, job.units), job.origin("overlap"))
    yield _printer(job)


def _told(job: Job) -> Iterator[Setting]:
    """Repeat what the user says of the job; nothing of it is judged."""
    for name, key, said in (
        ("Revision", "revision", job.revision),
        ("Finish", "finish", job.finish),
        ("Where the art is from", "art-from", job.art_from),
        ("Who allowed it", "allowed-by", job.allowed_by),
    ):
        if said:
            yield Setting(name, said, job.origin(key))


def _by_stop(plan: Plan, said: Callable[[DepthStop], str]) -> str:
    """Say something of each depth stop, each by its number where there are several."""
    several = len(plan.stops) > 1
    return "; ".join((f"stop {stop.number}: " if several else "") + said(stop) for stop in plan.stops)


def _hand(job: Job) -> str:
    """Say how far the hand strays on the template and what the linkage makes of it."""
    if not job.hand_error:
        return "not counted"
    strays = both(job.linkage.error_on_wood(job.hand_error), job.units)
    return f"{both(job.hand_error, job.units)}; with the play {strays} on the wood"


def _read_from(job: Job) -> tuple[float, ...]:
    return () if job.read_from is None else (job.read_from,)


def _least_wood(job: Job) -> Setting:
    """Say the rule for the wood between two grooves."""
    wood, units = job.wood, job.units
    along, across = both(wood.land_along, units), both(wood.land_across, units)
    by_wood = f"{along}" if along == across else f"{along} along the grain, {across} across"
    by_depth = _share(wood.sloping_share)
    if job.bit.straight_walled:
        by_depth = _share(wood.straight_share)
        if wood.straight_across_factor != 1:
            across_depth = _share(wood.straight_share * wood.straight_across_factor)
            by_depth = f"{by_depth} along the grain, {across_depth} across"
    more = "; more by twice what the hand strays" if job.hand_error else ""
    origin = f"rule of thumb for {wood.name}; the wood {job.origin('wood')}"
    return Setting("Least wood between grooves", f"{by_wood}, and at least {by_depth}{more}", origin)


def _share(part: float) -> str:
    """Say a part of the depth."""
    named = {0.5: "half the depth", 1.0: "the depth", 2.0: "twice the depth"}
    return named.get(part, f"{part:g} times the depth")


def _range(low: float, high: float, unit: str) -> str:
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


def _printer(job: Job) -> Setting:
    printer = job.printer
    bar = f"a 100 mm bar prints as {printer.bar_x:g} mm across, {printer.bar_y:g} mm down"
    return Setting("Printer", bar, "measured" if printer.measured else "assumed")
