"""Which depth stop each stroke is cut at, and how deep each is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracer.job import Job
from tracer.model.drawing import Stroke
from tracer.model.plan import DepthStop
from tracer.shop.router import pass_depths


@dataclass(frozen=True)
class Stops:
    """The depth stops, the deepest first, and the number of that of each stroke."""

    stops: tuple[DepthStop, ...]
    of_stroke: Mapping[int, int]

    def of(self, number: int) -> DepthStop:
        """Return the stop of a stroke."""
        return self.stops[self.of_stroke[number] - 1]


def find_stops(strokes: Sequence[Stroke], job: Job) -> Stops:
    """Return the depth stops of a job; with one, all strokes are cut at the job's depth."""
    stop = DepthStop(1, job.depth, job.groove, pass_depths(job.bit, job.depth, job.pass_limit))
    return Stops((stop,), {stroke.number: 1 for stroke in strokes})
