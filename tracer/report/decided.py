"""What the user decided about single strokes, carried out on the layout."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout


@dataclass(frozen=True, eq=False)
class Decided:
    """The strokes to think of, wood mm, and where they meet.

    Attributes
    ----------
    strokes : in the order of their numbers; joins have numbers of their own, after all others.
    joints : where they meet.
    left_out : numbers of strokes that are not cut, each with the reason, a short stable name.
    findings : what came of it.
    """

    strokes: tuple[Stroke, ...]
    joints: tuple[Joint, ...]
    left_out: Mapping[int, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def decide(layout: Layout, job: Job) -> Decided:
    """Return the layout's strokes as the job's acts have them."""
    return Decided(layout.strokes, layout.joints, dict.fromkeys(job.acts.leave_out, "left out"))
