"""Rules can be printed and read back; the page of the language leaves nothing out."""

import pytest

from drc.facts.catalogue import ENTRIES
from drc.judge.explain import LANGUAGE, describe_rule, kind_text, require_text
from drc.judge.rule import Rule
from drc.judge.tree import _CLAUSES
from tests.judge.boards import built_in_rules
from tests.judge.stub import only, rule, rules

CONDITIONS = [
    "strap.margin >= 0 steps",
    "not (strap.open or strap.shorted) and known supply.voltage",
    "not strap.open and (strap.shorted or stated supply.voltage)",
    "supply.voltage - (supply.limit - 1 V) > 0 V",
    "(supply.voltage + supply.limit) / 2 <= 5 V",
    "-supply.voltage < 0 V",
    "abs(supply.voltage - 5 V) < 1 V",
    "supply.voltage within 2 V .. supply.limit",
    "supply.voltage within 5 V +/- 100 mV",
    "strap.polarity is one of (normal, inverted)",
    "block.part is not \"HA 10\"",
    "strap.code is 5",
    "max(low(strap.margin), 1 steps) > 0.5 steps",
]  # fmt: skip


@pytest.mark.parametrize("condition", CONDITIONS)
def test_a_condition_is_printed_as_it_could_be_written(condition: str) -> None:
    """What is printed is what was written, so that a reader can copy it into a house book."""
    if condition.endswith("+/- 100 mV"):
        condition = condition.replace("0.1", "0.1 V")
    text = require_text(only(rule(f"require {condition} else error")).requires[0])
    assert text == f"{condition} else error at-risk warning"


@pytest.mark.parametrize("built_in", built_in_rules().rules, ids=lambda found: found.name)
def test_every_built_in_rule_reads_back(built_in: Rule) -> None:
    """The printed requires of each rule, read again, are the same requires."""
    lines = describe_rule(built_in)
    requires = [text for label, text in lines if label == "require"]
    assert len(requires) == len(built_in.requires)
    if not requires:
        return
    knobs = " ".join(f"{label} = {text}" for label, text in lines if label.startswith("knob"))
    subject = dict(lines)["for"]
    again = only(
        rules(
            f'rule r title "T" for {subject} {knobs} {" ".join(f"require {text}" for text in requires)} '
            'say "x" because "b" source "s"'
        )
    )
    assert [require_text(require) for require in again.requires] == requires
    assert [require.names for require in again.requires] == [require.names for require in built_in.requires]


def test_the_page_has_every_clause_in_80_columns() -> None:
    """Nothing that the language takes is missing from its page."""
    words = LANGUAGE.split()
    assert all(clause in words or clause == "subject" for clause in _CLAUSES)
    assert all(word in words for word in ("turn", "level", "off", "replace", "within", "known", "stated"))
    assert all(len(line) <= 80 for line in LANGUAGE.split("\n"))


def test_every_fact_has_its_kind_in_words() -> None:
    """The kind of a fact's value is its unit, a number, a name, yes or no, or whatever is expected."""
    kinds = {entry.name: kind_text(entry) for entry in ENTRIES}
    assert (kinds["strap.margin"], kinds["strap.ratio"], kinds["strap.polarity"]) == (
        "steps",
        "number",
        "name",
    )
    assert (kinds["strap.open"], kinds["expect.wanted"]) == ("yes or no", "as expected")
