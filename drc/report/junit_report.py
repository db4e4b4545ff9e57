"""A review as JUnit XML, as build servers read it: a suite a board, a case a subject and rule."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from drc.judge.model import TallyEntry
from drc.outcome import BoardOutcome, Review, Ruling
from drc.report.text import harmless
from drc.trouble import LEVELS, Level


class Case(NamedTuple):
    """A case: the subject, the rule, and what came of it: `passed`, `failure`, `error` or `skipped`."""

    subject: str
    rule: str
    outcome: str = "passed"
    kind: str = ""
    text: str = ""


def render(review: Review) -> str:
    """The whole review. A case fails where its finding counts at the gate, so both say the same."""
    suites = [(board, _cases(board, review.gate)) for board in review.boards]
    everything = [case for _, cases in suites for case in cases]
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<testsuites name="tickproof"{_counts(everything)}>']
    for board, cases in suites:
        skipped = sum(case.outcome == "skipped" for case in cases)
        more = f' skipped="{skipped}" timestamp="{review.date}T00:00:00"'
        lines.append(f"<testsuite name={_attribute(board.path)}{_counts(cases)}{more}>")
        lines += [line for case in cases for line in _case(case, board.path)]
        lines.append("</testsuite>")
    return "\n".join([*lines, "</testsuites>"]) + "\n"


def _cases(board: BoardOutcome, gate: Level) -> list[Case]:
    """Every verdict of a board, then the findings that are no verdict of a rule on a subject."""
    if board.error is not None:
        return [Case(board.path, "board-is-read", "error", "unread", board.error)]
    by_case: dict[tuple[str, str], list[Ruling]] = {}
    for ruling in board.rulings:
        by_case.setdefault((ruling.finding.rule, ruling.finding.subject), []).append(ruling)
    cases = [_judged(entry, by_case, gate) for entry in board.tally]
    rest = (ruling for rulings in by_case.values() for ruling in rulings)
    return [*cases, *(_found(ruling, gate) for ruling in rest)]


def _judged(entry: TallyEntry, by_case: dict[tuple[str, str], list[Ruling]], gate: Level) -> Case:
    """The case of a verdict; its finding is taken out of `by_case`."""
    rulings = by_case.get((entry.rule, entry.subject))
    if rulings:
        return _found(rulings.pop(0), gate)
    if entry.verdict == "not-applicable":
        return Case(entry.subject, entry.rule, "skipped", entry.verdict, "does not apply here")
    note = "rests on an assumption" if entry.assumed else ""
    return Case(entry.subject, entry.rule, "passed", entry.verdict, note)


def _found(ruling: Ruling, gate: Level) -> Case:
    """The case of a finding: a failure where it counts, skipped where it is accepted or known."""
    finding = ruling.finding
    if ruling.state != "new":
        because = f" ({ruling.acceptance.because})" if ruling.acceptance else ""
        text = f"{ruling.state}{because}: {finding.message}"
        return Case(finding.subject, finding.rule, "skipped", ruling.state, text)
    counts = LEVELS.index(finding.level) >= LEVELS.index(gate)
    text = f"{finding.place}: {finding.level}: {finding.message}"
    return Case(finding.subject, finding.rule, "failure" if counts else "passed", finding.verdict, text)


def _counts(cases: Sequence[Case]) -> str:
    """The attributes that count cases."""
    failures = sum(case.outcome == "failure" for case in cases)
    errors = sum(case.outcome == "error" for case in cases)
    return f' tests="{len(cases)}" failures="{failures}" errors="{errors}"'


def _case(case: Case, board: str) -> Iterable[str]:
    """The lines of one case."""
    head = f"<testcase classname={_attribute(f'{board}: {case.subject}')} name={_attribute(case.rule)}"
    if case.outcome == "passed":
        note = f"<system-out>{escape(harmless(case.text))}</system-out>"
        yield f"{head}>{note}</testcase>" if case.text else f"{head}/>"
        return
    message = f"<{case.outcome} type={_attribute(case.kind)} message={_attribute(case.text)}/>"
    yield f"{head}>{message}</testcase>"


def _attribute(text: str) -> str:
    """A quoted attribute; what XML cannot hold is spelt out."""
    return quoteattr(harmless(text))
