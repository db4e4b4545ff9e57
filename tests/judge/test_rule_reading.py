"""Details of reading rules: depth, places, second clauses, holes in messages, kinds of operands."""

import pytest

from drc.judge.check import names_in
from drc.judge.explain import describe_rule, subject_text
from drc.judge.tree import DEEPEST
from drc.trouble import InputError
from tests.judge.stub import REST, only, rule, rules

HEAD = 'rule r title "T" for {subject} require {require} else error {rest}'


def reading(require: str = "strap.open", subject: str = "block", rest: str = REST) -> str:
    """A rule of one line or more."""
    return HEAD.format(subject=subject, require=require, rest=rest)


def refused(text: str) -> tuple[str, int, int]:
    """Message, line and column of the only trouble with a rule file."""
    with pytest.raises(InputError) as caught:
        rules(text)
    (trouble,) = caught.value.troubles
    return trouble.message, trouble.place.line, trouble.place.column


@pytest.mark.parametrize("shape", ["-{}", "abs({})", "min({}, 1 V)", "({} + 1 V)", "1 V + {}"])
def test_an_expression_has_no_more_than_its_levels(shape: str) -> None:
    """Whatever it is nested in: a comparison and ninety-odd levels are read, some more are refused."""
    deep, deeper = "supply.voltage", "supply.voltage"
    for _ in range(DEEPEST - 2):
        deep = shape.format(deep)
    for _ in range(DEEPEST + 2):
        deeper = shape.format(deeper)
    assert only(rules(reading(f"{deep} > 0 V"))).requires[0].names == ("supply.voltage",)
    assert f"more than {DEEPEST} levels" in refused(reading(f"{deeper} > 0 V"))[0]


def test_a_second_say_of_one_verdict_is_refused() -> None:
    """One text a verdict; texts of different verdicts stand side by side."""
    assert refused(reading(rest=f'say "x" {REST.strip()}'))[0].startswith('found a second such "say" clause')
    both = only(rules(reading(rest=f'say at-risk "x" say unproven "y" {REST.strip()}')))
    assert set(both.says) == {"fail", "at-risk", "unproven"}


def test_a_text_over_several_lines_is_refused_where_it_begins() -> None:
    """The place is the first line of what is wrong, however far it goes."""
    message, line, column = refused(reading() + '\n  title "again"\n    "and again"')
    assert message == 'found a second "title" clause, expected one'
    assert (line, column) == (4, 3)


@pytest.mark.parametrize(
    ("hole", "message"),
    [
        ("{width strap.margin}", 'found "{width strap.margin}" in the text'),
        ("{low strap margin}", 'found "{low strap margin}" in the text'),
        ("{}", 'found "{}" in the text'),
        ("{low strap.polarity}", "found a name, expected a quantity"),
    ],
)
def test_a_hole_names_one_thing_or_one_end_of_it(hole: str, message: str) -> None:
    """`{NAME}` or `{low NAME}`, `{nominal NAME}`, `{high NAME}`; anything else is refused."""
    assert refused(reading(rest=REST.replace("{subject}", hole)))[0].startswith(message)


def test_a_bare_zero_takes_the_unit_of_the_other_side() -> None:
    """0 is 0 in any unit, on either side; another bare number is not."""
    for require in ("supply.voltage > 0", "0 < supply.voltage", "max(0, supply.voltage) > 1 V"):
        assert only(rules(reading(require))).requires[0].names == ("supply.voltage",)
    for require in ("supply.voltage > 1", "1 < supply.voltage", "supply.voltage > 0 A"):
        assert "expected" in refused(reading(require))[0]
    knob = "knob least = 0 "
    assert "expected V" in refused(reading("supply.voltage > least", rest=knob + REST.strip()))[0]


@pytest.mark.parametrize(
    ("require", "fits"),
    [
        ("supply.voltage * supply.voltage / rate.resistance > 1 W", True),
        ("supply.voltage * supply.voltage / rate.resistance > 1 A", False),
        ("supply.voltage / rate.resistance > 1 uA", True),
        ("supply.voltage / supply.limit > 0.5", True),
        ("supply.voltage - supply.limit > 1 mV", True),
        ("-supply.voltage < 1 V", True),
        ("min(supply.voltage, supply.limit) > 1 V", True),
        ("low(supply.voltage) > 1 A", False),
        ("abs(rate.current) > 1 V", False),
    ],
)
def test_units_follow_the_arithmetic(require: str, fits: bool) -> None:
    """Volts squared over ohms are watts; volts over ohms amperes; what keeps its unit keeps it."""
    if fits:
        assert only(rules(reading(require))).requires[0].level == "error"
    else:
        assert "found this in" in refused(reading(require))[0] or "expected" in refused(reading(require))[0]


def test_the_facts_of_a_condition_come_once() -> None:
    """Each name once, in the order in which it is first written, those of the guard among them."""
    text = (
        "supply.voltage < supply.limit and known strap.code and supply.voltage > 1 V when stated rate.current"
    )
    found = only(rules(reading(text))).requires[0]
    assert names_in(found.condition) == ("supply.voltage", "supply.limit", "strap.code")
    assert sorted(found.names) == ["rate.current", "strap.code", "supply.limit", "supply.voltage"]
    assert found.guard is not None
    assert names_in(found.guard) == ("rate.current",)


@pytest.mark.parametrize(
    "subject",
    [
        "block",
        "block of oscillator, one-shot",
        "block of one-shot with strap, rate",
        "statement expect",
        "net",
    ],
)
def test_a_rule_says_what_it_speaks_of_as_it_was_written(subject: str) -> None:
    """Functions, roles and the kind of statement stand in the printed `for` clause; nothing else does."""
    require = "known net.pins" if subject == "net" else "known board.blocks"
    found = only(rules(reading(require, subject)))
    assert subject_text(found) == subject
    assert dict(describe_rule(found))["for"] == subject


def test_a_rule_s_levels_are_told() -> None:
    """What is unproven is a warning unless the rule says otherwise; at-risk likewise."""
    told = dict(describe_rule(only(rule("require strap.open else error"))))
    assert told["unproven"] == "warning"
    assert told["require"] == "strap.open else error at-risk warning"
    other = only(rules(reading("strap.open", rest=f"at-risk note unproven error {REST.strip()}")))
    assert dict(describe_rule(other))["unproven"] == "error"
    assert dict(describe_rule(other))["require"] == "strap.open else error at-risk note"


@pytest.mark.parametrize("tail", ["", "\n", "  \n\n"])
def test_a_file_that_ends_too_soon_is_refused_behind_its_last_word(tail: str) -> None:
    """The place is one past the end of the last line that says something."""
    message, line, column = refused(f"# a comment\nrule r title{tail}")
    assert message.startswith("found the end, expected")
    assert (line, column) == (2, len("rule r title") + 1)


def test_a_rule_on_lines_tells_its_level() -> None:
    """Its own where it has one, else that of the trouble itself; it has no unproven level."""
    text = 'rule x-y title "T" for line{} because "b" source "s"'
    own = dict(describe_rule(only(rules(text.format(" else note")))))
    assert own["level"] == "note"
    assert "unproven" not in own
    assert dict(describe_rule(only(rules(text.format("")))))["level"] == "as the trouble itself has it"
