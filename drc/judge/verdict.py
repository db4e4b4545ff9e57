"""The verdict of one rule on one subject."""

from itertools import product
from typing import NamedTuple

from drc.blocks.model import Block
from drc.facts.model import Cases, Subject
from drc.judge.model import BROKEN, Verdict
from drc.judge.program import Condition, Program, Values
from drc.judge.rule import Require, Rule
from drc.judge.truth import TRUE, UNKNOWN, Truth, both
from drc.trouble import LEVELS, Level

WORLDS = 64
"""Combinations of labelled cases that are tried; beyond, a condition is unknown."""


class Outcome(NamedTuple):
    """What a rule makes of a subject, by its gravest require.

    `names` are the facts that decided; `values` are those of the labelled state that decided, where facts
    come as cases, and `state` says which, "" without cases.
    """

    verdict: Verdict
    level: Level = "note"
    names: tuple[str, ...] = ()
    values: Values | None = None
    state: str = ""


PASS = Outcome("pass")
NOT_APPLICABLE = Outcome("not-applicable")


def judge(program: Program, subject: Subject, values: Values) -> Outcome:
    """One rule on one subject: its gravest require (level first, then fail, at-risk, unproven)."""
    rule = program.rule
    block = subject.block
    if block is not None and not _meant(rule, block):
        return NOT_APPLICABLE
    for where in program.wheres:
        holds = _holds(where, values, rule.where_names)
        if holds is False:
            return NOT_APPLICABLE
        if holds is None:
            return Outcome("unproven", rule.unproven, rule.where_names, values)
    gravest = NOT_APPLICABLE
    for require, guard, condition in program.requires:
        applies = True if guard is None else _holds(guard, values, require.names)
        if applies is False:
            continue
        if applies is None:
            here = Outcome("unproven", rule.unproven, require.names, values)
        else:
            here = _required(require, condition, values, rule.unproven)
        if gravest is NOT_APPLICABLE or _weight(here) > _weight(gravest):
            gravest = here
    return gravest


def _holds(condition: Condition, values: Values, names: tuple[str, ...]) -> bool | None:
    """Whether a condition of `where` or `when` holds at nominal: in every labelled case of these facts."""
    truth = condition(values)
    if truth.nominal is None:
        truth = _in_every_case(condition, values, names)[0]
    return truth.nominal


def _meant(rule: Rule, block: Block) -> bool:
    """Whether the rule's functions and roles take in this block."""
    meant = not rule.functions or block.part.function in rule.functions
    return meant and block.pins.keys() >= set(rule.roles)


def _required(require: Require, condition: Condition, values: Values, unproven: Level) -> Outcome:
    """One require's verdict and level."""
    truth = condition(values)
    state = ""
    if not values.cased.isdisjoint(require.names):
        truth, values, state = _in_every_case(condition, values, require.names)
    if truth.nominal is False:
        return Outcome("fail", require.level, require.names, values, state)
    if truth.nominal is None or truth.over == "unknown":
        return Outcome("unproven", unproven, require.names, values, state)
    if truth.over != "always":
        return Outcome("at-risk", require.at_risk, require.names, values, state)
    return PASS


def _weight(outcome: Outcome) -> tuple[int, ...]:
    """Level first, then the verdict; a pass weighs nothing."""
    if outcome is PASS:
        return ()
    return LEVELS.index(outcome.level), BROKEN.index(outcome.verdict)


def _in_every_case(condition: Condition, values: Values, names: tuple[str, ...]) -> tuple[Truth, Values, str]:
    """The condition's truth in every combination of labelled cases, and the state that is worst.

    Facts with the same labels are in the same state together.
    """
    cased = {name: value for name in names if isinstance(value := values[name], Cases)}
    axes: dict[tuple[str, ...], list[str]] = {}
    for name, cases in cased.items():
        axes.setdefault(tuple(case.label for case in cases.cases), []).append(name)
    count = 1
    for labels in axes:
        count *= len(labels)
    if not 0 < count <= WORLDS:
        return UNKNOWN, values, ""
    found: list[tuple[Truth, Values, str]] = []
    for picked in product(*(range(len(labels)) for labels in axes)):
        chosen = dict(zip(axes, picked, strict=True))
        at = {name: cased[name].cases[chosen[labels]].value for labels in axes for name in axes[labels]}
        world = values.copy_with(at)
        state = ", ".join(labels[index] for labels, index in chosen.items())
        found.append((condition(world), world, state))
    truth = TRUE
    for here, _, _ in found:
        truth = both(truth, here)
    _, world, state = min(found, key=lambda each: _goodness(each[0]))
    return truth, world, state


def _goodness(truth: Truth) -> tuple[bool, bool, bool]:
    """False before unknown before true at nominal, then whether it holds over the span."""
    return truth.nominal is not False, truth.nominal is True, truth.over == "always"
