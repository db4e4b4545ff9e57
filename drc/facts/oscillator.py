"""Oscillators, slow ones and the carrier of pulse modulators: period, frequency and steering."""

from collections.abc import Mapping
from itertools import product
from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.clock import counted, each, edge_timing, with_offset
from drc.facts.dependence import Dependence, Quantity, States, combine, constant, input_of, missing
from drc.facts.model import Input, Unknown
from drc.facts.part_error import SLACK
from drc.facts.rate import rate_current, rate_current_when
from drc.facts.region import thevenin
from drc.facts.stated import about_net
from drc.intent.model import Signal
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import AMPERE, HERTZ, VOLT


class Steering(NamedTuple):
    """The two ends of an oscillator's range, the slow one first, and the nets that a voltage steers it by."""

    slow: Dependence
    fast: Dependence
    nets: tuple[str, ...]


def period(book: Book, block: Block) -> Quantity:
    """Period of the output, mean, s. Infinite where the rate current stops."""
    return _period(book, block, None)


def frequency(book: Book, block: Block) -> Quantity:
    """Frequency of the output, Hz: 1 / T; 0 where the rate current stops."""
    return _frequency(_period(book, block, None))


def steering(book: Book, block: Block) -> Steering | Unknown:
    """Frequency at the ends of what is declared of the nets that steer the rate pin.

    Unknown where nothing steers it, or where the current cannot be solved.
    """
    ends = _control_ends(book, block)
    if isinstance(ends, Unknown):
        return ends
    if not ends:
        return _by_states(frequency(book, block))
    found: list[tuple[float, Dependence]] = []
    for choice in product(*ends.values()):
        held = dict(zip(ends, choice, strict=True))
        current = rate_current_when(book, block, held)
        there = _frequency(_period(book, block, current))
        if not isinstance(there, Dependence) or not isinstance(current, Dependence):
            return there if isinstance(there, Unknown) else _by_states(there)
        noted = _noted(block, held, current)
        found.append((there.nominal, there._replace(text=f"{there.text}; {noted}")))
    found.sort(key=lambda pair: pair[0])
    return Steering(found[0][1], found[-1][1], tuple(ends))


def steering_zero(book: Book, block: Block) -> Quantity:
    """The control voltage at which the rate current reaches zero and the oscillator stands still, V.

    The current is a straight line in one control voltage: V0 = V1 + I1 (V2 - V1) / (I1 - I2).
    """
    ends = _control_ends(book, block)
    if isinstance(ends, Unknown):
        return ends
    if len(ends) != 1:
        return Unknown("no single net steers the rate pin", ("control signal",))
    net, (first, second) = next(iter(ends.items()))
    v1, v2 = first.nominal, second.nominal
    currents = [rate_current_when(book, block, {net: end}) for end in (first, second)]
    unknown = missing(*currents)
    if unknown is not None:
        return unknown
    lines = [current for current in currents if isinstance(current, Dependence)]
    if len(lines) != 2:
        return Unknown(f"the rate current of {block.path} takes states")
    return combine(
        lambda i1, i2: v1 + i1 * (v2 - v1) / (i1 - i2),
        *lines,
        unit=VOLT,
        text=f"I = 0 at {net} = V1 + I1 (V2 - V1) / (I1 - I2)",
    )


def _period(book: Book, block: Block, current: Quantity | None) -> Quantity:
    """The period, at the rate pin's own current or at a given one."""
    timing = edge_timing(block)
    if isinstance(timing, Unknown):
        return timing
    flow = rate_current(book, block) if current is None else current
    return each(
        counted(book, block, current=flow), lambda time: with_offset(block, timing, time, single=False)
    )


def _frequency(time: Quantity) -> Quantity:
    """1 / T, 0 for a time that never ends."""
    return each(
        time,
        lambda seconds: combine(
            lambda t: np.divide(1.0, t), seconds, unit=HERTZ, text=f"f = 1 / T; {seconds.text}"
        ),
    )


def _control_ends(book: Book, block: Block) -> Mapping[str, tuple[Dependence, Dependence]] | Unknown:
    """Lowest and highest voltage of every net of declared range that the rate pin's network reaches."""
    pin = block.net("rate")
    if pin is None:
        return Unknown(f"{block.path} has no rate pin", ("rate pin",))
    around = thevenin(book, pin, without=frozenset({f"{block.path} rate"}))
    if isinstance(around, Unknown):
        return around
    ends: dict[str, tuple[Dependence, Dependence]] = {}
    for name in around.rails:
        net = book.board.circuit.net(name)
        statement = None if net is None else about_net(book, Signal, net)
        span = statement.voltage if statement is not None else None
        if statement is not None and span is not None and span.low < span.high:
            evidence = input_of(name, format_span(span), "statement", statement.place)
            ends[name] = (_held(span.low, evidence), _held(span.high, evidence))
    return ends


def _held(volts: float, evidence: Input) -> Dependence:
    """A control net at one of its ends."""
    return constant(volts, VOLT, evidence, text=format_value(volts, VOLT))


def _by_states(quantity: Quantity) -> Steering | Unknown:
    """The slowest and the fastest state where the rate pin is steered by a source that takes states."""
    if isinstance(quantity, Unknown):
        return quantity
    if not isinstance(quantity, States):
        return Unknown("nothing steers the rate pin", ("control signal",))
    ordered = sorted(
        (state for _, state in quantity.states if isinstance(state, Dependence)), key=lambda d: d.nominal
    )
    names = dict.fromkeys(what for conditions, _ in quantity.states for what, _ in conditions)
    return Steering(ordered[0], ordered[-1], tuple(names))


def _noted(block: Block, held: Mapping[str, Dependence], current: Dependence) -> str:
    """What the rate current is at one end, and what is to be said of it."""
    where = ", ".join(f"{name} = {volts.text}" for name, volts in held.items())
    amperes = current.nominal
    rated = block.part.rate.current if block.part.rate is not None else None
    remark = f"rate current {format_value(amperes, AMPERE)}"
    if amperes <= 0:
        remark += ": it has stopped"
    elif rated is not None and not rated.low * (1 - SLACK) <= amperes <= rated.high * (1 + SLACK):
        remark += f", outside the rated {format_span(rated)}"
    return f"at {where} {remark}"
