"""The temperature that the board works at."""

from drc.facts.book import Book
from drc.facts.dependence import Dependence, constant, input_of, varying
from drc.facts.model import Unknown
from drc.facts.stated import statements
from drc.intent.model import Ambient
from drc.quantity.span import Span, exact
from drc.quantity.text import format_span
from drc.quantity.unit import CELSIUS
from drc.trouble import Place

REFERENCE = 25.0
"""Temperature at which values and part errors are given, degC."""


def ambient(book: Book) -> Dependence:
    """Ambient temperature, degC: a bias named `ambient`, nominal 25; assumed to be 25 if nothing says."""
    result = book.once(("ambient", "board"), lambda: _ambient(book))
    assert not isinstance(result, Unknown)  # it asks for nothing
    return result


def stated_ambient(book: Book) -> tuple[Span, str, Place | None]:
    """The span of the board's ambient as it is stated, by what, and where; 25 degC by default."""
    statement = next(statements(book, Ambient), None)
    if statement is not None:
        return statement.span, "statement", statement.place
    if book.options.ambient is not None:
        return book.options.ambient, "settings", None
    return exact(REFERENCE, CELSIUS), "default", None


def _ambient(book: Book) -> Dependence:
    """From the reference to each end of what is stated, be it one temperature."""
    span, origin, place = stated_ambient(book)
    evidence = input_of("ambient", format_span(span), origin, place)
    if origin == "default":
        known = constant(REFERENCE, CELSIUS, evidence, text="ambient")
        return known._replace(assumptions=("ambient 25 degC assumed",))
    low, high = span.low, span.high
    if low == high:
        low, high = min(low, REFERENCE), max(high, REFERENCE)
    if low == high:
        return constant(REFERENCE, CELSIUS, evidence, text="ambient")
    return varying("ambient", Span(low, REFERENCE, high, CELSIUS), evidence, bias=True)
