"""A printed condition reads back as it was meant, and has no bracket too many."""

import re
from collections.abc import Iterator

import pytest

from drc.judge.explain import describe_rule, written
from drc.judge.parse import parse_rules
from drc.judge.rule import Tree
from drc.trouble import InputError
from tests.judge.stub import REST, only, rule, rules

FORMS = [
    "{} or {}", "{} and {}", "not {}", "{} < {}", "{} >= {}", "{} within {}", "{} is {}", "{} is not {}",
    "{} is one of ({}, {})", "{} .. {}", "{} +/- {}", "{} + {}", "{} - {}", "{} * {}", "{} / {}", "-{}",
    "min({}, {})", "abs({})",
]  # fmt: skip


def read(text: str) -> Tree:
    """An expression's tree, its names as facts."""
    (item,) = parse_rules(f"turn r k = {text}", "x.rule")
    return as_facts(item["value"])


def as_facts(tree: Tree) -> Tree:
    """The tree without places, each name a fact."""
    kind = "fact" if tree[0] == "name" else tree[0]
    parts = (as_facts(part) if isinstance(part, list) else part for part in tree[2:])
    return [kind, [0, 0, 0], *parts]


def nested(outer: str) -> Iterator[str]:
    """A form with every other in each of its places, in brackets; facts elsewhere."""
    names = [f"f{k}" for k in range(outer.count("{}"))]
    for place in range(len(names)):
        for inner in FORMS:
            within = inner.format(*(f"g{k}" for k in range(inner.count("{}"))))
            yield outer.format(*names[:place], f"({within})", *names[place + 1 :])


def with_a_pair_less(text: str) -> Iterator[str]:
    """The text without one pair of its brackets, for each pair that is no call's."""
    for match in re.finditer(r"(?<![a-z])\(", text):
        if text[: match.start()].endswith("one of "):
            continue
        depth, end = 0, match.start()
        for end in range(match.start(), len(text)):
            depth += {"(": 1, ")": -1}.get(text[end], 0)
            if depth == 0:
                break
        yield text[: match.start()] + text[match.start() + 1 : end] + text[end + 1 :]


def means(text: str) -> Tree | None:
    """What a text reads as, None where it is refused."""
    try:
        return read(text)
    except InputError:
        return None


@pytest.mark.parametrize("outer", FORMS)
def test_one_form_inside_another_reads_back(outer: str) -> None:
    """Brackets stand where they are needed and nowhere else: without any pair it means something else."""
    for text in nested(outer):
        tree = read(text)
        shown = written(tree)
        assert read(shown) == tree, shown
        assert all(means(less) != tree for less in with_a_pair_less(shown)), shown


@pytest.mark.parametrize(
    "condition",
    [
        "supply.voltage within 5 V +/- 5%",
        "supply.voltage within supply.limit +/- 0.25%",
        "supply.voltage within 5 V +/- 50 mV",
        "block.part is HA10",
        'block.part is "two words"',
        'block.part is "a.b"',
        "block.part is slug-of_9",
        r'block.part is "a \"b\" \\ c"',
        "strap.open is (supply.voltage < 1 V)",
        "(supply.voltage < 1 V) is strap.open",
        "strap.polarity is not inverted or strap.code is one of (1, 2, 3)",
    ],
)
def test_what_is_printed_is_the_same_condition(condition: str) -> None:
    """Shares of a value stay shares, names that are no words of the language are quoted."""
    if condition.endswith("HA10"):
        condition = condition.replace("HA10", '"HA10"')
    first = only(rule(f"require {condition} else error")).requires[0]
    shown = written(first.condition)
    assert shown == condition
    again = only(rule(f"require {shown} else error")).requires[0]
    assert written(again.condition) == shown


def test_a_rule_is_told_line_by_line() -> None:
    """Every label with its text, in the order what, for what, when, how judged, why; empty ones left out."""
    text = """rule near-end title "All is well" for block of one-shot with strap
        where known strap.ratio where not strap.open
        knob least = 0.1 steps knob most = 2 steps
        let room = strap.margin - least
        require room >= 0 steps when strap.polarity is normal else error
        require strap.margin < most else note
        unproven error say "x" advice "do this" remedy decade, rail because "why" source "where"
    """
    assert describe_rule(only(rules(text))) == [
        ("rule", "near-end"),
        ("title", "All is well"),
        ("for", "block of one-shot with strap"),
        ("where", "known strap.ratio"),
        ("where", "not strap.open"),
        ("knob least", "0.1 steps"),
        ("knob most", "2 steps"),
        (
            "require",
            "strap.margin - least >= 0 steps when strap.polarity is normal else error at-risk warning",
        ),
        ("require", "strap.margin < most else note at-risk note"),
        ("unproven", "error"),
        ("advice", "do this"),
        ("remedies", "decade, rail"),
        ("because", "why"),
        ("source", "where"),
        ("defined at", "book.rule:1:6"),
    ]
    plain = describe_rule(
        only(rules(f'rule r title "T" for board require known board.blocks else note {REST}'))
    )
    assert [label for label, _ in plain] == [
        "rule", "title", "for", "require", "unproven", "because", "source", "defined at",
    ]  # fmt: skip
