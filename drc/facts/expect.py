"""What an `expect` statement wants, and the board under its condition."""

from collections.abc import Mapping

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.model import Cases, Fact, Unknown
from drc.facts.running import stopped_while
from drc.facts.timing import METHODS
from drc.intent.match import matches
from drc.intent.model import Condition, Expect, Pattern, Signal, Supply
from drc.quantity.span import Span
from drc.quantity.unit import POINT, RATIO

FACTS: Mapping[str, str] = {
    "frequency": "timing.frequency",
    "period": "timing.period",
    "pulse-width": "timing.pulse_width",
    "delay": "timing.delay",
    "delay-rising": "timing.delay_rising",
    "delay-falling": "timing.delay_falling",
    "duty": "timing.duty",
    "prescale": "strap.prescale",
    "code": "strap.code",
    "polarity": "strap.polarity",
    "rest": "output.rest",
}
"""The fact behind each quantity that can be expected."""


def in_points(expect: Expect) -> Span | str:
    """What is wanted, a duty in points."""
    value = expect.wanted
    if isinstance(value, Span) and expect.quantity == "duty" and value.unit == RATIO:
        nominal = None if value.nominal is None else 100 * value.nominal
        return Span(100 * value.low, nominal, 100 * value.high, POINT)
    return value


def fact_name(expect: Expect) -> str:
    """The catalogue name of the quantity by the method that the statement names."""
    name = FACTS[expect.quantity]
    if not name.startswith("timing."):
        return name
    wanted_method = expect.method or "extreme"
    return name + next(suffix for suffix, (each, _) in METHODS.items() if each == wanted_method)


def book_under(book: Book, condition: Condition | None) -> Book | Unknown:
    """The book of the same board with a net held at the condition's voltage; itself where none is."""
    if condition is None:
        return book
    if not isinstance(condition.level, Span):
        if _driver(book, condition.subject) is None:
            return _matches_nothing(condition.subject)
        return book
    level, pattern = condition.level, condition.subject
    if not any(matches(pattern, net.name) for net in _nets(book, pattern)):
        return _matches_nothing(pattern)
    held = book.once(("held at", pattern.text, str(level)), lambda: _held(book, pattern, level))
    return held if isinstance(held, Book) else Unknown(held.because, held.missing)


def _held(book: Book, pattern: Pattern, level: Span) -> Book:
    """A book in which a net has this voltage, whatever else is stated of it."""
    kept = tuple(s for s in book.intent.statements if not (isinstance(s, Supply) and s.net == pattern))
    first = next(s.place for s in book.intent.statements if isinstance(s, Expect))
    held = Signal(first, f"when {pattern.text}", pattern, voltage=level)
    return book.under(book.intent._replace(statements=(held, *kept)))


def _nets(book: Book, pattern: Pattern) -> tuple[Net, ...]:
    """The nets that a pattern means: one by name, or every match."""
    circuit = book.board.circuit
    if "*" not in pattern.text:
        net = circuit.net(pattern.text)
        return () if net is None else (net,)
    return tuple(net for net in circuit.nets() if matches(pattern, net.name))


def _driver(book: Book, pattern: Pattern) -> str | None:
    """The path of the block whose output a condition holds, by its name or by its output's net."""
    for block in book.board.blocks:
        outputs = block.pins.get("output", ())
        if matches(pattern, block.path) or any(matches(pattern, net.name) for net in outputs):
            return block.path
    return None


def _matches_nothing(pattern: Pattern) -> Unknown:
    """The condition names nothing on the board."""
    return Unknown(f"the condition names {pattern.text}, which is not on this board", (pattern.text,))


def stopped(book: Book, block: Block, condition: Condition) -> str | None:
    """Why a block makes no time while another's output is at a level; None where that is not known to be."""
    driver = None if isinstance(condition.level, Span) else _driver(book, condition.subject)
    if driver is None or driver == block.path:
        return None
    role = stopped_while(book, block, driver, str(condition.level))
    return (
        None
        if role is None
        else f"{block.path} is stopped by its {role} pin while {driver} = {condition.level}"
    )


def only(found: Fact, book: Book, condition: Condition | None) -> Fact:
    """The states in which another block's output is at the condition's level."""
    if condition is None or not isinstance(found.value, Cases) or isinstance(condition.level, Span):
        return found
    name = f"{_driver(book, condition.subject)} = {condition.level}"
    held = tuple(case for case in found.value.cases if name in case.label.split(", "))
    if not held:
        return found
    return found._replace(value=held[0].value if len(held) == 1 else Cases(held))
