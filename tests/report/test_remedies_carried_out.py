"""What a remedy says is done, and the plan made anew: what it was given for is gone."""

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapes
import told

from tracer.job import Job
from tracer.model.drawing import Drawing
from tracer.model.finding import Finding
from tracer.model.plan import Island, Plan
from tracer.report import build
from tracer.report.lands import Near
from tracer.report.wood_findings import about_wood
from tracer.shop.bits import RoundNose, Straight, TaperedBall, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.wood import WOODS

SEEDS = 40
MOST_CHANGES = 3  # carried out for each job; a plan takes some 40 ms
WITHIN = 0.05  # mm; as near as the least width of a land is known
KINDS = ("fan", "parallel", "rings", "whiskers", "face", "wheel", "spiral")
BITS = (VBit(60, 12.7), VBit(90, 12.7), VBit(60, 12.7, flat=0.5), RoundNose(6.35), Straight(3.175))
AT_HAND = (("fine", VBit(30, 6.35)), ("round one", RoundNose(3.175)), ("ball", TaperedBall(0.8, 5, 6.35)))


def figure(rng: random.Random, kind: str) -> Iterator[shapes.Part]:
    ox, oy = rng.uniform(0, 400), rng.uniform(0, 400)
    if kind in ("fan", "parallel"):
        gap, first, step = rng.uniform(6, 30), rng.uniform(0, math.pi), rng.uniform(0.1, 0.4)
        for i in range(rng.randint(2, 5)):
            angle = first + (i * step if kind == "fan" else 0.0)
            c, s = math.cos(angle), math.sin(angle)
            x, y = (ox + 20 * c, oy + 20 * s) if kind == "fan" else (ox - i * gap * s, oy + i * gap * c)
            length = rng.uniform(30, 200)
            yield shapes.line((x, y), (x + length * c, y + length * s), width=rng.uniform(1.0, 9.0))
    elif kind == "rings":
        for radius in np.arange(rng.uniform(15, 90), 8, -rng.uniform(8, 40)):
            yield shapes.ring((ox, oy), float(radius), rng.uniform(1.0, 9.0))
    else:
        for part in shapes.drawing_of(kind).strokes:
            widths = None if part.width is None else part.width * 0.6
            yield shapes.Part(part.curves * 0.6 + np.array([ox, oy]), part.closed, part.kind, widths)


def drawing_of(rng: random.Random) -> Drawing:
    return shapes.drawing_from([part for kind in rng.sample(KINDS, 2) for part in figure(rng, kind)])


def job_of(rng: random.Random) -> Job:
    units, depth = rng.choice([("in", 25.4 / 16), ("in", 25.4 / 8), ("mm", 1.5), ("mm", 3.0), ("mm", 4.0)])
    return Job(
        bit=rng.choice(BITS),
        bits=tuple(rng.sample(AT_HAND, rng.randint(0, 2))),
        units=units,  # type: ignore[arg-type]
        depth=depth,
        wood=rng.choice(WOODS),
        grain_deg=rng.choice([0.0, 90.0, 30.0]),
        hand_error=rng.choice([0.0, 0.0, 0.5]),
        linkage=Linkage(0.5),
        max_widening=rng.choice([1.5, 2.0, 3.0]),
        thin=rng.choice(["drop", "drop", "keep"]),  # type: ignore[arg-type]
        board=rng.choice([None, None, (400.0, 400.0, 19.0)]),
        origins={"depth": "said"},
    )


class Look:
    """A plan with the lands it found, those of dimples left out."""

    def __init__(self, drawing: Drawing, width: float, job: Job, patch: pytest.MonkeyPatch):
        seen: list[Sequence[Near]] = []

        def spy(*args: object, **more: object) -> Iterator[Finding]:
            seen.append(args[2])  # type: ignore[arg-type]
            return about_wood(*args, **more)  # type: ignore[arg-type]

        patch.setattr(build, "about_wood", spy)
        self.plan = build.build_plan(shapes.layout_of(drawing, width_mm=width, job=job), job)
        groove = {one.stroke: one.width for one in self.plan.grooves}
        dimples = {s.number for s in self.plan.cut if s.kind != "dot" and s.length < groove[s.number]}
        self.lands = [near for near in seen[0] if not near.wedge and not dimples & set(near.land.strokes)]

    @property
    def corner(self) -> np.ndarray:
        return np.array(self.plan.layout.extent[:2])

    def merged(self, near: Near) -> bool:
        return near.land.width <= 0


def failing(before: Look, after: Look, finding: Finding, times: float) -> int:
    """Of the lands of a finding, how many are there still: the same strokes at the same place."""
    merged = finding.check == "grooves run together"
    groove = before.plan.job.groove

    def same(a: Near, b: Near) -> bool:
        away = (np.array(a.land.where) - before.corner) * times + after.corner - b.land.where
        return (
            a.land.strokes == b.land.strokes
            and np.hypot(*away) < (a.land.length / 2 + 2 * groove) * times
            and (after.merged(b) if merged else b.land.width < b.land.limit - WITHIN)
        )

    own = [
        near
        for near in before.lands
        if before.merged(near) == merged and set(near.land.strokes) <= set(finding.strokes)
    ]
    both = {n.land.strokes for n in own} & {
        n.land.strokes for n in before.lands if before.merged(n) != merged
    }
    own = [near for near in own if merged or near.land.strokes not in both]
    return sum(any(same(a, b) for b in after.lands) for a in own)


def standing(before: Plan, after: Plan, finding: Finding, times: float) -> int:
    """Of the standing wood of a finding, how many pieces break out still: at the same place."""
    corner, other = (np.array(plan.layout.extent[:2]) for plan in (before, after))

    def same(a: Island, b: Island) -> bool:
        away = np.hypot(*((np.array(a.where) - corner) * times + other - b.where))
        return bool(away < a.widest / 2 * times and set(a.enclosed_by) & set(b.enclosed_by))

    own = [one for one in before.islands if one.breaks and set(one.enclosed_by) <= set(finding.strokes)]
    return sum(any(same(a, b) for b in after.islands if b.breaks) for a in own)


def left(before: Look, after: Look, finding: Finding, change: told.Change) -> int:
    if finding.check in ("grooves run together", "wood too thin"):
        return failing(before, after, finding, change.times)
    if finding.check == "standing wood breaks out":
        return standing(before.plan, after.plan, finding, change.times)
    if finding.check == "stroke too thin":
        return len({one.stroke for one in after.plan.dropped} & set(finding.strokes))
    return sum(one.check == finding.check for one in after.plan.findings)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_what_a_remedy_is_given_for_is_gone(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = random.Random(seed)
    drawing, job, width = drawing_of(rng), job_of(rng), rng.uniform(60, 300)
    before = Look(drawing, width, job, monkeypatch)
    x0, _, x1, _ = before.plan.layout.extent
    checked = ("grooves run together", "wood too thin", "standing wood breaks out", "stroke too thin")
    asked = [
        (finding, change)
        for finding in before.plan.findings
        if finding.check in (*checked, "lines too thin", "stroke too wide")
        for change in told.changes(finding, job, x1 - x0)
    ]
    for finding, change in rng.sample(asked, min(MOST_CHANGES, len(asked))):
        after = Look(drawing, width * change.times, change.job, monkeypatch)
        allowed = 0
        if change.held is not None:
            allowed = int(finding.remedy.split(",")[0].removeprefix("Of the ")) - change.held
        assert left(before, after, finding, change) <= allowed, (finding, change.words)


def test_remedies_are_read_as_they_are_written() -> None:
    job = Job(units="in", bits=(("fine", VBit(30, 6.35)),))
    one = Finding("x", "loss", "X.", strokes=(3, 4), remedy=(
        "It holds at 1/32 in (0.79 mm) deep, with your bit “fine” at 3/64 in (1.19 mm) deep, or from "
        "10 in (254 mm) wide, but this board takes only 9 in (229 mm). Or leave out one of the two."
    ))  # fmt: skip
    depth, bit, size, *out = told.changes(one, job, 127.0)
    assert (depth.job, size.times) == (replace(job, depth=25.4 / 32), 2.0)
    assert bit.job == replace(job, depth=1.190625, bit=job.bits[0][1])
    assert [change.job.acts.leave_out for change in out] == [(3,), (4,)]
    part = replace(one, remedy="Of the 9, 7 hold at 1 mm (1/32 in) deep and 6 from 90 mm (3 in) wide.")
    assert [change.held for change in told.changes(part, job, 30.0)] == [7, 6]
