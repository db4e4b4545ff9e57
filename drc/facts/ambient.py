"""The temperature that the board works at."""

from drc.facts.book import Book
from drc.facts.dependence import Dependence, constant, input_of, varying
from drc.facts.model import Unknown
from drc.facts.stated import statements
from drc.intent.model import Ambient
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import CELSIUS

REFERENCE = 25.0
"""Temperature at which values and part errors are given, degC."""


def ambient(book: Book) -> Dependence:
    """Ambient temperature, degC: a bias named `ambient`, nominal 25; assumed to be 25 if nothing says."""
    result = book.once(("ambient", "board"), lambda: _ambient(book))
    assert not isinstance(result, Unknown)  # it asks for nothing
    return result


def _ambient(book: Book) -> Dependence:
    """By statement, by settings, or 25 degC."""
    statement = next(statements(book, Ambient), None)
    if statement is not None:
        span, origin, place = statement.span, "statement", statement.place
    elif book.options.ambient is not None:
        span, origin, place = book.options.ambient, "settings", None
    else:
        stated = input_of("ambient", "25 degC", "default")
        return constant(REFERENCE, CELSIUS, stated, text="ambient")._replace(
            assumptions=("ambient 25 degC assumed",)
        )
    evidence = input_of("ambient", format_span(span), origin, place)
    if span.low == span.high == REFERENCE:
        return constant(REFERENCE, CELSIUS, evidence, text="ambient")
    return varying("ambient", Span(span.low, REFERENCE, span.high, CELSIUS), evidence, bias=True)
