"""Trimmers that `adjust` speaks of: some one setting of each must do for all that is expected together."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from drc.circuit.spread import Cause
from drc.facts.adjusted import Goal, best_setting
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, fact
from drc.facts.expect import FACTS, book_under, fact_name, in_points
from drc.facts.functions import finite
from drc.facts.model import Fact, Subject, Unknown
from drc.facts.strap import strap_ratio
from drc.facts.timing import timing_law
from drc.facts.travel import SETTING
from drc.facts.trim import Aim, Trim
from drc.intent.match import matches
from drc.intent.model import Adjust, Assume, Expect
from drc.quantity.span import Span
from drc.quantity.text import format_span

BUILT = (" timing error", " rate voltage", " duty error", " threshold", " ladder")
"""Ends of the names of causes that a part is built with, beside the tolerances of elements."""

Measured = Callable[[Book, Subject], Fact]
"""What a statement's block does on a board, under the statement's condition."""


class Plan(NamedTuple):
    """The settings on each board, what is to be said of them, and the aims by statement and block."""

    trim: Trim
    said: str
    aims: Mapping[tuple[str, str], Dependence]


def with_trimmers(book: Book, subject: Subject, measured: Measured) -> Fact:
    """What `measured` gives with the board's trimmers set as well as they can be.

    Where laws tell how the expected quantities move with the settings, a setting is worked out for each
    board built, and takes up its tolerances. Else, where a setting may change a strap code or states, one
    setting is searched for that does with the tolerances as they are.
    """
    if not any(isinstance(s, Adjust) for s in book.intent.statements):
        return measured(book, subject)
    plan = book.once(("trimmers",), lambda: _plan(book))
    if isinstance(plan, Unknown):
        return best_setting(book, _goals(book, subject, measured), lambda b: measured(b, subject))
    quantity = None if plan is None else plan.aims.get((subject.path, str(subject.place)))
    if plan is None or quantity is None:
        return measured(book, subject)
    assert isinstance(subject.statement, Expect)
    assert subject.block is not None
    method = subject.statement.method or "extreme"
    found = fact(fact_name(subject.statement), plan.trim.trimmed(quantity), book.options, method)
    return finite(subject.block, found._replace(law=f"{found.law}; {plan.said}"))


def _goals(book: Book, subject: Subject, measured: Measured) -> tuple[Goal, ...]:
    """What is expected of the subject's block, and how each is measured."""
    assert subject.block is not None
    return tuple(
        Goal(wanted, lambda b, each=each: measured(b, each))  # type: ignore[misc]
        for each in book.subjects("statement")
        if each.block is not None
        and each.block.path == subject.block.path
        and isinstance(each.statement, Expect)
        and isinstance(wanted := in_points(each.statement), Span)
    )


def _plan(book: Book) -> Plan | Unknown | None:
    """The aims of all expectations that trimmers bear on, None if on none; Unknown where laws do not tell."""
    aims: dict[tuple[str, str], Aim] = {}
    settings: dict[str, Cause] = {}
    for subject in book.subjects("statement"):
        wanted = in_points(subject.statement) if isinstance(subject.statement, Expect) else ""
        quantity = _law(book, subject) if isinstance(wanted, Span) else None
        if isinstance(quantity, Unknown):
            return quantity
        turned = {} if quantity is None else _turned(book, quantity)
        if quantity is not None and turned and isinstance(wanted, Span):
            settings |= turned
            aims[subject.path, str(subject.place)] = Aim(quantity, wanted)
    if not aims:
        return None
    paths = tuple(name.removesuffix(SETTING) for name in settings)
    elements = {each.path for each in book.board.circuit.elements()}
    trim = Trim(
        tuple(aims.values()),
        tuple(settings.values()),
        lambda cause: not cause.bias and (cause.name in elements or cause.name.endswith(BUILT)),
    )
    trim = trim.allowing(book.options)
    spans = zip(paths, trim.turned(book.options), strict=True)
    settled = ", ".join(f"{path} to {format_span(span)}" for path, span in spans)
    said = f"each board set at 25 degC and nominal supply: {settled}"
    return Plan(trim, said, {key: aim.quantity for key, aim in aims.items()})


def _law(book: Book, subject: Subject) -> Dependence | Unknown | None:
    """The law of what is expected; None where it is not known anyway, Unknown where no law tells it."""
    expect, block = subject.statement, subject.block
    assert isinstance(expect, Expect)
    assert block is not None
    under = book_under(book, expect.condition)
    if isinstance(under, Unknown):
        return None
    ratio = strap_ratio(under, block)
    if isinstance(ratio, Dependence) and _turned(book, ratio):
        return Unknown(f"a trimmer bears on the strap of {block.path}")
    name = FACTS[expect.quantity]
    if not name.startswith("timing."):
        return None
    found = timing_law(under, block, name.removeprefix("timing."))
    if found is None or isinstance(found, States):
        return Unknown(f"no one law gives the {expect.quantity} of {block.path}")
    return found if isinstance(found, Dependence) else None


def _turned(book: Book, quantity: Dependence) -> dict[str, Cause]:
    """The causes of a quantity that are trimmers to be set; what all settings must suit is none."""
    stated = book.intent.statements
    adjusts = [s.element for s in stated if isinstance(s, Adjust)]
    fixed = [s.element for s in stated if isinstance(s, Assume) and s.value is not None]
    found: dict[str, Cause] = {}
    for cause in quantity.causes:
        path = cause.name.removesuffix(SETTING)
        if path != cause.name and any(matches(p, path) for p in adjusts):
            found |= {} if any(matches(p, path) for p in fixed) else {cause.name: cause}
    return found
