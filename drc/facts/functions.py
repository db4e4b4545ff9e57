"""The timing facts that each function has, and how each is computed by a method."""

from collections.abc import Callable, Mapping
from functools import cache
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block, Function
from drc.facts.book import Book
from drc.facts.dependence import Quantity, fact
from drc.facts.model import Fact, Unknown
from drc.intent.model import Method
from drc.quantity.unit import HERTZ

Compute = Callable[[Book, Block, str, Method], Fact]


class Timed(NamedTuple):
    """How a timing fact is computed by a method, and the law behind it; None where no one law gives it."""

    fact: Compute
    law: Callable[[Book, Block], Quantity | None]


def called(function: str) -> str:
    """A function with its article, as it is spoken: `an oscillator`, `a one-shot`."""
    return f"{'an' if function in ('oscillator', 'edge-delay', 'rc-timer') else 'a'} {function}"


@cache
def quantities(function: Function) -> Mapping[str, Timed]:
    """How the timing facts of a function are computed, by the quantity's name.

    A function's module is imported when a block of it is met: start-up is a budget.
    """
    return {
        "oscillator": _oscillator,
        "slow-oscillator": _oscillator,
        "pulse-modulator": _pulse_modulator,
        "one-shot": _one_shot,
        "edge-delay": _edge_delay,
        "rc-timer": _rc_timer,
    }[function]()


def _oscillator() -> Mapping[str, Timed]:
    from drc.facts import oscillator

    return {"frequency": by_method(oscillator.frequency), "period": by_method(oscillator.period)}


def _pulse_modulator() -> Mapping[str, Timed]:
    from drc.facts import pulse_modulator

    return {**_oscillator(), "duty": by_method(pulse_modulator.duty)}


def _one_shot() -> Mapping[str, Timed]:
    from drc.facts import one_shot

    return {
        "pulse_width": by_method(one_shot.pulse_width),
        "period": _counted(one_shot.output_period),
        "frequency": _counted(one_shot.output_frequency),
    }


def _edge_delay() -> Mapping[str, Timed]:
    from drc.facts import edge_delay

    return {
        "delay": by_method(edge_delay.delay),
        "delay_rising": by_method(edge_delay.delay_rising),
        "delay_falling": by_method(edge_delay.delay_falling),
    }


def _rc_timer() -> Mapping[str, Timed]:
    from drc.facts import one_shot, rc_timer

    def cycles_or(cycles: Timed, triggered: Compute) -> Timed:
        """Its own cycles, or of a one-shot those that its trigger makes it do."""

        def is_one(book: Book, block: Block) -> bool:
            found = rc_timer.wired(book, block)
            return not isinstance(found, Unknown) and found.kind == "one-shot"

        def compute(book: Book, block: Block, name: str, method: Method) -> Fact:
            return (triggered if is_one(book, block) else cycles.fact)(book, block, name, method)

        return Timed(compute, lambda book, block: None if is_one(book, block) else cycles.law(book, block))

    return {
        "frequency": cycles_or(by_method(rc_timer.frequency), one_shot.output_frequency),
        "period": cycles_or(by_method(rc_timer.period), one_shot.output_period),
        "duty": by_method(rc_timer.duty),
        "pulse_width": by_method(rc_timer.pulse_width),
        "high": by_method(rc_timer.high_time),
        "low": by_method(rc_timer.low_time),
        "first_high": by_method(rc_timer.first_high_time),
    }


def by_method(quantity: Callable[[Book, Block], Quantity]) -> Timed:
    """The fact of a quantity by any of the three methods."""
    what = f"{quantity.__module__}.{quantity.__name__}"

    def law(book: Book, block: Block) -> Quantity:
        return book.once((what, block.path), lambda: quantity(book, block))

    def compute(book: Book, block: Block, name: str, method: Method) -> Fact:
        return finite(block, fact(name, law(book, block), book.options, method))

    return Timed(compute, law)


def _counted(compute: Compute) -> Timed:
    """A fact that is counted in whole periods of something else: no one law gives it."""
    return Timed(compute, lambda _, __: None)


def finite(block: Block, found: Fact) -> Fact:
    """Unknown in place of a time that nominally never ends; a note where an oscillator may stand still."""
    span = found.span
    if span is None or span.nominal is None:
        return found
    if span.low == 0 and span.unit == HERTZ:
        return found._replace(law=f"{found.law}; where the rate current reaches zero it stands still")
    if not np.isinf(span.nominal):
        return found
    because = f"no current flows out of the rate pin of {block.path}: it stands still"
    missing = "rate.current"
    if block.part.function == "rc-timer":
        because = f"the capacitor of {block.path} settles short of the threshold: its time never ends"
        missing = f"{block.path} timing network"
    return found._replace(value=Unknown(because, (missing,)))
