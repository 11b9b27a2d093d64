"""All that the check found, what costs most first."""

from collections.abc import Iterable, Mapping

from tracer.model.drawing import Stroke
from tracer.model.finding import Finding, Severity
from tracer.report.words import listed

__all__ = ["costliest_first", "listed"]

_RANK: dict[Severity, int] = {"loss": 0, "risk": 1, "note": 2}


def costliest_first(findings: Iterable[Finding], strokes: Iterable[Stroke]) -> tuple[Finding, ...]:
    """Sort by severity, then by the length of groove concerned; what concerns the whole goes before."""
    length = {stroke.number: stroke.length for stroke in strokes}
    return tuple(sorted(findings, key=lambda finding: _key(finding, length)))


def _key(finding: Finding, length: Mapping[int, float]) -> tuple[int, bool, float, str, tuple[int, ...]]:
    cost = finding.cost
    if cost is None:
        cost = sum(length.get(number, 0.0) for number in finding.strokes)
    return _RANK[finding.severity], bool(finding.strokes), -cost, finding.check, finding.strokes
