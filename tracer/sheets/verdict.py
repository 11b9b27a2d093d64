"""What will come of a plan, in plain sentences."""

from tracer.model.finding import Finding
from tracer.model.plan import Dropped, Plan
from tracer.sheets.page_words import count
from tracer.sheets.pieces import chosen

_OVER = "over the board's edge"
_WHOLE = "lines too thin"  # the finding that concerns every line
_REACH = "out of reach"


def verdict(plan: Plan) -> str:
    """Return what will come of it, in plain sentences, the whole first."""
    said = [one.message for one in plan.findings if one.check == _OVER]
    unreached = [_whole(one) for one in plan.findings if one.check == _REACH]
    said += [f"It cannot be cut with this reach. {one}" for one in unreached]
    outcome = _outcome(plan)
    reaching = f"Were it all within reach: {outcome[0].lower()}{outcome[1:]}"
    said.append(reaching if unreached and plan.grooves else outcome)
    own = len(plan.dropped) - len(_lost(plan))
    if own and plan.grooves:
        said.append(f"{count(own, 'stroke')} {'is' if own == 1 else 'are'} left out as you asked.")
    breaking = sum(island.breaks for island in plan.islands)
    if breaking:
        said.append(f"{count(breaking, 'piece')} of standing wood will break out.")
    if plan.set_ups:
        said.append(f"It is cut in {len(plan.set_ups)} set-ups: the job sheet says how the board is moved.")
    said += [one.remedy for one in plan.findings if one.check == _OVER]
    said += [_whole(one) for one in plan.findings if one.check == _WHOLE]
    return " ".join(said)


def uncuttable(plan: Plan) -> bool:
    """Say whether nothing can be cut as planned: out of reach, or no stroke is left."""
    return not plan.grooves or any(one.check == _REACH for one in plan.findings)


def _whole(finding: Finding) -> str:
    return f"{finding.message} {finding.remedy}".strip()


def _outcome(plan: Plan) -> str:
    total, gone = len(plan.strokes), len(_lost(plan))
    losses = sum(one.severity == "loss" and one.check != _REACH for one in plan.findings)
    risks = sum(finding.severity == "risk" for finding in plan.findings)
    if not plan.grooves:
        if total and not gone:
            return "Nothing is cut like this: all strokes are left out as you asked."
        return f"Nothing can be cut like this: none of the {count(total, 'stroke')} can be kept."
    care = f"{count(risks, 'place')} {'needs' if risks == 1 else 'need'} care"
    if gone:
        out = f"{gone} of {count(total, 'stroke')} {'is' if gone == 1 else 'are'} left out"
        lost = f"It cuts with losses: {out}"
        return f"{lost}, and {care}." if risks else f"{lost}."
    if losses:
        return f"It cuts with losses in {count(losses, 'place')}" + (f", and {care}." if risks else ".")
    return f"Every stroke can be cut, but {care}." if risks else "It cuts as drawn."


def _lost(plan: Plan) -> list[Dropped]:
    """Return the strokes that are left out though the user wants them."""
    unwanted = chosen(plan)
    return [one for one in plan.dropped if one.stroke not in unwanted]
