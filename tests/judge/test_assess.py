"""Verdicts, findings and the tally, on facts that are simply given."""

import pytest

from drc.facts.model import Case, Cases, Fact, Unknown, Value
from drc.judge.assess import assess
from drc.judge.model import Finding, TallyEntry
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, HERTZ, RATIO, SECOND, STEP, VOLT
from drc.trouble import Place, Trouble
from tests.judge.stub import GivenBook, rule, rules

MARGIN = "require strap.margin >= 0.1 steps else error"


def verdict(require: str, more: str = "", **facts: Value | Fact) -> tuple[str, str]:
    """Verdict and level of one rule on one block; `pass` has no level. Names: __ stands for a dot."""
    given = {name.replace("__", "."): value for name, value in facts.items()}
    found = assess(GivenBook(given), rule(require, more))
    (entry,) = found.tally
    levels = [finding.level for finding in found.findings]
    assert len(levels) == (entry.verdict not in ("pass", "not-applicable"))
    return entry.verdict, levels[0] if levels else ""


@pytest.mark.parametrize(
    ("margin", "expected"),
    [
        (Span(0.2, 0.3, 0.4, STEP), ("pass", "")),
        (Span(0.05, 0.3, 0.4, STEP), ("at-risk", "warning")),
        (Span(0.0, 0.05, 0.4, STEP), ("fail", "error")),
        (Span(0.0, 0.05, 0.06, STEP), ("fail", "error")),
        (Unknown("no R3"), ("unproven", "warning")),
        (Span(0.1, 0.1, 0.1, STEP), ("pass", "")),
    ],
)
def test_a_require_gives_a_verdict(margin: Value, expected: tuple[str, str]) -> None:
    """Nominal false fails, nominal true but not always is at risk, unknown is unproven, else it passes."""
    assert verdict(MARGIN, strap__margin=margin) == expected


def test_levels_are_the_rules_own() -> None:
    """at-risk and unproven take the level that the rule names, and at-risk of a note stays a note."""
    risky = Span(0.05, 0.3, 0.4, STEP)
    assert verdict(MARGIN + " at-risk error", strap__margin=risky) == ("at-risk", "error")
    assert verdict("require strap.margin >= 0.1 steps else note", strap__margin=risky) == ("at-risk", "note")
    assert verdict(MARGIN, "unproven error") == ("unproven", "error")


def test_the_gravest_require_decides() -> None:
    """One rule on one subject gives one verdict: the highest level, then fail, at-risk, unproven."""
    two = "require strap.margin >= 0 steps else error require strap.margin >= 0.15 steps else warning"
    assert verdict(two, strap__margin=Span(0.05, 0.1, 0.2, STEP)) == ("fail", "warning")
    assert verdict(two, strap__margin=Span(-0.2, -0.1, 0.2, STEP)) == ("fail", "error")
    mixed = f"{MARGIN} at-risk warning require known supply.voltage else warning"
    assert verdict(mixed, strap__margin=Span(0.05, 0.3, 0.4, STEP)) == ("fail", "warning")


def test_of_two_equals_the_first_is_told() -> None:
    """Two requires failing at one level: the finding rests on the first in the rule."""
    book = rule("require strap.margin >= 1 steps else error require strap.off_centre <= 0 steps else error")
    facts: dict[str, Value | Fact] = {"strap.margin": exact(0, STEP), "strap.off_centre": exact(1, STEP)}
    assert list(assess(GivenBook(facts), book).findings[0].evidence) == ["strap.margin"]


def test_where_decides_whether_the_rule_applies() -> None:
    """A false where is not applicable, an unknown one unproven."""
    where = "where supply.voltage > 2V"
    margin = Span(0.2, 0.3, 0.4, STEP)
    assert (
        verdict(MARGIN, where, strap__margin=margin, supply__voltage=exact(1.8, VOLT))[0] == "not-applicable"
    )
    assert verdict(MARGIN, where, strap__margin=margin, supply__voltage=exact(3.3, VOLT))[0] == "pass"
    assert verdict(MARGIN, where, strap__margin=margin)[0] == "unproven"


def test_a_guard_decides_whether_a_require_applies() -> None:
    """`when` false leaves the require out, unknown makes it unproven; with all left out the rule is idle."""
    guarded = "require strap.margin >= 0.1 steps when strap.polarity is inverted else error"
    low = Span(0, 0, 0, STEP)
    assert verdict(guarded, strap__margin=low, strap__polarity="inverted")[0] == "fail"
    assert verdict(guarded, strap__margin=low, strap__polarity="normal")[0] == "not-applicable"
    assert verdict(guarded, strap__margin=low)[0] == "unproven"


def test_functions_and_roles_narrow_the_blocks() -> None:
    """A rule for one-shots with a trigger is not applicable to an oscillator, nor to a block without one."""
    text = """rule r title "T" for block of one-shot with trigger require strap.open else error
              say "x" because "b" source "s" """
    facts: dict[str, Value | Fact] = {"strap.open": True}
    for function, roles, expected in (
        ("oscillator", ("trigger",), "not-applicable"),
        ("one-shot", ("strap",), "not-applicable"),
        ("one-shot", ("trigger",), "pass"),
    ):
        book = GivenBook(facts, function=function, roles=roles)  # type: ignore[arg-type]
        assert [entry.verdict for entry in assess(book, rules(text)).tally] == [expected]


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        ("known supply.voltage", "pass"),
        ("known supply.limit", "fail"),
        ("not known supply.limit", "pass"),
        ("stated supply.voltage", "fail"),
        ("stated ambient.board", "pass"),
        ("supply.voltage > 6V or known supply.voltage", "pass"),
        ("supply.limit > 6V or known supply.voltage", "pass"),
        ("supply.limit > 6V and known supply.voltage", "unproven"),
        ("not (supply.limit > 6V) and known supply.limit", "fail"),
        ("strap.polarity is one of (normal, inverted)", "pass"),
        ("strap.polarity is not inverted", "fail"),
        ("strap.code is 5", "pass"),
        ("strap.code is one of (4, 6)", "fail"),
        ("abs(supply.voltage - 6V) <= 1.2V", "at-risk"),
        ("high(supply.voltage) - low(supply.voltage) <= 0.5V", "pass"),
        ("supply.voltage within 4V .. 6V", "pass"),
        ("supply.voltage within 5V +/- 3%", "at-risk"),
        ("supply.voltage within 5V +/- 0.25V", "pass"),
        ("max(supply.voltage, 6V) is 6V", "pass"),
        ("min(supply.voltage, 1V) * 2 <= 2V", "pass"),
        ("supply.voltage / 2A is 2.5ohm", "at-risk"),
        ("-supply.voltage < 0", "pass"),
        ("strap.open", "fail"),
        ("not strap.open", "pass"),
    ],
)
def test_the_words_of_the_language(condition: str, expected: str) -> None:
    """Every form of a condition gives the verdict that an engineer reads in it."""
    supply = Fact("supply.voltage", Span(4.75, 5.0, 5.25, VOLT), assumptions=("read in its name",))
    found = verdict(
        f"require {condition} else error",
        supply__voltage=supply,
        strap__polarity="inverted",
        strap__code=exact(5),
        strap__open=False,
        ambient__board=Span(-40, 25, 85),
    )
    assert found[0] == expected


def test_labelled_cases_must_all_hold() -> None:
    """A fact that takes two states is judged in each; the finding names the state that is worst."""
    cases = Cases((Case("XU1 low", exact(3e-6, AMPERE)), Case("XU1 high", exact(9e-6, AMPERE))))
    require = "require rate.current <= {} else error"
    assert verdict(require.format("10uA"), rate__current=cases)[0] == "pass"
    assert verdict(require.format("5uA"), rate__current=cases)[0] == "fail"
    assert verdict("require not (rate.current > 5uA) else error", rate__current=cases)[0] == "fail"
    found = assess(GivenBook({"rate.current": cases}), rule(require.format("5uA")))
    assert found.findings[0].message == "XU1 is wrong (in state XU1 high)"


def test_facts_with_the_same_labels_are_in_one_state_together() -> None:
    """Two facts steered by one output are never judged in two different states of it."""
    labels = ("low", "high")
    current = Cases(
        tuple(Case(label, exact(i, AMPERE)) for label, i in zip(labels, (1e-6, 9e-6), strict=True))
    )
    rated = Cases(
        tuple(Case(label, exact(i, AMPERE)) for label, i in zip(labels, (2e-6, 10e-6), strict=True))
    )
    require = "require rate.current <= rate.current_rated else error"
    assert verdict(require, rate__current=current, rate__current_rated=rated)[0] == "pass"


def test_a_pass_on_an_assumption_is_marked() -> None:
    """Only a pass whose own facts rest on an assumption is counted apart."""
    assumed = Fact("strap.margin", Span(0.2, 0.3, 0.4, STEP), assumptions=("R1 tolerance 1 %",))
    assert assess(GivenBook({"strap.margin": assumed}), rule(MARGIN)).tally[0].assumed
    stated = assumed._replace(assumptions=())
    assert not assess(GivenBook({"strap.margin": stated}), rule(MARGIN)).tally[0].assumed


def test_an_unproven_finding_names_what_is_missing() -> None:
    """The tally and the finding carry the facts that are missing, by the name that the fact gives them."""
    book = GivenBook({"strap.margin": Unknown("no supply", ("supply.voltage",))})
    found = assess(book, rule(MARGIN))
    assert found.tally == (TallyEntry("the-rule", "XU1", "unproven", False, ("supply.voltage",)),)
    assert found.findings[0].missing == ("supply.voltage",)
    assert found.findings[0].message == (
        "XU1: not proven that all is well: strap.margin is unknown (no supply)"
    )


def test_a_finding_carries_its_evidence() -> None:
    """The facts of where, of the deciding require and of the message are the evidence."""
    text = """rule r title "T" for block knob least = 0.1 steps where known supply.voltage
              let room = strap.margin - least
              require room >= 0 steps else error
              say "{block} ({part}): {low strap.margin} of {least}, code {strap.code}, {room}, {{}}"
              because "b" source "s" """
    facts: dict[str, Value | Fact] = {
        "strap.margin": exact(0.05, STEP),
        "supply.voltage": exact(5, VOLT),
        "strap.code": exact(3, RATIO),
    }
    (finding,) = assess(GivenBook(facts), rules(text)).findings
    assert sorted(finding.evidence) == ["strap.code", "strap.margin", "supply.voltage"]
    assert finding.message == "XU1 (HX): 0.05 steps of 0.1 steps, code 3, -0.05 steps, {}"
    assert (finding.block, finding.part, finding.verdict) == ("XU1", "HX", "fail")


def trouble(kind: str, line: int = 4) -> Trouble:
    """Something that could not be read."""
    return Trouble(
        kind, "error", Place("board.cir", line, 1, 3), "found that, expected this", "47Kohm6 a b R"
    )


def lines(*troubles: Trouble, text: str = "", house: str = "") -> tuple[Finding, ...]:
    """The findings on troubles of reading."""
    return assess(GivenBook({}, (), troubles=troubles), rules(text, house)).findings


LINE = 'rule odd-line title "T" for line {} because "b" source "s"\n'


def test_a_trouble_becomes_a_finding_of_its_kind() -> None:
    """With a rule or without one, what could not be read is reported once, at its own level."""
    for text in ("", LINE.format("")):
        (finding,) = lines(trouble("odd-line"), text=text)
        assert (finding.rule, finding.level, finding.verdict) == ("odd-line", "error", "fail")
        assert (finding.message, finding.excerpt) == ("found that, expected this", "47Kohm6 a b R")


def test_a_house_sets_the_level_of_a_trouble_or_switches_it_off() -> None:
    """`for line else LEVEL`, `level` and `off` hold for troubles as they do for facts."""
    assert lines(trouble("odd-line"), text=LINE.format("else note"))[0].level == "note"
    assert (
        lines(trouble("odd-line"), text=LINE.format(""), house="level odd-line warning")[0].level == "warning"
    )
    assert lines(trouble("odd-line"), text=LINE.format(""), house='off odd-line because "known"') == ()


def test_findings_come_gravest_first_and_in_source_order() -> None:
    """Errors before warnings, then by place: the same for any order of rules."""
    found = lines(trouble("b-kind", 9)._replace(level="warning"), trouble("c-kind", 7), trouble("a-kind", 2))
    assert [finding.rule for finding in found] == ["a-kind", "c-kind", "b-kind"]


def test_a_pair_is_judged_by_the_facts_of_both_blocks() -> None:
    """`upstream.` and `downstream.` ask each block of the pair for its own fact, named so in evidence."""
    text = """rule r title "T" for pair
              require upstream.timing.period > downstream.timing.pulse_width else error
              say "{upstream} is faster than {downstream}, {downstream.timing.pulse_width}"
              because "b" source "s" """
    facts: dict[str, Value | Fact] = {
        "XU1 timing.period": exact(1e-3, SECOND),
        "XU2 timing.pulse_width": exact(2e-3, SECOND),
    }
    found = assess(GivenBook(facts, ("XU1", "XU2")), rules(text))
    assert found.tally == (TallyEntry("r", "XU1 to XU2", "fail"),)
    (finding,) = found.findings
    assert finding.message == "XU1 is faster than XU2, 2 ms"
    assert list(finding.evidence) == ["upstream.timing.period", "downstream.timing.pulse_width"]
    facts["XU1 timing.period"] = exact(3e-3, SECOND)
    assert assess(GivenBook(facts, ("XU1", "XU2")), rules(text)).tally[0].verdict == "pass"


def test_a_message_writes_every_kind_of_value() -> None:
    """Spans, names, truths, labelled cases and what is unknown, each as a person reads it."""
    text = """rule r title "T" for block let open = strap.open or strap.shorted require strap.open else error
              say "{timing.frequency}; {strap.polarity}; {strap.open}; {rate.current}; {supply.limit}; {open}"
              because "b" source "s" """
    facts: dict[str, Value | Fact] = {
        "timing.frequency": Span(1e3, 2e3, 3e3, HERTZ),
        "strap.polarity": "inverted",
        "strap.open": False,
        "rate.current": Cases((Case("low", exact(1e-6, AMPERE)), Case("high", exact(2e-6, AMPERE)))),
        "supply.limit": Unknown("no limit given"),
    }
    (finding,) = assess(GivenBook(facts), rules(text)).findings
    assert finding.message == (
        "1 kHz .. 3 kHz (nominal 2 kHz); inverted; no; low: 1 uA; high: 2 uA; unknown (no limit given); "
        "unknown (not known)"
    )


def test_too_many_combinations_of_cases_are_unproven() -> None:
    """What cannot be tried in full is not passed."""
    many = Cases(tuple(Case(f"a{n}", exact(n, AMPERE)) for n in range(65)))
    assert verdict("require rate.current >= 0A else error", rate__current=many)[0] == "unproven"
    few = Cases(many.cases[:64])
    assert verdict("require rate.current >= 0A else error", rate__current=few)[0] == "pass"
    assert verdict("require rate.current >= 0A else error", rate__current=Cases(()))[0] == "unproven"
