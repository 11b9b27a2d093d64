"""One thing that the check found, said for the bench."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["loss", "risk", "note"]
"""loss: something drawn will not be in the wood; risk: it may break or disappoint; note: worth knowing."""


@dataclass(frozen=True)
class Finding:
    """What, where, measured, limit, remedy.

    Attributes
    ----------
    check : which check found it, a short stable name such as "stroke too thin".
    severity : "loss", "risk" or "note".
    message : one or two plain sentences that say what and where, with the user's units.
    strokes : numbers of the strokes concerned.
    where : (x, y) on the wood in mm, or None where it concerns the whole.
    measured, limit : in mm, or None where nothing was measured.
    remedy : what would cure it, a plain sentence, "" where nothing would.
    cost : mm of groove that is lost or in danger, None where it is that of the strokes concerned.
    """

    check: str
    severity: Severity
    message: str
    strokes: tuple[int, ...] = ()
    where: tuple[float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    remedy: str = ""
    cost: float | None = None
