"""What the gate makes of findings: new, or accepted by a statement that still holds."""

from collections.abc import Sequence

from drc.gate.fingerprint import fingerprint
from drc.gate.own_rules import EXPIRED, UNUSED
from drc.intent.match import matches
from drc.intent.model import Accept, Intent
from drc.judge.model import Finding
from drc.outcome import Acceptance, RuleText, Ruling


def rule_on(findings: Sequence[Finding], intent: Intent, today: str) -> tuple[Ruling, ...]:
    """Every finding with its state, and behind them the findings about the acceptances themselves.

    `today` is an ISO 8601 date; an acceptance holds to the end of its last day.
    """
    accepts = [statement for statement in intent.statements if isinstance(statement, Accept)]
    valid = [accept for accept in accepts if accept.until is None or accept.until >= today]
    rulings = [_ruling(finding, valid) for finding in findings]
    rulings += [Ruling(f, "new", fingerprint(f)) for f in _about(accepts, findings, today)]
    return tuple(rulings)


def dated(intent: Intent) -> bool:
    """Whether some acceptance ends on a day, so that rulings are not the same for ever."""
    return any(isinstance(statement, Accept) and statement.until for statement in intent.statements)


def _ruling(finding: Finding, valid: Sequence[Accept]) -> Ruling:
    """A finding under the first acceptance that covers it, if there is one."""
    for accept in valid:
        if covers(accept, finding):
            terms = Acceptance(accept.because, accept.by, accept.until)
            return Ruling(finding, "accepted", fingerprint(finding), terms)
    return Ruling(finding, "new", fingerprint(finding))


def covers(accept: Accept, finding: Finding) -> bool:
    """Whether an acceptance is about a finding: the same rule, at the block or the subject that it names."""
    if accept.rule != finding.rule:
        return False
    return any(matches(accept.subject, name) for name in {finding.block, finding.subject} if name)


def _about(accepts: Sequence[Accept], findings: Sequence[Finding], today: str) -> list[Finding]:
    """Findings about acceptances that have expired, or that nothing on the board answers to."""
    found: list[Finding] = []
    for accept in accepts:
        at = f"{accept.rule} at {accept.subject.text}"
        if not any(covers(accept, finding) for finding in findings):
            message = f"the acceptance of {at} matches no finding"
            found.append(_finding(UNUSED, accept, message))
        elif accept.until is not None and accept.until < today:
            message = f"the acceptance of {at} ended on {accept.until}"
            found.append(_finding(EXPIRED, accept, message))
    return found


def _finding(rule: RuleText, accept: Accept, message: str) -> Finding:
    """A warning about an acceptance, at its statement."""
    subject = accept.subject.text
    return Finding(rule.name, "warning", "fail", subject, accept.place, message, advice=rule.advice)
