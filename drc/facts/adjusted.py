"""The setting of trimmers that suits an expectation best: `adjust` asks that some setting does."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from drc.facts.travel import halves
from drc.intent.match import matches
from drc.intent.model import Adjust, Assume, Pattern
from drc.quantity.span import Span, exact
from drc.quantity.text import format_value
from drc.quantity.unit import OHM

COARSE = 16
"""Steps over the whole travel of a trimmer before the search closes in."""

ROUNDS = 12
"""Halvings of the step after that: the travel is resolved to a part in 65,000."""

MOST = 6
"""The most trimmers that are searched together."""

PASSES = 2
"""How often each of several trimmers is turned in turn."""


class Setting(NamedTuple):
    """A trimmer at a value, ohm."""

    statement: Adjust
    ohm: float


class Goal(NamedTuple):
    """What is wanted of a quantity, and how it is measured on a board."""

    wanted: Span
    measure: Callable[[Book], Fact]


def best_setting(book: Book, goals: Sequence[Goal], measure: Callable[[Book], Fact]) -> Fact:
    """What `measure` gives of the board with its trimmers set as well for all goals as they can be.

    The margin, the smaller distance of a span's ends inside the wanted ones in half of what is wanted, the
    least over the goals, is searched for its maximum: over the travel in steps, then closing in.
    """
    named = {s.element.text.casefold(): s for s in reversed(book.intent.statements) if isinstance(s, Adjust)}
    trimmers = [s for s in reversed(named.values()) if _present(book, s)]
    if not trimmers:
        return measure(book)
    if len(trimmers) > MOST:
        because = f"{len(trimmers)} trimmers are to be adjusted, and no more than {MOST} are searched"
        return measure(book)._replace(value=Unknown(because, ("adjust",)))
    settings = [Setting(s, (s.value.low + s.value.high) / 2) for s in trimmers]
    for _ in range(PASSES if len(trimmers) > 1 else 1):
        for at in range(len(settings)):
            settings[at] = _turned(book, settings, at, lambda b: _least(goals, b))
    found = measure(_set(book, settings))
    said = ", ".join(f"{s.statement.element.text} set to {format_value(s.ohm, OHM)}" for s in settings)
    return found._replace(law=f"{found.law}; with {said}" if found.law else f"with {said}")


def _present(book: Book, statement: Adjust) -> bool:
    """Whether the board has what a statement speaks of; that it has not is told elsewhere."""
    pattern = statement.element
    found = book.once(
        ("to be adjusted", pattern.text, str(pattern.literal)),
        lambda: any(matches(pattern, element.path) for element in book.board.circuit.elements()),
    )
    return found is True


def _turned(book: Book, settings: list[Setting], at: int, margin: Callable[[Book], float]) -> Setting:
    """One trimmer at its best, the others as they are."""
    travel = settings[at].statement.value
    step = (travel.high - travel.low) / COARSE

    def judge(ohm: float) -> float:
        return margin(_set(book, [*settings[:at], settings[at]._replace(ohm=ohm), *settings[at + 1 :]]))

    best = _better((travel.low + k * step for k in range(COARSE + 1)), judge)
    for _ in range(ROUNDS):
        step /= 2
        around = (min(travel.high, max(travel.low, best + side * step)) for side in (0, -1, 1))
        best = _better(around, judge)
    return settings[at]._replace(ohm=best)


def _better(values: Iterable[float], judge: Callable[[float], float]) -> float:
    """The value that is judged highest, the first of equals."""
    return max(dict.fromkeys(values), key=judge)


def _set(book: Book, settings: list[Setting]) -> Book:
    """The book of the board with its trimmers at these settings."""
    fixed = tuple(each for setting in settings for each in _fixed(book, setting))
    intent = book.intent._replace(statements=(*fixed, *book.intent.statements))
    return book.under(intent)


def _fixed(book: Book, setting: Setting) -> Iterator[Assume]:
    """A trimmer at its setting; of a potentiometer's halves the second has what the first leaves."""
    statement, ohm = setting
    pair = halves(book, statement)
    elements = (statement.element,) if pair is None else tuple(Pattern(path, True) for path in pair)
    left = statement.value.low + statement.value.high - ohm
    for element, value in zip(elements, (ohm, left), strict=False):
        yield Assume(statement.place, statement.text, element, value=exact(value, OHM))


def _least(goals: Sequence[Goal], book: Book) -> float:
    """The least margin of the goals; minus infinity where one has no span."""
    spans = [(goal.wanted, goal.measure(book).span) for goal in goals]
    return min((_margin(span, wanted) for wanted, span in spans), default=0.0)


def _margin(found: Span | None, wanted: Span) -> float:
    """How far a span lies inside another, in half its width (of one side, its size)."""
    if found is None:
        return -math.inf
    half = (wanted.high - wanted.low) / 2
    size = (
        half if math.isfinite(half) else max((abs(e) for e in wanted[::2] if math.isfinite(e)), default=1.0)
    )
    return min(found.low - wanted.low, wanted.high - found.high) / (size or 1.0)
