"""Judging a board: every rule on every subject, one verdict each, and the findings that come of it. Pure."""

from drc.facts.book import Book
from drc.facts.model import Fact, Subject, Unknown
from drc.judge.model import BROKEN, Assessment, Finding, TallyEntry
from drc.judge.program import Program, Values, compile_rule
from drc.judge.rule import Rule, RuleBook
from drc.judge.shown import inside_sentence, message_text
from drc.judge.subjects import Facts, about, line_troubles, statement_kind
from drc.judge.verdict import NOT_APPLICABLE, Outcome, judge
from drc.trouble import LEVELS, Level, Trouble


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
        for subject, values in facts.subjects(rule.subject):
            if rule.statement and (
                not subject.statement or statement_kind(subject.statement) != rule.statement
            ):
                continue
            outcome = judge(program, subject, values)
            finding = None
            if outcome.verdict in BROKEN:
                finding = _finding(rule, subject, outcome, values)
                findings.append(finding)
            tally.append(_entry(program, subject, outcome, finding, values))
    troubles = line_troubles(book)
    for trouble in troubles:
        finding = _line_finding(trouble, rules, facts)
        if finding:
            findings.append(finding)
            tally.append(TallyEntry(finding.rule, finding.subject, "fail"))
    return Assessment(tuple(sorted(findings, key=gravity)), tuple(tally), troubles)


def gravity(finding: Finding) -> tuple[int, int, str, int, int, str, str]:
    """The order of findings: level, verdict, place, rule, subject."""
    place = finding.place
    return (
        -LEVELS.index(finding.level), -BROKEN.index(finding.verdict), place.path, place.line, place.column,
        finding.rule, finding.subject,
    )  # fmt: skip


def _entry(
    program: Program, subject: Subject, outcome: Outcome, finding: Finding | None, values: Values
) -> TallyEntry:
    """The tally's line: a pass tells whether it rests on an assumption, an unproven what is missing."""
    name = program.rule.name
    if finding is not None:
        return TallyEntry(name, subject.path, outcome.verdict, False, finding.missing)
    if outcome is NOT_APPLICABLE:
        return TallyEntry(name, subject.path, "not-applicable")
    assumed = not values.assumed.isdisjoint(program.judged)
    return TallyEntry(name, subject.path, "pass", assumed)


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
        return f"{words.get('block', subject.path)}: not proven that {inside_sentence(rule.title)}: {lacking}"
    text = message_text(template or rule.says["fail"], outcome.values or values, rule.knobs, words)
    state = f" (in state {outcome.state})" if outcome.state else ""
    if template is None:
        return f"{text}{state}; true at nominal, not over the whole span"
    return text + state


def _line_finding(trouble: Trouble, rules: RuleBook, facts: Facts) -> Finding | None:
    """A trouble of reading as a finding, by the rule of its kind if there is one; None where switched off."""
    subject = Subject("line", str(trouble.place), trouble.place, trouble=trouble)
    if trouble.kind in rules.off:
        return None
    rule = next((r for r in rules.rules if r.subject == "line" and r.name == trouble.kind), None)
    message = trouble.message
    if rule and "fail" in rule.says:
        message = message_text(rule.says["fail"], facts.values(subject), rule.knobs, about(subject))
    return Finding(
        rule=trouble.kind,
        level=(rule.line_level if rule else None) or _line_level(trouble, facts.book),
        verdict="fail",
        subject=subject.path,
        place=trouble.place,
        message=message,
        others=trouble.others,
        excerpt=trouble.excerpt,
        advice=rule.advice if rule else "",
    )


def _line_level(trouble: Trouble, book: Book) -> Level:
    """A line that could not be read is a warning where all its nets are known and no block is on them.

    What hangs further off on such a net is unknown all the same, and unproven where a block depends on it.
    """
    if trouble.kind != "unreadable-line" or trouble.level != "error" or not trouble.nets:
        return trouble.level
    named = {net.lower() for net in trouble.nets}
    own = (net for block in book.board.blocks for nets in block.pins.values() for net in nets)
    return "error" if any(net.name.lower() in named for net in own) else "warning"
