"""What a block is wanted to do, put together from the statements about it, for the search of values."""

from collections.abc import Sequence
from typing import NamedTuple

from drc.blocks.model import Block, Code
from drc.facts.book import Book
from drc.facts.intended import turn
from drc.facts.model import Unknown
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.quantity.unit import SECOND

_TIMES = frozenset({"period", "pulse-width", "delay", "delay-rising", "delay-falling"})


class Goal(NamedTuple):
    """The rows of the code table that the statements allow, and the wanted output time, s.

    `turned` are rows of the other polarity than now, where no statement speaks of polarity: only an
    exchange of resistors leads there, no choice of values.
    """

    rows: tuple[Code, ...]
    turned: tuple[Code, ...]
    time_s: Span | None


def goal_of(book: Book, block: Block, code: int | None) -> Goal:
    """The goal of a block; `code` is what its strap reads now, kept where no statement wants another."""
    wants = [expect for expect in stated_of(book, block) if expect.condition is None]
    time = next((t for t in map(time_of, wants) if t is not None), None)
    rows = tuple(row for row in block.part.codes if all(_allows(e, row) for e in wants))
    turned: tuple[Code, ...] = ()
    free = time is None and not any(e.quantity in ("code", "prescale", "polarity") for e in wants)
    if free:
        now = next((row for row in rows if row.code == code), None)
        rows = tuple(row for row in rows if row.code == code)
        if now is not None and _turned_round(book, block):
            rows = tuple(r for r in block.part.codes if _mirrors(r, now))
    elif not any(e.quantity in ("code", "polarity") for e in wants):
        now = next((row for row in block.part.codes if row.code == code), None)
        turned = tuple(row for row in rows if now is not None and row.inverted != now.inverted)
        rows = tuple(row for row in rows if row not in turned)
    return Goal(rows, turned, time)


def rows_allowed(block: Block, wants: Sequence[Expect]) -> tuple[Code, ...]:
    """The rows of a block's code table that some wants allow."""
    return tuple(row for row in block.part.codes if all(_allows(want, row) for want in wants))


def stated_of(book: Book, block: Block) -> list[Expect]:
    """What is expected of a block."""
    statements = (
        subject.statement
        for subject in book.subjects("statement")
        if subject.block is not None and subject.block.path == block.path
    )
    return [each for each in statements if isinstance(each, Expect)]


def time_of(expect: Expect) -> Span | None:
    """The wanted time, s: of a frequency its period. Seldom one-sided; then None."""
    wanted = expect.wanted
    if not isinstance(wanted, Span) or wanted.low <= 0 or wanted.high == float("inf"):
        return None
    if expect.quantity in _TIMES:
        return wanted
    if expect.quantity == "frequency":
        return Span(1 / wanted.high, 1 / wanted.middle, 1 / wanted.low, SECOND)
    return None


def _turned_round(book: Book, block: Block) -> bool:
    """Whether a control turns the duty the other way than two statements want, as the other polarity does."""
    found = turn(book, block)
    if isinstance(found, Unknown) or found.quantity != "duty":
        return False
    return {found.wanted, found.actual} == {"rises", "falls"}


def _mirrors(row: Code, now: Code) -> bool:
    """Whether a row of the code table is another one in its polarity alone."""
    return row.prescale == now.prescale and row.inverted != now.inverted and row.when == now.when


def _allows(expect: Expect, row: Code) -> bool:
    """Whether a row of the code table does what one statement wants of code, prescale and polarity."""
    wanted = expect.wanted
    if expect.quantity == "polarity":
        return wanted == ("inverted" if row.inverted else "normal")
    if expect.quantity == "rest" and row.rest is not None:
        return wanted == row.rest
    if isinstance(wanted, Span) and expect.quantity in ("code", "prescale"):
        return wanted.low <= (row.code if expect.quantity == "code" else row.prescale) <= wanted.high
    return True
