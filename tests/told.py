"""Remedies read back from their sentences as a user would read them, ready to be carried out."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from tracer.acts import Acts
from tracer.job import Job
from tracer.lengths import parse_length
from tracer.model.finding import Finding
from tracer.shop.bits import VBit

_AT = r"at (?P<depth>[^(]+?) \([^)]*\) deep"
_BIT = re.compile(rf"with (?:a (?P<angle>\d+) deg V|your bit “(?P<name>.+?)”)(?: {_AT})?")
_DEPTH = re.compile(_AT)
_SIZE = re.compile(r"from (?P<size>[^(]+?) \([^)]*\) (?:wide|high)|made (?P<times>[\d.]+) times as large")
_LEAVE = re.compile(r"eave out strokes? (?P<strokes>[\d, and]+)")
_COUNT = re.compile(r"^(?:Of the \d+, )?(\d+) ")


@dataclass(frozen=True)
class Change:
    """One way that a remedy names: the job changed, the figure larger, and how many then hold (None: all)."""

    words: str
    job: Job
    times: float = 1.0
    held: int | None = None


def changes(finding: Finding, job: Job, size: float) -> Iterator[Change]:
    """Yield the ways of a finding's remedy one by one; `size` is the figure's width or height, mm."""
    told = re.sub(r", but this board takes [^()]*(?:\([^()]*\))?", "", finding.remedy)
    part = told.startswith("Of the")
    for clause in re.split(
        r", (?:or )?(?=at |with |from |made )| Or (?=leave|thin|keep)| and (?=\d+ )", told
    ):
        count = _COUNT.search(clause)
        held = int(count[1]) if part and count else None
        yield from (replace(one, held=held) for one in _read(clause, finding, job, size))


def _read(clause: str, finding: Finding, job: Job, size: float) -> Iterator[Change]:
    if found := _BIT.search(clause):
        angle, name = found["angle"], found["name"]
        own = job.bit if isinstance(job.bit, VBit) else VBit(90.0, 12.7)
        bit = dict(job.bits)[name] if name else replace(own, angle_deg=float(angle))
        depth = parse_length(found["depth"]) if found["depth"] else job.depth
        yield Change(found[0], replace(job, bit=bit, depth=depth))
    elif found := _DEPTH.search(clause):
        yield Change(found[0], replace(job, depth=parse_length(found["depth"])))
    elif found := _SIZE.search(clause):
        times = float(found["times"]) if found["times"] else parse_length(found["size"]) / size
        yield Change(found[0], job, times)
    elif found := _LEAVE.search(clause):
        numbers = tuple(int(one) for one in re.findall(r"\d+", found["strokes"]))
        yield Change(found[0], replace(job, acts=Acts(leave_out=numbers)))
    elif "one of the two" in clause:
        for number in finding.strokes:
            yield Change(f"leave out {number}", replace(job, acts=Acts(leave_out=(number,))))
    elif "--thin keep" in clause:
        yield Change("thin keep", replace(job, thin="keep"))
