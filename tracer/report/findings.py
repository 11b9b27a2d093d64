"""All that the check found, what costs most first."""

from collections.abc import Iterable, Mapping

from tracer.model.drawing import Stroke
from tracer.model.finding import Finding, Severity

_RANK: dict[Severity, int] = {"loss": 0, "risk": 1, "note": 2}


def costliest_first(findings: Iterable[Finding], strokes: Iterable[Stroke]) -> tuple[Finding, ...]:
    """Sort by severity, then by the length of the strokes concerned; what concerns the whole goes before."""
    length = {stroke.number: stroke.length for stroke in strokes}
    return tuple(sorted(findings, key=lambda finding: _key(finding, length)))


def listed(numbers: Iterable[int]) -> str:
    """Return "stroke 3", "strokes 3 and 4" or "strokes 1, 2, ... and 9 more"."""
    names = [str(number) for number in numbers]
    if len(names) == 1:
        return f"stroke {names[0]}"
    if len(names) > 12:
        return f"strokes {', '.join(names[:10])} and {len(names) - 10} more"
    return f"strokes {', '.join(names[:-1])} and {names[-1]}"


def _key(finding: Finding, length: Mapping[int, float]) -> tuple[int, bool, float, str, tuple[int, ...]]:
    cost = sum(length.get(number, 0.0) for number in finding.strokes)
    return _RANK[finding.severity], bool(finding.strokes), -cost, finding.check, finding.strokes
