"""What the grooves leave: lands and islands, on points along all grooves that are kept from plan to plan."""

import operator
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.model.plan import Island
from tracer.report.bodies import find_bodies
from tracer.report.cut import Cut
from tracer.report.islands import Enclosures, find_islands
from tracer.report.lands import Near, find_lands
from tracer.report.mesh import Mesh, build_mesh
from tracer.report.network import Network, build_network
from tracer.report.samples import Samples, sample, step_for
from tracer.report.waste import Waste


@dataclass(frozen=True)
class Wood:
    """Lands under the rule, and what grooves close in."""

    lands: tuple[Near, ...] = ()
    enclosures: Enclosures = field(default_factory=Enclosures)


@dataclass(frozen=True, eq=False)
class Survey:
    """What does not hang on how wide the grooves are.

    Attributes
    ----------
    strokes : those that are cut, wood mm.
    step : spacing of the samples, mm.
    samples : points along them.
    mesh : of the samples, for grooves all alike.
    network : of the strokes.
    """

    strokes: tuple[Stroke, ...]
    step: float
    samples: Samples
    mesh: Mesh
    network: Network

    def serves(self, cut: Cut, step: float) -> bool:
        """Say whether it is of the same strokes, sampled alike."""
        same = len(self.strokes) == len(cut.strokes) and all(map(operator.is_, self.strokes, cut.strokes))
        return same and self.step == step


def survey(cut: Cut, joints: Sequence[Joint], known: Sequence[Survey] = ()) -> Survey:
    """Return the survey of strokes of which there is at least one; that of `known` that serves, if any."""
    step = step_for(2 * float(cut.radius.min()))
    for one in known:
        if one.serves(cut, step):
            return one
    samples = sample(cut.strokes, step)
    return Survey(cut.strokes, step, samples, build_mesh(samples.points), build_network(cut.strokes, joints))


def look_at_wood(job: Job, cut: Cut, known: Survey, waste: Waste | None = None) -> Wood:
    """Return what the grooves of `cut` leave, by the survey of its strokes; `waste` is to go beside edges."""
    samples, common = known.samples, float(cut.radius.min()) ** 2
    mesh = known.mesh
    if cut.radius.min() < cut.radius.max():
        mesh = build_mesh(samples.points, cut.radius[samples.stroke] ** 2 - common)
    return Wood(
        lands=find_lands(cut, samples, mesh, known.network, job, waste=waste),
        enclosures=find_islands(cut, samples, find_bodies(mesh, common), job),
    )


def but_cleared(wood: Wood, waste: Waste, edges: Collection[int]) -> Wood:
    """Return the wood without what stands where ground is cleared, and without parts that lie in it.

    `edges` are the numbers of the strokes round cleared ground.
    """
    if not waste.cleared:
        return wood
    kept = [one for one in wood.enclosures.islands if not _is_cleared(one, waste, edges)]
    numbers = {one.number: number for number, one in enumerate(kept, start=1)}
    islands = tuple(replace(one, number=numbers[one.number]) for one in kept)
    outs = wood.enclosures.break_outs
    enclosures = replace(
        wood.enclosures,
        islands=islands,
        break_outs=tuple(
            replace(one, island=islands[numbers[one.island.number] - 1])
            for one in outs
            if one.island.number in numbers
        ),
    )
    return replace(wood, enclosures=enclosures)


def _is_cleared(island: Island, waste: Waste, edges: Collection[int]) -> bool:
    if island.kind == "enclosed strokes":
        return set(island.strokes) <= set(edges)
    return bool(waste.clears(np.array([island.where]))[0])
