"""The settings of trimmers and potentiometers: what a statement lets an element's value run over."""

import re

from drc.circuit.model import Element
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, constant, input_of, varying
from drc.facts.model import Unknown
from drc.facts.stated import about_element
from drc.intent.match import matches
from drc.intent.model import Adjust, Assume
from drc.quantity.span import Span
from drc.quantity.text import format_span

SETTING = " setting"
"""How the cause is called that a trimmer is: `RV1 setting`; of several elements, by their pattern."""

_HALF = re.compile(r"(.+[0-9])(?:[._-]?[ABab]|[_-][12])")
"""A potentiometer's name and the mark of its half: `RV1A`, `RV1_2` (common practice, no source)."""


def setting(book: Book, element: Element) -> Dependence | None:
    """A value that a statement gives: any setting of a trimmer in a span, in the span's unit.

    Two elements of one statement that share a net, and a name but for the mark of a half (`RV1A`, `RV1B`),
    are one potentiometer: what the first gains the second loses. What one `adjust` statement speaks of else
    is ganged, and turned together; `assume` lets each be at a setting of its own.
    """
    settings: list[Assume | Adjust] = [*about_element(book, Assume, element)]
    settings += about_element(book, Adjust, element)
    for statement in settings:
        span = statement.value
        if span is None:
            continue
        evidence = input_of(element.path, format_span(span), "statement", statement.place)
        if span.low == span.high:
            return constant(span.low, span.unit, evidence, text=element.path)
        pair = halves(book, statement)
        ganged = pair is not None or (isinstance(statement, Adjust) and "*" in statement.element.text)
        name = statement.element.text if ganged else element.path
        turned = varying(f"{name}{SETTING}", span, evidence, bias=True)
        if pair is None or element.path != pair[1]:
            return turned
        return _second_half(turned, span, element)
    return None


def _second_half(first: Dependence, travel: Span, element: Element) -> Dependence:
    """What the first half leaves of the whole."""
    whole = travel.low + travel.high
    return combine(lambda ohm: whole - ohm, first, unit=travel.unit, text=element.path)


def halves(book: Book, statement: Assume | Adjust) -> tuple[str, str] | None:
    """The paths of the two halves of the potentiometer that a statement speaks of; None where of none."""
    text = statement.element.text
    if statement.element.literal or "*" not in text:
        return None
    found = book.once(("halves", str(statement.place), text), lambda: _halves(book, statement))
    return None if isinstance(found, Unknown) else found


def _halves(book: Book, statement: Assume | Adjust) -> tuple[str, str] | None:
    meant = [e for e in book.board.circuit.elements() if matches(statement.element, e.path)]
    if len(meant) != 2 or any(e.kind != "R" or len(e.nets) != 2 for e in meant):
        return None
    first, second = meant
    joined = len(set(first.nets) & set(second.nets)) == 1
    parts = [_HALF.fullmatch(each.path) for each in (first, second)]
    stems = {part[1].lower() for part in parts if part}
    return (first.path, second.path) if joined and all(parts) and len(stems) == 1 else None
