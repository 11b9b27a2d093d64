"""A proposal: decisions about single strokes, what they cure and what they cost, in words for the bench."""

from collections.abc import Sequence
from dataclasses import dataclass

from tracer.acts import Acts
from tracer.lengths import MM_PER_INCH, both
from tracer.model.plan import Land, Plan

_MUCH = 1 / 3
"""Share of the line from which on a cure is said to be worse than a larger figure (our own choice)."""


@dataclass(frozen=True)
class Toll:
    """What goes wrong in a plan, counted, and what it costs.

    Attributes
    ----------
    run_together, too_thin : places where grooves run together, and where too little wood is left.
    breaking : pieces of standing wood that will break out.
    losses, risks : findings.
    plunges : with the chosen way, without passes.
    left_out : length of the strokes that are not cut, mm.
    """

    run_together: int
    too_thin: int
    breaking: int
    losses: int
    risks: int
    plunges: int
    left_out: float

    @classmethod
    def of(cls, plan: Plan, lands: Sequence[Land]) -> "Toll":
        """Count what goes wrong in a plan with these lands under the rule."""
        cut = {groove.stroke for groove in plan.grooves}
        return cls(
            run_together=sum(land.width <= 0 for land in lands),
            too_thin=sum(land.width > 0 for land in lands),
            breaking=sum(island.breaks for island in plan.islands),
            losses=sum(finding.severity == "loss" for finding in plan.findings),
            risks=sum(finding.severity == "risk" for finding in plan.findings),
            plunges=plan.totals.plunges,
            left_out=sum(stroke.length for stroke in plan.strokes if stroke.number not in cut),
        )

    @property
    def places(self) -> int:
        """Places where something goes wrong in the wood."""
        return self.run_together + self.too_thin + self.breaking


@dataclass(frozen=True, eq=False)
class Fix:
    """What is proposed: all decisions, the user's own among them, and the plans without and with them.

    `toll_before` and `toll_after` are what these come to.
    """

    acts: Acts
    before: Plan
    after: Plan
    toll_before: Toll
    toll_after: Toll

    @property
    def left_out(self) -> tuple[int, ...]:
        """Strokes proposed to be left out."""
        return tuple(n for n in self.acts.leave_out if n not in self.before.job.acts.leave_out)

    @property
    def thin_out(self) -> tuple[tuple[int, ...], ...]:
        """Bundles proposed to be thinned out."""
        return tuple(b for b in self.acts.thin_out if b not in self.before.job.acts.thin_out)

    @property
    def helps(self) -> bool:
        """Whether anything is proposed."""
        return self.acts != self.before.job.acts

    def rows(self) -> list[tuple[str, str, str]]:
        """Return the table of what goes wrong: what, before, after."""
        units, one, other = self.before.job.units, self.toll_before, self.toll_after
        counts = [
            ("Grooves run together", one.run_together, other.run_together),
            ("Wood too thin", one.too_thin, other.too_thin),
            ("Standing wood breaks out", one.breaking, other.breaking),
            ("Losses found", one.losses, other.losses),
            ("Risks found", one.risks, other.risks),
            ("Plunges", one.plunges, other.plunges),
        ]
        inch = MM_PER_INCH if units == "in" else 1.0
        line = [f"{toll.left_out / inch:.0f} {units}" for toll in (one, other)]
        return [*((what, str(a), str(b)) for what, a, b in counts), ("Line left out", line[0], line[1])]

    def sentences(self) -> list[str]:
        """Return what is proposed, what it cures and what it costs."""
        before, after = self.toll_before, self.toll_after
        if not before.places:
            return ["No grooves run together and no wood is too thin: there is nothing to leave out for."]
        if not self.helps:
            return ["Leaving out or thinning out strokes would cost more than it cures: nothing is proposed."]
        whole = sum(stroke.length for stroke in self.before.strokes)
        share = (after.left_out - before.left_out) / whole
        cost = both(after.left_out - before.left_out, self.before.job.units)
        said = [
            f"{self._deed()} cures {before.places - after.places} of {_count(before.places, 'place')}.",
            f"It costs {cost} of line, {100 * share:.0f} % of all.",
        ]
        if share > _MUCH:
            said.append(
                "That is much of the drawing: a larger figure or a shallower groove may serve better."
            )
        if after.places:
            said.append(f"For the other {after.places} it would cost more than it cures: see their remedies.")
        return said

    def _deed(self) -> str:
        deeds = []
        if self.thin_out:
            gone = [one for one in self.after.dropped if one.stroke in {n for b in self.thin_out for n in b}]
            bundles = _count(len(self.thin_out), "bundle")
            deeds.append(f"thinning out {bundles} by {_count(len(gone), 'stroke')}")
        if self.left_out:
            deeds.append(f"leaving out {_count(len(self.left_out), 'stroke')}")
        return " and ".join(deeds).capitalize()


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
