"""What the user decided about single strokes, carried out on the layout."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tracer.acts import Acts
from tracer.errors import JobError
from tracer.job import Job
from tracer.model.drawing import Joint, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Layout
from tracer.report.cleared import Ground
from tracer.report.joined import join_ends
from tracer.report.waste import Waste

BY_USER = "left out by you"


@dataclass(frozen=True, eq=False)
class Decided:
    """The strokes to think of, wood mm, and where they meet.

    Attributes
    ----------
    strokes : in the order of their numbers; joins have numbers of their own, after all others.
    joints : where they meet.
    left_out : numbers of strokes that are not cut, each with the reason, a short stable name.
    findings : what came of it.
    waste : where the wood goes beside edges that were moved to a side.
    made_of : of strokes that an edge fell into beside its first, the edge's number.
    grounds : what is to be cleared beside them.
    """

    strokes: tuple[Stroke, ...]
    joints: tuple[Joint, ...]
    left_out: Mapping[int, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    waste: Waste = field(default_factory=Waste)
    made_of: Mapping[int, int] = field(default_factory=dict)
    grounds: tuple[Ground, ...] = ()


def decide(layout: Layout, job: Job) -> Decided:
    """Return the layout's strokes with ends joined, and those the user leaves out.

    Edges lie where they were drawn yet: their sides wait for the grooves' widths.

    Raises
    ------
    JobError
        Where the job speaks of a stroke that is not there, or asks of one what it cannot have.
    """
    acts = job.acts
    _known(job, [("join", n) for join in acts.join for n in (join.a, join.b)], layout.strokes)
    strokes, joints = join_ends(layout.strokes, layout.joints, acts.join)
    _known(job, _spoken_of(acts), strokes)
    _edges(acts, strokes)
    return Decided(strokes, joints, dict.fromkeys(acts.leave_out, BY_USER))


def _spoken_of(acts: Acts) -> Iterator[tuple[str, int]]:
    """Stroke numbers that the acts name, each with the setting that does."""
    for setting, numbers in (
        ("leave-out", acts.leave_out),
        ("keep", acts.keep),
        ("thin-out", [number for bundle in acts.thin_out for number in bundle]),
        ("stop", acts.stops),
        ("side", acts.sides),
    ):
        yield from ((setting, number) for number in numbers)


def _known(job: Job, named: Iterable[tuple[str, int]], strokes: Sequence[Stroke]) -> None:
    known = [stroke.number for stroke in strokes]
    for setting, number in named:
        if number not in known:
            came = f" ({job.origin(setting)})" if setting in job.origins else ""
            raise JobError(
                f"`{setting}`{came} names stroke {number}, and {_what_there_is(known, number)}: "
                "take the number from the preview"
            )


def _what_there_is(known: Sequence[int], number: int) -> str:
    """Return in words which strokes there are, near a number that is not among them."""
    if not known:
        return "this drawing has no strokes"
    if not known[0] < number < known[-1]:
        return f"this drawing has strokes {known[0]} to {known[-1]}"
    below, above = max(n for n in known if n < number), min(n for n in known if n > number)
    return f"there is none between {below} and {above}"


def _edges(acts: Acts, strokes: Sequence[Stroke]) -> None:
    for stroke in strokes:
        if acts.sides.get(stroke.number, "on") == "on":
            continue
        if stroke.kind != "edge" or not stroke.closed:
            what = "an open edge" if stroke.kind == "edge" else f"a {stroke.kind}"
            raise JobError(
                f"`side` says {acts.sides[stroke.number]} of stroke {stroke.number}, and that is {what}: "
                "only the edge of a solid has sides; take it out of `side`"
            )
