"""Which of several verdicts is the rule's: level before verdict, the first of equals; and over states."""

import math
from itertools import product

import pytest

from drc.facts.model import Case, Cases, Fact, Unknown, Value
from drc.judge.assess import assess
from drc.judge.model import BROKEN, Assessment, Verdict
from drc.judge.program import Values
from drc.judge.rule import RuleBook
from drc.judge.subjects import Facts
from drc.quantity.span import Span, exact
from drc.quantity.unit import RATIO, VOLT
from drc.trouble import Level
from tests.judge.stub import GivenBook, only, rule, rules

GRAVEST_FIRST: list[tuple[Level, Verdict]] = [
    ("error", "fail"), ("error", "at-risk"), ("error", "unproven"),
    ("warning", "fail"), ("warning", "at-risk"), ("warning", "unproven"),
    ("note", "fail"), ("note", "at-risk"), ("note", "unproven"),
    ("note", "pass"), ("note", "not-applicable"),
]  # fmt: skip
"""The level first, then fail, at-risk, unproven; a pass only where nothing is wrong."""


def volts(verdict: str) -> Value:
    """A supply that gives this verdict where 1 V is asked for."""
    values: dict[str, Value] = {
        "fail": exact(0.5, VOLT), "at-risk": Span(0.5, 2, 3, VOLT), "unproven": Unknown("lost", ("V1",)),
        "pass": exact(2, VOLT), "not-applicable": exact(0, VOLT),
    }  # fmt: skip
    return values[verdict]


TWO = """require supply.voltage >= 1 V when strap.open else note
    require supply.limit >= 1 V when strap.shorted else note"""


@pytest.mark.parametrize("one", GRAVEST_FIRST, ids=" ".join)
def test_of_two_requires_the_graver_one_is_told(one: tuple[Level, Verdict]) -> None:
    """Whichever stands first; of two that are equally grave the first. Unproven has one level in a rule."""
    base = only(rule(TWO))
    others = [each for each in GRAVEST_FIRST if not each[1] == one[1] == "unproven" or each == one]
    for other in others:
        levels: dict[Verdict, Level] = {verdict: level for level, verdict in (one, other)}
        graded = [
            each._replace(level=level, at_risk=level)
            for each, (level, _) in zip(base.requires, (one, other), strict=True)
        ]
        levelled = base._replace(requires=tuple(graded), unproven=levels.get("unproven", "note"))
        facts: dict[str, Value | Fact] = {
            "supply.voltage": volts(one[1]), "strap.open": one[1] != "not-applicable",
            "supply.limit": volts(other[1]), "strap.shorted": other[1] != "not-applicable",
        }  # fmt: skip
        found = assess(GivenBook(facts), RuleBook((levelled,)))
        graver = min(one, other, key=GRAVEST_FIRST.index)
        assert [entry.verdict for entry in found.tally] == [graver[1]]
        assert [finding.level for finding in found.findings] == [graver[0]] * (graver[1] in BROKEN)
        deciding = ["strap.open", "supply.voltage"] if graver == one else ["strap.shorted", "supply.limit"]
        assert all(list(finding.evidence) == deciding for finding in found.findings)


STATES: dict[str, Span] = {
    "false": exact(0.5, VOLT), "hardly": Span(0.2, 0.5, 3, VOLT), "unknown": Span(2, math.nan, 3, VOLT),
    "mostly": Span(0.5, 2, 3, VOLT), "true": exact(2, VOLT),
}  # fmt: skip
"""Supplies by whether they are at least 1 V: not, not at nominal, who knows, at nominal alone, all."""
VERDICTS = {"false": "fail", "hardly": "fail", "unknown": "unproven", "mostly": "at-risk", "true": "pass"}


def judged(text: str, **facts: Value) -> Assessment:
    """A rule of these clauses on a block with these facts; _ stands for a dot."""
    given: dict[str, Value | Fact] = {name.replace("_", "."): value for name, value in facts.items()}
    return assess(GivenBook(given), rule(text))


def test_of_two_states_the_worse_one_is_told() -> None:
    """False before unknown before true; of what is true at nominal the one that is not always so."""
    found = only(rule("require supply.voltage >= 1 V else error", 'say unproven "lost" say at-risk "soft"'))
    words = {"fail": "XU1 is wrong", "unproven": "lost", "at-risk": "soft"}
    order = ["false", "hardly", "unknown", "mostly", "true"]
    for one, other in product(STATES, repeat=2):
        states = Cases((Case("XU2 = 0", STATES[one]), Case("XU2 = 1", STATES[other])))
        judged_now = assess(GivenBook({"supply.voltage": states}), RuleBook((found,)))
        worse = min(one, other, key=order.index)
        verdict = VERDICTS[worse]
        assert judged_now.tally[0].verdict == verdict
        if verdict != "pass":
            first = VERDICTS[one] == verdict
            state = "XU2 = 0" if first else "XU2 = 1"
            assert judged_now.findings[0].message == f"{words[verdict]} (in state {state})", (one, other)


def test_states_of_two_outputs_are_tried_in_every_combination() -> None:
    """Four pairs of states; the only one that fails is told by both labels, in the order of the condition."""
    first = Cases((Case("XU2 = 0", exact(1, VOLT)), Case("XU2 = 1", exact(3, VOLT))))
    other = Cases((Case("XU3 = 0", exact(2, VOLT)), Case("XU3 = 1", exact(4, VOLT))))
    found = judged(
        "require supply.voltage <= supply.limit else error", supply_voltage=first, supply_limit=other
    )
    assert found.findings[0].message == "XU1 is wrong (in state XU2 = 1, XU3 = 0)"
    apart = judged("require supply.voltage < 3 V else error", supply_voltage=first, supply_limit=other)
    assert apart.findings[0].message == "XU1 is wrong (in state XU2 = 1)"


def cases(name: str, count: int) -> Cases:
    """So many states of 1 V each."""
    return Cases(tuple(Case(f"{name} = {k}", exact(1, VOLT)) for k in range(count)))


COUNTS = [
    (8, 8, "pass"),
    (4, 16, "pass"),
    (1, 64, "pass"),
    (1, 1, "pass"),
    (5, 13, "unproven"),
    (64, 2, "unproven"),
]


@pytest.mark.parametrize(("one", "other", "verdict"), COUNTS)
def test_combinations_beyond_64_are_unproven(one: int, other: int, verdict: str) -> None:
    """64 combinations are tried, 65 are not: the number is the product of both counts."""
    text = "require supply.voltage <= supply.limit else error"
    found = judged(text, supply_voltage=cases("XU2", one), supply_limit=cases("XU3", other))
    assert found.tally[0].verdict == verdict


@pytest.mark.parametrize(
    ("levels", "verdict"),
    [((2, 3), "pass"), ((2, 0.5), "not-applicable"), ((0.5, 2), "not-applicable"),
     ((math.nan, 2), "unproven"), ((math.nan, 0.5), "not-applicable")],
)  # fmt: skip
def test_a_condition_on_states_holds_where_it_holds_in_all(levels: tuple[float, float], verdict: str) -> None:
    """For `where` and `when` alike: false in one state is false, else unknown in one is unknown."""
    states = Cases(tuple(Case(f"XU2 = {k}", exact(level, VOLT)) for k, level in enumerate(levels)))
    for text in (
        "where supply.voltage >= 1 V require strap.open else error",
        "require strap.open when supply.voltage >= 1 V else error",
    ):
        found = judged(text, supply_voltage=states, strap_open=True)
        assert found.tally[0].verdict == verdict
        if verdict == "unproven":
            assert found.findings[0].level == "warning"


def test_states_of_facts_that_a_condition_does_not_name_play_no_part_in_it() -> None:
    """However many states other facts have, seen by an earlier rule: two of its own are tried."""
    many = rules(
        'rule first title "T" for block require supply.limit > 0 V and supply.rated > 0 V else note '
        'say "x" because "b" source "s" '
        'rule other title "T" for block where supply.voltage >= 1 V require strap.open else error '
        'say "x" because "b" source "s"'
    )
    facts: dict[str, Value | Fact] = {
        "supply.limit": cases("XU3", 8), "supply.rated": cases("XU4", 8), "supply.voltage": cases("XU2", 2),
        "strap.open": True,
    }  # fmt: skip
    assert [entry.verdict for entry in assess(GivenBook(facts), many).tally] == ["pass", "pass"]


def test_states_are_tried_only_where_they_decide() -> None:
    """More states than are tried play no part in a `where` that is decided without them."""
    many = cases("XU2", 65)
    for where, verdict in (
        ("strap.open or supply.voltage > 2 V", "pass"),
        ("strap.shorted and supply.voltage > 2 V", "not-applicable"),
        ("known supply.voltage", "pass"),
        ("strap.open and supply.voltage > 0 V", "unproven"),
    ):
        found = judged(
            f"where {where} require strap.open else error",
            supply_voltage=many, strap_open=True, strap_shorted=False,
        )  # fmt: skip
        assert found.tally[0].verdict == verdict


def test_what_where_does_not_know_is_told() -> None:
    """The finding of a `where` that is unknown rests on the facts of `where`, at its unproven level."""
    text = "where supply.voltage > 1 V unproven error require strap.open else note"
    (finding,) = judged(text, supply_voltage=Unknown("no source", ("V1",)), strap_open=False).findings
    assert (finding.verdict, finding.level, finding.missing) == ("unproven", "error", ("V1",))
    assert list(finding.evidence) == ["supply.voltage"]
    assert finding.message == "XU1: not proven that all is well: supply.voltage is unknown (no source)"


def test_every_where_must_hold() -> None:
    """The first that is false or unknown decides, wherever it stands."""
    two = "where strap.open where strap.shorted require supply.voltage > 1 V else error"
    for first, second, verdict in (
        (True, True, "fail"),
        (True, False, "not-applicable"),
        (False, True, "not-applicable"),
        (Unknown("u"), False, "unproven"),
        (False, Unknown("u"), "not-applicable"),
    ):
        facts: dict[str, Value] = {
            "strap_open": first,
            "strap_shorted": second,
            "supply_voltage": exact(0, VOLT),
        }
        assert judged(two, **facts).tally[0].verdict == verdict


@pytest.mark.parametrize("idle", [0, 1, 2])
def test_a_require_left_out_leaves_the_others(idle: int) -> None:
    """A guard that is false takes out its own require alone, whichever of three it is."""
    guards = ["strap.open" if k == idle else "strap.shorted" for k in range(3)]
    text = " ".join(f"require supply.voltage > 1 V when {guard} else error" for guard in guards)
    facts: dict[str, Value] = {"supply_voltage": exact(0, VOLT), "strap_open": False, "strap_shorted": True}
    assert judged(text, **facts).tally[0].verdict == "fail"


def test_a_block_has_every_role_and_one_of_the_functions() -> None:
    """Of two roles asked for both must be there; of two functions one."""
    text = 'for block of one-shot, oscillator with strap, rate require strap.open else error say "x"'
    book = rules(f'rule r title "T" {text} because "b" source "s"')
    for function, roles, verdict in (
        ("oscillator", ("strap", "rate"), "fail"),
        ("one-shot", ("rate", "strap", "trigger"), "fail"),
        ("one-shot", ("strap",), "not-applicable"),
        ("one-shot", ("rate",), "not-applicable"),
        ("edge-delay", ("strap", "rate"), "not-applicable"),
    ):
        given = GivenBook({"strap.open": False}, function=function, roles=roles)  # type: ignore[arg-type]
        assert assess(given, book).tally[0].verdict == verdict


class Counting(GivenBook):
    """Remembers what it is asked."""

    def __init__(self, facts: dict[str, Value | Fact]) -> None:
        super().__init__(facts)
        self.asked: list[str] = []

    def fact(self, subject: object, name: str) -> Fact:
        """The fact, remembered."""
        self.asked.append(name)
        return super().fact(subject, name)  # type: ignore[arg-type]


def test_each_fact_is_asked_for_once() -> None:
    """Over all rules, requires, states and messages of one block."""
    text = 'rule {} title "T" for block require supply.voltage > 1 V and strap.code > 2 else note ' + (
        'say "{{supply.voltage}}" because "b" source "s" '
    )
    states = Cases((Case("XU2 = 0", exact(1, VOLT)), Case("XU2 = 1", exact(3, VOLT))))
    book = Counting({"supply.voltage": states, "strap.code": exact(1, RATIO)})
    assert len(assess(book, rules(text.format("a") + text.format("b"))).findings) == 2
    assert sorted(book.asked) == ["strap.code", "supply.voltage"]


def test_facts_remember_what_they_rest_on() -> None:
    """Names with assumptions, and names with states, as they are asked for; nothing before."""
    facts: dict[str, Value | Fact] = {
        "supply.voltage": Fact("supply.voltage", exact(1, VOLT), assumptions=("by its name",)),
        "supply.limit": cases("XU2", 2),
        "supply.rated": exact(3, VOLT),
    }
    book = GivenBook(facts)
    values: Values = Facts(book).subjects("block")[0][1]
    assert (dict(values), values.facts, values.assumed, values.cased) == ({}, {}, set(), set())
    for name in facts:
        assert values[name] == book.fact(book.subjects("block")[0], name).value
    assert (values.assumed, values.cased) == ({"supply.voltage"}, {"supply.limit"})
    state = values.copy_with({"supply.limit": exact(5, VOLT)})
    assert state == {"supply.voltage": exact(1, VOLT), "supply.limit": exact(5, VOLT),
                     "supply.rated": exact(3, VOLT)}  # fmt: skip
    assert (state.assumed, state.facts) == (values.assumed, values.facts)
    assert values["supply.limit"] == facts["supply.limit"]


def test_a_pass_is_assumed_by_the_facts_of_its_own_rule() -> None:
    """An assumption behind where, guard or condition counts; one behind another rule's fact does not."""
    assumed = Fact("supply.voltage", exact(2, VOLT), assumptions=("by its name",))
    facts: dict[str, Value | Fact] = {
        "supply.voltage": assumed,
        "strap.open": True,
        "supply.limit": exact(6, VOLT),
    }
    uses = ["where supply.voltage > 1 V require strap.open", "require strap.open when supply.voltage > 1 V",
            "require supply.voltage > 1 V", "require strap.open", "require supply.limit > 1 V"]  # fmt: skip
    text = " ".join(
        f'rule r{k} title "T" for block {use} else error say "x" because "b" source "s"'
        for k, use in enumerate(uses)
    )
    found = assess(GivenBook(facts), rules(text))
    assert [(entry.verdict, entry.assumed) for entry in found.tally] == [
        ("pass", True), ("pass", True), ("pass", True), ("pass", False), ("pass", False),
    ]  # fmt: skip
