"""What is stated of the board before, in the names of the board after: the same is asked of both."""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from drc.circuit.model import Circuit
from drc.gate.swap_match import Matched
from drc.intent.match import is_exact, matches
from drc.intent.model import (
    Accept,
    Adjust,
    Assume,
    Expect,
    Fit,
    Intent,
    Load,
    NotSupply,
    Pattern,
    Ramp,
    Same,
    Signal,
    Statement,
    Supply,
)
from drc.trouble import Place

_OF_A_NET = (Supply, NotSupply, Ramp, Signal, Load)
_OF_AN_ELEMENT = (Assume, Adjust, Fit)


class Carried(NamedTuple):
    """The statements for the board after, and notes about those that are left out or not heeded."""

    intent: Intent
    notes: tuple[str, ...]


def carried_intent(original: Intent, own: Intent, after: Circuit, match: Matched) -> Carried:
    """What is asked of the board before, asked of the one after in its own names.

    Expectations and surroundings are the original's; what describes a board's own elements (`assume`,
    `adjust`, `fit`) is its own, where it says any. A statement about something that is gone is left out, and
    told; an expectation stays, and is not met. What the board's own files say of something new is heeded;
    what they say otherwise than the original is not, and is told.
    """
    asked = [renamed(each, match) for each in original.statements]
    described = [each for each in own.statements if isinstance(each, _OF_AN_ELEMENT)]
    if described:
        asked = [each for each in asked if not isinstance(each, _OF_AN_ELEMENT)]
    kept = [each for each in asked if isinstance(each, Expect | Accept) or _is_there(each, after)]
    notes = [f"left out, the new board has no such thing: {each.text}" for each in asked if each not in kept]
    said = {_meaning(each) for each in kept}
    about = {name for each in kept for name in _about(each)}
    others = [each for each in own.statements if each not in described and _meaning(each) not in said]
    new = [each for each in others if _about(each) and not about & set(_about(each))]
    notes += [
        f"not heeded, the board before says otherwise: {each.text}" for each in others if each not in new
    ]
    return Carried(Intent((*kept, *described, *new), original.troubles), tuple(notes))


def renamed(statement: Statement, match: Matched) -> Statement:
    """A statement with each exact name as it is on the board after."""
    if isinstance(statement, Expect):
        condition = statement.condition
        if condition is not None:
            condition = condition._replace(subject=_named(condition.subject, match))
        return statement._replace(block=_named(statement.block, match), condition=condition)
    if isinstance(statement, Accept):
        return statement._replace(subject=_named(statement.subject, match))
    if isinstance(statement, Same):
        return statement._replace(nets=tuple(_named(net, match, net=True) for net in statement.nets))
    if isinstance(statement, _OF_AN_ELEMENT):
        return statement._replace(element=_named(statement.element, match))
    if isinstance(statement, _OF_A_NET):
        return statement._replace(net=_named(statement.net, match, net=True))
    return statement


def _named(pattern: Pattern, match: Matched, *, net: bool = False) -> Pattern:
    """A name as it is after; a pattern with a star stays."""
    if "*" in pattern.text and not pattern.literal:
        return pattern
    return pattern._replace(text=match.net(pattern.text) if net else match.after(pattern.text))


def _patterns(statement: Statement) -> tuple[Pattern, ...]:
    """The names that a statement is about."""
    if isinstance(statement, Expect):
        return (statement.block,)
    if isinstance(statement, Same):
        return statement.nets
    if isinstance(statement, _OF_AN_ELEMENT):
        return (statement.element,)
    return (statement.net,) if isinstance(statement, _OF_A_NET) else ()


def _about(statement: Statement) -> tuple[tuple[str, str], ...]:
    """What a statement says something of: its kind, and each of its names. None for an expectation."""
    if isinstance(statement, Expect | Accept):
        return ()
    names = [pattern.text.casefold() for pattern in _patterns(statement)] or [""]
    return tuple((type(statement).__name__, name) for name in names)


def _is_there(statement: Statement, circuit: Circuit) -> bool:
    """Whether every name of a statement means something on a board."""
    if isinstance(statement, _OF_AN_ELEMENT):
        return _any(statement.element, circuit.element, lambda: (each.path for each in circuit.elements()))
    return all(
        _any(pattern, circuit.net, lambda: (net.name for net in circuit.nets()))
        for pattern in _patterns(statement)
    )


def _any(pattern: Pattern, find: Callable[[str], object], names: Callable[[], Iterable[str]]) -> bool:
    """Whether a name or a pattern means any; all are gone through only for a star."""
    if is_exact(pattern):
        return find(pattern.text) is not None
    return any(matches(pattern, name) for name in names())


def _meaning(statement: Statement) -> tuple[object, ...]:
    """What a statement says, wherever it stands and however it is written."""
    said = statement._replace(text="", place=Place(""))
    names = tuple(pattern.text.casefold() for pattern in _patterns(statement))
    fields = {name: value for name, value in said._asdict().items() if not isinstance(value, Pattern)}
    return (type(statement).__name__, names, tuple(fields.items()))
