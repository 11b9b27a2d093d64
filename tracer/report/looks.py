"""The wood at other sizes and with other bits, without planning anew.

A figure enlarged is the same figure with a finer groove, and grooves of one width share a
triangulation whatever that width is. So all sizes, bits and depths at which the same strokes are
cut share one. Where grooves follow the size, as with several depth stops, each size is looked at afresh.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Groove
from tracer.model.sizes import Losses
from tracer.report.bodies import find_bodies
from tracer.report.cut import Cut
from tracer.report.decided import Decided, decide
from tracer.report.figure import Figure, figure_of
from tracer.report.islands import BreakOut, find_break_outs
from tracer.report.lands import Near, find_lands
from tracer.report.mesh import Mesh, build_mesh
from tracer.report.network import Network, build_network
from tracer.report.samples import Samples, sample, step_for
from tracer.report.scaled import scaled_layout, scaled_mesh, scaled_network, scaled_samples
from tracer.report.sided import move_edges
from tracer.report.stops import Stops, find_stops
from tracer.report.thinned import THINNED, next_out
from tracer.report.waste import Waste

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

COARSE = 0.5
"""Spacing of samples in groove widths at which counts are right to a few per cent (measured)."""

_FINEST = 0.2
"""Spacing below which the same strokes are rather sampled anew: more samples cost more time at each look."""

_MOST_GROUNDS = 6
"""Triangulations kept: each is some MB."""


@dataclass(frozen=True, eq=False)
class Look:
    """The wood at one size with one bit.

    Attributes
    ----------
    times : the size, as a multiple of that at which the figure was given.
    cut : the strokes that are cut, and the grooves they get at this size.
    thin : numbers of the strokes that come out too wide, dropped or not.
    all_thin : even the typical line does.
    merged, crumbling : lands under the rule, without wedges and dimples.
    breaking : standing wood that breaks out.
    """

    times: float
    job: Job
    cut: Cut
    thin: tuple[int, ...]
    all_thin: bool
    merged: tuple[Near, ...] = ()
    crumbling: tuple[Near, ...] = ()
    breaking: tuple[BreakOut, ...] = ()

    @property
    def losses(self) -> Losses:
        """How much is lost."""
        thin, merged, crumbling, breaking = map(len, (self.thin, self.merged, self.crumbling, self.breaking))
        return Losses(thin, merged, crumbling, breaking, self.all_thin)


@dataclass(frozen=True, eq=False)
class _Ground:
    """What is the same for all widths of groove; mm. `step` is the spacing of the samples."""

    samples: Samples
    mesh: Mesh
    network: Network
    step: float

    def sized(self, times: float) -> "_Ground":
        """Return the same, so many times as large."""
        return _Ground(
            scaled_samples(self.samples, times),
            scaled_mesh(self.mesh, times),
            scaled_network(self.network, times),
            self.step * times,
        )


class Looks:
    """Looks at one layout at many sizes.

    Attributes
    ----------
    figure : all strokes as arrays, at the size given.
    """

    def __init__(self, layout: Layout, job: Job):
        self.layout, self.job = layout, job
        self._given = decide(layout, job)
        stops = find_stops(self._given.strokes, job, self._given.left_out)
        moved, _ = move_edges(layout, job, self._given, stops)
        self._beside = moved is not self._given
        self.figure = figure_of(self._given, job)
        x0, y0, x1, y1 = layout.extent
        self._extent = max(x1 - x0, y1 - y0)
        self._grounds: list[tuple[bytes, _Ground]] = []

    def follows_size(self, job: Job) -> bool:
        """Say whether grooves differ from size to size by more than which strokes are too thin."""
        return job.stops > 1 or self._beside or bool(job.acts.thin_out)

    def thin_at(self, times: float) -> bool:
        """Say whether the one groove is too wide for any stroke; where grooves differ, that of the job."""
        grooves = np.full(len(self.figure.numbers), self.job.groove)
        return bool(_told(self.figure, self.figure.too_thin(grooves, self.job, times)))

    def at(self, times: float, job: Job | None = None, *, spacing: float = COARSE) -> Look:
        """Look at the figure `times` as large, with another bit or depth where `job` says so.

        `spacing` of the samples is in groove widths.
        """
        job = job or self.job
        figure, groove = self.figure, job.groove
        if self.follows_size(job) or self._extent * times < groove:
            return self._afresh(times, job, spacing)
        too_thin = figure.too_thin(np.full(len(figure.numbers), groove), job, times)
        all_thin = figure.all_too_thin(groove, job, times)
        kept = ~(figure.out | figure.dropped(too_thin, job, all_too_thin=all_thin))
        strokes = tuple(s for s, keep in zip(self._given.strokes, kept.tolist(), strict=True) if keep)
        cut = Cut(strokes, tuple(Groove(s.number, job.depth, groove) for s in strokes))
        look = Look(times, job, cut, _told(figure, too_thin), all_thin)
        if not strokes:
            return look
        ground = self._ground(kept, strokes, spacing * groove / times)
        return _seen(look, ground.sized(times), figure.lengths[kept] * times)[0]

    def as_planned(self, times: float, *, wood: bool = True) -> Look:
        """Look at the figure `times` as large as closely as a plan does, or only at the strokes."""
        if wood:
            return self._afresh(times, self.job, None)
        return _sorted_out(times, self.job, *self._lie(times, self.job))[0]

    def _ground(self, kept: Bools, strokes: Sequence[Stroke], step: float) -> _Ground:
        """Return the ground of some strokes, sampled at `step` mm or somewhat finer."""
        key = kept.tobytes()
        for known, ground in self._grounds:
            if known == key and step * _FINEST / COARSE <= ground.step <= step * (1 + 1e-9):
                return ground
        samples = sample(strokes, step)
        network = build_network(strokes, self._given.joints)
        ground = _Ground(samples, build_mesh(samples.points), network, step)
        self._grounds = [(key, ground), *self._grounds[: _MOST_GROUNDS - 1]]
        return ground

    def _lie(self, times: float, job: Job) -> tuple[Decided, Stops]:
        """Return the strokes as they lie at a size, with their depth stops."""
        layout = scaled_layout(self.layout, times)
        decided = decide(layout, job)
        return move_edges(layout, job, decided, find_stops(decided.strokes, job, decided.left_out))

    def _afresh(self, times: float, job: Job, spacing: float | None) -> Look:
        """Look at a size without what is known of others; without `spacing`, with a plan's own."""
        decided, stops = self._lie(times, job)
        while True:
            look, lengths = _sorted_out(times, job, decided, stops)
            if not look.cut.strokes:
                return look
            groove = 2 * float(look.cut.radius.min())
            step = step_for(groove) if spacing is None else spacing * groove
            look, lands = _seen(look, _fresh_ground(look.cut, decided.joints, step), lengths, decided.waste)
            kept = dict(zip(look.cut.numbers, look.cut.strokes, strict=True))
            failing = {frozenset(near.land.strokes) for near in lands if not near.wedge}
            out = next_out(job.acts.thin_out, kept, failing, job.acts.keep)
            if not out:
                return look
            decided = replace(decided, left_out={**decided.left_out, **dict.fromkeys(sorted(out), THINNED)})


def _sorted_out(times: float, job: Job, decided: Decided, stops: Stops) -> tuple[Look, Array]:
    """Look at strokes as they lie, not at the wood yet; the lengths of those that are cut come with it."""
    own = [stops.of(stroke.number) for stroke in decided.strokes]
    figure = figure_of(decided, job)
    too_thin = figure.too_thin(np.array([stop.width for stop in own], dtype=float), job)
    all_thin = figure.all_too_thin(min(stop.width for stop in stops.stops), job)
    kept = ~(figure.out | figure.dropped(too_thin, job, all_too_thin=all_thin))
    pairs = [(s, stop) for s, stop, keep in zip(decided.strokes, own, kept.tolist(), strict=True) if keep]
    cut = Cut(
        tuple(stroke for stroke, _ in pairs),
        tuple(Groove(stroke.number, stop.depth, stop.width, stop.number) for stroke, stop in pairs),
    )
    return Look(times, job, cut, _told(figure, too_thin), all_thin), figure.lengths[kept]


def _told(figure: Figure, too_thin: Bools) -> tuple[int, ...]:
    """Return the numbers of strokes that are too thin, without those on which the user decided."""
    numbers: list[int] = figure.numbers[too_thin & ~figure.out & ~figure.keep].tolist()
    return tuple(numbers)


def _fresh_ground(cut: Cut, joints: Sequence[Joint], step: float) -> _Ground:
    """Return the ground of grooves of whatever widths, sampled at `step` mm."""
    samples = sample(cut.strokes, step)
    mesh = build_mesh(samples.points, cut.radius[samples.stroke] ** 2 - float(cut.radius.min()) ** 2)
    return _Ground(samples, mesh, build_network(cut.strokes, joints), step)


def _seen(
    look: Look, ground: _Ground, lengths: Array, waste: Waste | None = None
) -> tuple[Look, tuple[Near, ...]]:
    """Fill in what the wood is like; all lands under the rule come with it.

    `lengths` (k,) are those of the strokes that are cut, mm at this size.
    """
    cut, job = look.cut, look.job
    lands = find_lands(cut, ground.samples, ground.mesh, ground.network, job, waste=waste)
    bodies = find_bodies(ground.mesh, float(cut.radius.min()) ** 2)
    out = find_break_outs(cut, ground.samples, bodies, job)
    short = zip(cut.strokes, (lengths < 2 * cut.radius).tolist(), strict=True)
    dimples = {stroke.number for stroke, is_short in short if is_short and stroke.kind != "dot"}
    apart = [near for near in lands if not near.wedge and not dimples.intersection(near.land.strokes)]
    seen = replace(
        look,
        merged=tuple(near for near in apart if near.land.width <= 0),
        crumbling=tuple(near for near in apart if near.land.width > 0),
        breaking=tuple(one for one in out if waste is None or not waste.clears(np.array([one.island.where]))),
    )
    return seen, lands
