"""One parsed rule, checked whole, as plain JSON that can be kept."""

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from drc.blocks.model import TIMING_FUNCTIONS
from drc.facts.model import Entry, Kind
from drc.intent.wording import refusal
from drc.judge.check import Checker, Names, facts_seen_from, names_in
from drc.judge.message import read_message
from drc.judge.model import RemedyName
from drc.judge.program import constant_span
from drc.judge.rule import Source, Tree, wrong
from drc.judge.tree import RuleTree
from drc.quantity.span import Span
from drc.trouble import InputError

ROLES = (
    "supply", "ground", "output", "rate", "strap", "nc", "control", "enable", "reset", "modulate", "trigger",
    "signal", "threshold", "discharge",
)  # fmt: skip
"""Every role that a pin may have."""

STATEMENTS = (
    "expect", "supply", "not-supply", "ramp", "signal", "load", "same", "ambient", "assume", "adjust", "fit",
    "accept",
)  # fmt: skip
"""The kinds of statements that a rule may be about, as types are named in drc/intent/model.py."""


LARGEST = 200
"""Terms of a let, those before it put in place: they must not double without end."""


def check_rule(item: RuleTree, source: Source, entries: Mapping[str, Entry]) -> dict[str, Any]:
    """A parsed rule, its names, kinds, units, roles and remedies checked, as JSON. Raises InputError."""
    subject = item["subject"]
    names = Names(facts_seen_from(subject["kind"], entries), {}, {})
    checker = Checker(source.text, source.path, names)
    _check_subject(item, source)
    knobs = {}
    for name, at, tree in item["knobs"]:
        _fresh(name, at, names, source)
        knobs[name] = constant(tree, source)
        names = names._replace(knobs=dict(knobs))
    checker.names = names
    lets: dict[str, tuple[Tree, Kind]] = {}
    for name, at, tree in item["lets"]:
        _fresh(name, at, checker.names, source)
        lets[name] = checker.expression(tree)
        if _size(lets[name][0]) > LARGEST:
            message = f"found more than {LARGEST} terms with the lets in it, expected a simpler expression"
            raise InputError(wrong(source.path, at, message, source.text))
        checker.names = names._replace(lets=dict(lets))
    wheres = [checker.condition(tree) for tree in item["where"]]
    says = {
        aspect: list(read_message(text, at, checker, subject["kind"]))
        for aspect, (text, at) in item["says"].items()
    }
    return {
        **item,
        "where": wheres,
        "where_names": names_in(*wheres),
        "knobs": {
            name: [span.low, span.nominal, span.high, list(span.unit.dimension)]
            for name, span in knobs.items()
        },
        "require": [_check_require(part, checker) for part in item["require"]],
        "says": says,
        "path": source.path,
    }


def constant(tree: Tree, source: Source) -> Span:
    """The value of a knob's expression, which may use quantities alone. Raises InputError."""
    checker = Checker(source.text, source.path, Names({}, {}, {}))
    checked, _ = checker.quantity(tree)
    return constant_span(checked)


def _size(tree: Tree) -> int:
    """Terms of an expression."""
    return 1 + sum(_size(part) for part in tree[2:] if isinstance(part, list) and isinstance(part[0], str))


def _fresh(name: str, at: list[int], names: Names, source: Source) -> None:
    """Refuses a knob or let whose name is taken, or could be a fact's."""
    if "." in name:
        raise InputError(
            wrong(source.path, at, f'found "{name}", expected a name without a dot', source.text)
        )
    if name in names.knobs or name in names.lets:
        raise InputError(
            wrong(source.path, at, f'found a second "{name}", expected another name', source.text)
        )


def _check_subject(item: RuleTree, source: Source) -> None:
    """Roles, functions, statements and remedies are out of closed lists; requires fit the subject."""
    subject = item["subject"]
    of = STATEMENTS if subject["kind"] == "statement" else TIMING_FUNCTIONS
    _known(subject["of"], of, source)
    _known(subject["with"], ROLES, source)
    _known(item.get("remedy", []), get_args(RemedyName), source)
    line = subject["kind"] == "line"
    if line == bool(item["require"]):
        message = (
            'found "require" in a rule for line, expected none: the trouble itself is the finding'
            if line
            else 'the rule has no "require" clause, expected at least one'
        )
        raise InputError(wrong(source.path, item["at"], message, source.text))
    if not line and "fail" not in item["says"]:
        message = 'the rule has no "say" clause, expected one: every finding says what was found'
        raise InputError(wrong(source.path, item["at"], message, source.text))
    for case in item["cases"]:
        if case["edit"] is None:
            message = 'the board has no "edit" after it, expected the one change that makes it hold'
            raise InputError(wrong(source.path, case["at"], message, source.text))


def _known(words: Iterable[list[Any]], choices: Iterable[str], source: Source) -> None:
    """Refuses a word that is not out of a closed list."""
    listed = tuple(choices)
    for word, at in words:
        if word not in listed:
            raise InputError(wrong(source.path, at, refusal(word, listed), source.text))


def _check_require(part: RuleTree, checker: Checker) -> dict[str, Any]:
    """A require with its condition and guard checked, and its at-risk level decided."""
    condition = checker.condition(part["if"])
    guard = None if part["when"] is None else checker.condition(part["when"])
    softer = part["at_risk"] or ("note" if part["else"] == "note" else "warning")
    names = names_in(condition) if guard is None else names_in(guard, condition)
    return {"if": condition, "when": guard, "else": part["else"], "at_risk": softer, "names": names}
