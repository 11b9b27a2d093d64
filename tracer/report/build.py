"""The plan: grooves, lands, islands, runs, findings."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Acts
from tracer.job import Job
from tracer.model.drawing import Joint, extent
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.model.plan import DepthStop, Plan, Run, SetUp
from tracer.report.art_findings import about_art
from tracer.report.board_findings import about_board
from tracer.report.cleared import clear
from tracer.report.clearing_findings import about_clearing
from tracer.report.colouring_findings import about_colouring
from tracer.report.corner_findings import about_corners
from tracer.report.cut import Cut
from tracer.report.decided import Decided, decide
from tracer.report.feed import feed_words
from tracer.report.findings import costliest_first
from tracer.report.grooves import Sorted, sort_strokes
from tracer.report.letter_findings import about_letters
from tracer.report.letter_wood import but_own_joins
from tracer.report.lettered import Letters
from tracer.report.order import in_order
from tracer.report.reach_findings import about_reach
from tracer.report.routes import Routes, find_routes
from tracer.report.set_ups import Reached, reach_out
from tracer.report.shares import Share
from tracer.report.sided import move_edges
from tracer.report.stops import Stops, find_stops
from tracer.report.stroke_findings import about_strokes
from tracer.report.table_findings import about_table
from tracer.report.thinned import THINNED, next_out
from tracer.report.timing import totals
from tracer.report.trial import Trials
from tracer.report.wood import Survey, Wood, but_cleared, look_at_wood, survey
from tracer.report.wood_findings import about_wood

Array = NDArray[np.float64]

_MOST_SURVEYS = 3
"""Kept, each of some MB: as the depth is turned up and down, grooves are sampled at one step or another."""


class Planner:
    """Plans of one layout. What does not hang on the settings that changed since the last is kept.

    `wood` is what the grooves of the last plan leave.
    """

    def __init__(self, layout: Layout):
        self.layout = layout
        self.wood = Wood()
        self._decided: tuple[Acts, Decided] | None = None
        self._surveys: tuple[Survey, ...] = ()
        self._routes: dict[int, Routes] = {}

    def plan(self, job: Job) -> Plan:
        """Return what will happen in the wood when the layout is cut as `job` says.

        Never fails for art that cannot be cut: what is lost, and whether anything is left, is in
        the findings. A plan without a finding of severity "loss" cuts as drawn.

        Raises
        ------
        BitError
            For a depth that the bit cannot cut, or that takes an absurd number of passes.
        JobError
            Where the job speaks of a stroke that is not there, or asks of one what it cannot have.
        """
        if self._decided is None or self._decided[0] != job.acts:
            self._decided = job.acts, decide(self.layout, job)
        decided = self._decided[1]
        stops = find_stops(decided.strokes, job, decided.left_out)
        decided, stops = move_edges(self.layout, job, decided, stops)
        strokes, cut, wood = self._sorted_out(job, decided, stops)
        letters = Letters(self.layout, decided.made_of)
        trials = Trials(self.layout, job, letters, decided.waste)
        wood = replace(wood, lands=but_own_joins(wood.lands, cut, letters))
        first = 1 + max((stroke.number for stroke in decided.strokes), default=0)
        cleared = clear(decided.grounds, job, stops.of, first)
        decided = replace(decided, findings=(*decided.findings, *about_clearing(trials, cleared)))
        wood = but_cleared(wood, decided.waste, [n for one in decided.grounds for n in one.edges])
        self.wood = wood
        rings = tuple(ring for one in cleared for ring in one.rings)
        grooves = (*strokes.grooves, *(groove for one in cleared for groove in one.grooves))
        all_cut = Cut((*cut.strokes, *rings), grooves)
        reached = reach_out(job, self.layout.board, all_cut, decided.joints)
        laid = (*about_reach(self.layout, job, reached), *about_table(self.layout, job, all_cut, reached))
        decided = replace(decided, findings=(*decided.findings, *laid))
        if reached is not None and reached.shares:
            routes, runs, set_ups = self._in_set_ups(reached, all_cut, stops, (job, decided, wood))
        else:
            routes = [self._follow(job, all_cut, decided.joints, stop) for stop in stops.stops]
            runs = self._ordered([run for one in routes for run in one.runs], job, decided, wood)
            set_ups = ()
        return Plan(
            layout=self.layout,
            job=job,
            strokes=(*decided.strokes, *rings),
            stops=stops.stops,
            grooves=grooves,
            dropped=strokes.dropped,
            lands=tuple(near.land for near in wood.lands),
            islands=wood.enclosures.islands,
            runs=runs,
            totals=totals(
                runs,
                job,
                stops.stops,
                with_retracing=sum(one.with_retracing for one in routes),
                without_retracing=sum(one.without_retracing for one in routes),
                fresh={number: share for one in cleared for number, share in one.fresh.items()},
            ),
            findings=_findings(trials, strokes, decided, cut, wood),
            set_ups=set_ups,
        )

    def _in_set_ups(
        self, reached: Reached, cut: Cut, stops: Stops, told: tuple[Job, Decided, Wood]
    ) -> tuple[list[Routes], tuple[Run, ...], tuple[SetUp, ...]]:
        """Find the runs of each set-up, put them in order and number them through."""
        followed: list[Routes] = []
        runs: list[Run] = []
        set_ups = []
        for number, share in enumerate(reached.shares, start=1):
            routes = self._follow_share(share, told[0], cut, stops)
            followed += routes
            parts = max((run.part for run in runs), default=0)
            own = [share.told(run) for one in routes for run in one.runs]
            own = [replace(run, part=run.part + parts) for run in own]
            start = np.array(extent(share.strokes)[:2])
            ordered = self._ordered(own, *told, start=start)
            numbered = [replace(run, number=run.number + len(runs)) for run in ordered]
            window, marks = reached.windows[number - 1], reached.marks[number - 1]
            set_ups.append(SetUp(number, window, tuple(run.number for run in numbered), marks))
            runs += numbered
        return followed, tuple(runs), tuple(set_ups)

    def _ordered(
        self, runs: Sequence[Run], job: Job, decided: Decided, wood: Wood, *, start: Array | None = None
    ) -> tuple[Run, ...]:
        """Put the runs in order, and say of each which way it is followed, and why."""
        sides, turned = decided.waste.feeds, job.linkage.turned
        begin = np.array(self.layout.extent[:2]) if start is None else start
        order = in_order(runs, wood.enclosures.rank, begin, sides)
        return tuple(
            replace(run, feed=feed_words(run, sides.get(run.legs[0].stroke, "on"), turned=turned))
            for run in order
        )

    def _sorted_out(self, job: Job, decided: Decided, stops: Stops) -> tuple[Sorted, Cut, Wood]:
        """Sort strokes into cut and left out, and look at the wood; thin bundles out until it holds."""
        by_number = {stroke.number: stroke for stroke in decided.strokes}
        while True:
            strokes = sort_strokes(self.layout, job, decided, stops)
            kept = {groove.stroke: by_number[groove.stroke] for groove in strokes.grooves}
            cut = Cut(tuple(kept.values()), strokes.grooves)
            wood = Wood()
            if cut.strokes:
                wood = look_at_wood(job, cut, self._surveyed(cut, decided.joints), decided.waste)
            failing = {frozenset(near.land.strokes) for near in wood.lands if not near.wedge}
            out = next_out(job.acts.thin_out, kept, failing, job.acts.keep)
            if not out:
                return strokes, cut, wood
            decided = replace(decided, left_out={**decided.left_out, **dict.fromkeys(sorted(out), THINNED)})

    def _surveyed(self, cut: Cut, joints: Sequence[Joint]) -> Survey:
        """Return the survey of strokes that are cut; the last few are kept, that used last first."""
        own = survey(cut, joints, self._surveys)
        others = [one for one in self._surveys if one is not own]
        self._surveys = (own, *others[: _MOST_SURVEYS - 1])
        return own

    def _follow_share(self, share: Share, job: Job, cut: Cut, stops: Stops) -> list[Routes]:
        """Find the runs of what is cut in one set-up, those of each depth stop apart."""
        found = []
        for stop in stops.stops:
            own = [s for s in share.strokes if cut.groove[share.stroke_of(s.number)].stop == stop.number]
            if own:
                found.append(find_routes(own, share.joints, stop, retrace=job.retrace))
        return found

    def _follow(self, job: Job, cut: Cut, joints: Sequence[Joint], stop: DepthStop) -> Routes:
        """Find the runs of one depth stop."""
        own = [s for s, groove in zip(cut.strokes, cut.grooves, strict=True) if groove.stop == stop.number]
        whole = bool(self._surveys) and self._surveys[0].strokes == tuple(own)
        routes = find_routes(
            own,
            joints,
            stop,
            retrace=job.retrace,
            samples=self._surveys[0].samples if whole else None,
            known=self._routes.get(stop.number),
        )
        self._routes[stop.number] = routes
        return routes


def build_plan(layout: Layout, job: Job) -> Plan:
    """Return what will happen in the wood when `layout` is cut as `job` says; see `Planner.plan`."""
    return Planner(layout).plan(job)


def _findings(trials: Trials, strokes: Sorted, decided: Decided, cut: Cut, wood: Wood) -> tuple[Finding, ...]:
    found = [
        *decided.findings,
        *about_strokes(trials, strokes, decided.strokes, beside=decided.waste.sides),
        *about_wood(trials, cut, wood.lands, wood.enclosures, crowded=strokes.typical_too_thin),
        *about_corners(trials, cut, decided.joints),
        *about_board(trials.layout, trials.job, cut),
        *about_letters(trials, cut),
        *about_art(trials.layout, trials.job),
        *about_colouring(trials.layout, trials.job),
    ]
    return costliest_first(found, decided.strokes)
