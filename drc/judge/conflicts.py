"""Statements that contradict each other."""

from collections.abc import Iterator
from math import inf

from drc.intent.model import (
    Adjust,
    Ambient,
    Assume,
    Expect,
    Fit,
    Intent,
    NotSupply,
    Statement,
    Supply,
)
from drc.quantity.span import Span
from drc.quantity.unit import HERTZ
from drc.trouble import Trouble


def contradictory(intent: Intent) -> tuple[Trouble, ...]:
    """Statements that cannot both be meant: each later one, with the place of the earliest on its subject."""
    found = []
    first: dict[tuple[str, ...], Statement] = {}
    for later in intent.statements:
        for key in _subjects(later):
            earlier = first.setdefault(key, later)
            why = "" if earlier is later else _against(earlier, later)
            if why:
                both = f'found "{shortened(later.text)}" against "{shortened(earlier.text)}" ({why})'
                kind, message = "contradictory-statements", f"{both}, expected one of them"
                line = " " * (later.place.column - 1) + later.text
                found.append(Trouble(kind, "error", later.place, message, line, (earlier.place,)))
    return tuple(found)


def _subjects(statement: Statement) -> Iterator[tuple[str, ...]]:
    """What a statement fixes, where a second one could say otherwise; names with stars fix nothing alone."""
    if isinstance(statement, (Supply, NotSupply)):
        name, kind = statement.net, "rail"
    elif isinstance(statement, Adjust) or (isinstance(statement, Assume) and statement.value is not None):
        name, kind = statement.element, "value"
    elif isinstance(statement, Fit):
        name, kind = statement.element, "fit"
    elif isinstance(statement, Expect):
        quantity = "frequency" if statement.quantity == "period" else statement.quantity
        name, kind = statement.block, f"{quantity} {statement.condition}"
    else:
        if isinstance(statement, Ambient):
            yield ("ambient",)
        return
    if name.literal or "*" not in name.text:
        yield (kind, name.text.casefold())


def _against(earlier: Statement, later: Statement) -> str:
    """Why two statements about one thing cannot both be meant, "" where they can."""
    if type(earlier) is not type(later):
        return (
            "a rail and no rail" if isinstance(later, (Supply, NotSupply)) else "some setting, and every one"
        )
    if isinstance(earlier, Expect) and isinstance(later, Expect):
        return _expected_otherwise(_as_frequency(earlier), _as_frequency(later))
    if isinstance(earlier, Fit) and isinstance(later, Fit):
        return "fitted and not fitted" if earlier.fitted != later.fitted else ""
    return "two different values" if _said(earlier) != _said(later) else ""


def _said(statement: Statement) -> Span | None:
    """The span that a statement gives."""
    if isinstance(statement, Supply):
        return statement.voltage
    if isinstance(statement, Ambient):
        return statement.span
    return statement.value if isinstance(statement, (Assume, Adjust)) else None


def _as_frequency(expect: Expect) -> Span | str:
    """What is wanted; a period as the frequency that it comes to."""
    wanted = expect.wanted
    if expect.quantity != "period" or not isinstance(wanted, Span):
        return wanted
    low, high = (1 / end if end > 0 else inf for end in (wanted.high, wanted.low))
    return Span(low, None, high, HERTZ)


def _expected_otherwise(one: Span | str, other: Span | str) -> str:
    """Whether no value meets both of two expectations."""
    if isinstance(one, Span) and isinstance(other, Span):
        apart = one.high < other.low or other.high < one.low
    else:
        apart = one != other
    return "no value meets both" if apart else ""


def shortened(text: str) -> str:
    """A statement's text, cut where it is long."""
    return text if len(text) <= 60 else f"{text[:57]}..."
