"""Judging a board: every rule on every subject, one verdict each, and the findings that come of it. Pure."""

from itertools import product
from typing import NamedTuple

from drc.facts.book import Book
from drc.facts.model import Cases, Fact, Subject, Unknown
from drc.judge.model import VERDICTS, Assessment, Finding, TallyEntry, Verdict
from drc.judge.program import Condition, Program, Values, compile_rule, message_text
from drc.judge.rule import Rule, RuleBook
from drc.judge.subjects import Facts, about, line_subjects, statement_kind, troubles
from drc.judge.truth import TRUE, UNKNOWN, Truth, both
from drc.trouble import LEVELS, Level

WORLDS = 64
"""Combinations of labelled cases that are tried; beyond, a condition is unknown."""


class Outcome(NamedTuple):
    """What a rule makes of one subject. `state` is the labelled state that decided, "" without states."""

    verdict: Verdict
    level: Level = "note"
    names: tuple[str, ...] = ()
    values: Values | None = None
    state: str = ""


PASS = Outcome("pass")
NOT_APPLICABLE = Outcome("not-applicable")


def assess(book: Book, rules: RuleBook) -> Assessment:
    """Every rule of the book on every subject of its kind, and every trouble of reading.

    Findings come gravest first, then by place; the tally by rule, then subject, in source order.
    """
    facts = Facts(book)
    findings: list[Finding] = []
    tally: list[TallyEntry] = []
    for rule in rules.rules:
        if rule.subject == "line":
            continue
        program = compile_rule(rule)
        for subject in facts.subjects(rule.subject):
            if rule.statement and (
                not subject.statement or statement_kind(subject.statement) != rule.statement
            ):
                continue
            outcome = judge(program, subject, facts)
            finding = None
            if outcome.verdict not in ("pass", "not-applicable"):
                finding = _finding(rule, subject, outcome, facts.values(subject))
                findings.append(finding)
            tally.append(_entry(program, subject, outcome, finding, facts))
    found = troubles(book)
    for subject in line_subjects(found):
        finding = _line_finding(subject, rules, facts)
        if finding:
            findings.append(finding)
            tally.append(TallyEntry(finding.rule, finding.subject, "fail"))
    return Assessment(tuple(sorted(findings, key=gravity)), tuple(tally), found)


def gravity(finding: Finding) -> tuple[int, int, str, int, int, str, str]:
    """The order of findings: level, verdict, place, rule, subject."""
    place = finding.place
    return (
        -LEVELS.index(finding.level), VERDICTS.index(finding.verdict) if finding.verdict != "fail" else 0,
        place.path, place.line, place.column, finding.rule, finding.subject,
    )  # fmt: skip


def judge(program: Program, subject: Subject, facts: Facts) -> Outcome:
    """One rule on one subject: its gravest require (level first, then fail, at-risk, unproven)."""
    rule = program.rule
    block = subject.block
    if block and rule.functions and block.part.function not in rule.functions:
        return NOT_APPLICABLE
    if block and any(role not in block.pins for role in rule.roles):
        return NOT_APPLICABLE
    values = facts.values(subject)
    for where in program.wheres:
        holds = where(values).nominal
        if holds is False:
            return NOT_APPLICABLE
        if holds is None:
            return Outcome("unproven", rule.unproven, rule.where_names, values)
    gravest = PASS
    applied = not program.requires
    for require, guard, condition in program.requires:
        if guard is not None:
            guarded = guard(values).nominal
            if guarded is False:
                continue
            if guarded is None:
                gravest = _graver(gravest, Outcome("unproven", rule.unproven, require.names, values))
                continue
        applied = True
        truth, world, state = _truth(condition, values, require.names)
        if truth is TRUE:
            continue
        gravest = _graver(
            gravest, _outcome(truth, rule, require.names, (require.level, require.at_risk), world, state)
        )
    if gravest is PASS and not applied:
        return NOT_APPLICABLE
    return gravest


def _outcome(
    truth: Truth, rule: Rule, names: tuple[str, ...], levels: tuple[Level, Level], values: Values, state: str
) -> Outcome:
    """A require's truth as a verdict at its level."""
    if truth.nominal is None or (truth.nominal and truth.over == "unknown"):
        return Outcome("unproven", rule.unproven, names, values, state)
    if not truth.nominal:
        return Outcome("fail", levels[0], names, values, state)
    if truth.over != "always":
        return Outcome("at-risk", levels[1], names, values, state)
    return PASS


def _graver(a: Outcome, b: Outcome) -> Outcome:
    """The graver of two; the first on a tie."""
    return b if _weight(b) > _weight(a) else a


_SEVERITY: dict[Verdict, int] = {"not-applicable": -1, "pass": -1, "unproven": 0, "at-risk": 1, "fail": 2}


def _weight(outcome: Outcome) -> tuple[int, int]:
    """Level first, then the verdict; a pass weighs nothing."""
    severity = _SEVERITY[outcome.verdict]
    return (-1, -1) if severity < 0 else (LEVELS.index(outcome.level), severity)


def _truth(condition: Condition, values: Values, names: tuple[str, ...]) -> tuple[Truth, Values, str]:
    """A condition's truth; where facts come as labelled cases, it must hold in every combination of them."""
    truth = condition(values)
    if not values.cased or values.cased.isdisjoint(names):
        return truth, values, ""
    cased = {name: value for name in names if isinstance(value := values[name], Cases)}
    axes: dict[tuple[str, ...], list[str]] = {}
    for name, cases in cased.items():
        axes.setdefault(tuple(case.label for case in cases.cases), []).append(name)
    count = 1
    for labels in axes:
        count *= len(labels)
    if count > WORLDS:
        return UNKNOWN, values, ""
    truth, worst = TRUE, (values, "")
    for picked in product(*(range(len(labels)) for labels in axes)):
        world = values.copy_with(
            {
                name: cased[name].cases[index].value
                for index, named in zip(picked, axes.values(), strict=True)
                for name in named
            }
        )
        state = ", ".join(labels[index] for index, labels in zip(picked, axes, strict=True))
        here = condition(world)
        if _graver_truth(here, truth):
            worst = (world, state)
        truth = both(truth, here)
    return truth, *worst


def _graver_truth(a: Truth, b: Truth) -> bool:
    """Whether a is worse than b: false before unknown before true at nominal, then over the span."""
    rank = {False: 0, None: 1, True: 2}
    return (rank[a.nominal], a.over == "always") < (rank[b.nominal], b.over == "always")


def _entry(
    program: Program, subject: Subject, outcome: Outcome, finding: Finding | None, facts: Facts
) -> TallyEntry:
    """The tally's line: a pass tells whether it rests on an assumption, an unproven what is missing."""
    name = program.rule.name
    if finding is not None:
        return TallyEntry(name, subject.path, outcome.verdict, False, finding.missing)
    if outcome is NOT_APPLICABLE:
        return TallyEntry(name, subject.path, "not-applicable")
    assumed = facts.values(subject).assumed
    return TallyEntry(name, subject.path, "pass", bool(assumed) and not assumed.isdisjoint(program.judged))


def _finding(rule: Rule, subject: Subject, outcome: Outcome, values: Values) -> Finding:
    """What is reported of a verdict that is no pass."""
    evidence = _evidence(rule, outcome, values)
    gaps = {name: fact.value for name, fact in evidence.items() if isinstance(fact.value, Unknown)}
    gaps = {name: gap for name, gap in gaps.items() if name in outcome.names}
    missing: dict[str, None] = {}
    if outcome.verdict == "unproven":
        for name, gap in gaps.items():
            missing.update(dict.fromkeys(gap.missing or (name,)))
    block = subject.block
    return Finding(
        rule=rule.name,
        level=outcome.level,
        verdict=outcome.verdict,
        subject=subject.path,
        place=subject.place,
        message=_message(rule, subject, outcome, values, gaps),
        block=block.path if block else None,
        part=block.part.name if block else None,
        evidence=evidence,
        missing=tuple(missing),
        others=(block.place,) if block and block.place != subject.place else (),
        advice=rule.advice,
    )


def _evidence(rule: Rule, outcome: Outcome, values: Values) -> dict[str, Fact]:
    """The facts that the rule used: in where, in the deciding require, and in the message."""
    said = rule.says.get(outcome.verdict) or rule.says.get("fail")
    names = dict.fromkeys([*rule.where_names, *outcome.names, *(said.names if said else ())])
    for name in names:
        values[name]
    return {name: values.facts[name] for name in names}


def _message(rule: Rule, subject: Subject, outcome: Outcome, values: Values, gaps: dict[str, Unknown]) -> str:
    """The finding's one line."""
    template = rule.says.get(outcome.verdict)
    words = about(subject)
    if template is None and outcome.verdict == "unproven":
        reasons = "; ".join(
            f"{name} is unknown" + f" ({gap.because})" * bool(gap.because) for name, gap in gaps.items()
        )
        lacking = reasons or "a quantity is not a number"
        return f"{words.get('block', subject.path)}: not proven that {_sentence(rule.title)}: {lacking}"
    text = message_text(template or rule.says["fail"], outcome.values or values, rule.knobs, words)
    state = f" (in state {outcome.state})" if outcome.state else ""
    if template is None and outcome.verdict == "at-risk":
        return f"{text}{state}; true at nominal, not over the whole span"
    return text + state


def _sentence(title: str) -> str:
    """A title inside a sentence: its first letter small."""
    return title[:1].lower() + title[1:] if title[1:2].islower() or title[1:2] == " " else title


def _line_finding(subject: Subject, rules: RuleBook, facts: Facts) -> Finding | None:
    """A trouble of reading as a finding, by the rule of its kind if there is one; None where switched off."""
    trouble = subject.trouble
    assert trouble is not None
    if trouble.kind in rules.off:
        return None
    rule = next((r for r in rules.rules if r.subject == "line" and r.name == trouble.kind), None)
    message = trouble.message
    if rule and "fail" in rule.says:
        message = message_text(rule.says["fail"], facts.values(subject), rule.knobs, about(subject))
    return Finding(
        rule=trouble.kind,
        level=(rule.line_level if rule else None) or trouble.level,
        verdict="fail",
        subject=subject.path,
        place=trouble.place,
        message=message,
        others=trouble.others,
        excerpt=trouble.excerpt,
        advice=rule.advice if rule else "",
    )
