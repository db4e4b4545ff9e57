"""What a block makes, by function: which quantity each of the timing facts is, and their catalogue lines."""

from collections.abc import Callable, Mapping

import numpy as np

from drc.blocks.model import Block
from drc.facts import edge_delay, one_shot, oscillator, pulse_modulator, rc_timer
from drc.facts.book import Book
from drc.facts.dependence import Quantity, fact
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.pulse_train import pulse_train
from drc.facts.rest import rest
from drc.intent.model import Method
from drc.quantity.span import Span
from drc.quantity.unit import HERTZ, POINT, RATIO, SECOND, VOLT, Unit

Compute = Callable[[Book, Block, str, Method], Fact]


def by_method(quantity: Callable[[Book, Block], Quantity]) -> Compute:
    """The fact of a quantity by any of the three methods."""

    def compute(book: Book, block: Block, name: str, method: Method) -> Fact:
        base = quantity.__module__.rpartition(".")[2], quantity.__name__
        value = book.once((".".join(base), block.path), lambda: quantity(book, block))
        return _finite(block, fact(name, value, book.options, method))

    return compute


def _finite(block: Block, found: Fact) -> Fact:
    """Unknown in place of a time that nominally never ends."""
    span = found.span
    if span is not None and span.nominal is not None and np.isinf(span.nominal):
        if block.part.function == "rc-timer":
            return found._replace(value=rc_timer.never_ends(block))
        because = f"no current flows out of the rate pin of {block.path}: it stands still"
        return found._replace(value=Unknown(because, ("rate.current",)))
    if span is not None and (np.isnan(span.low) or np.isnan(span.high)):
        return found._replace(
            value=Unknown(f"{found.name} of {block.path} is not known over the whole range")
        )
    return found


def _rc_timer(cycles: Compute, triggered: Compute) -> Compute:
    """An RC timer's own cycles, or of a one-shot those that its trigger makes it do."""

    def compute(book: Book, block: Block, name: str, method: Method) -> Fact:
        found = rc_timer.wired(book, block)
        one = not isinstance(found, Unknown) and found.kind == "one-shot"
        return (triggered if one else cycles)(book, block, name, method)

    return compute


_OSCILLATOR: Mapping[str, Compute] = {
    "frequency": by_method(oscillator.frequency),
    "period": by_method(oscillator.period),
}

QUANTITIES: Mapping[str, Mapping[str, Compute]] = {
    "oscillator": _OSCILLATOR,
    "slow-oscillator": _OSCILLATOR,
    "pulse-modulator": {**_OSCILLATOR, "duty": by_method(pulse_modulator.duty)},
    "one-shot": {
        "pulse_width": by_method(one_shot.pulse_width),
        "period": one_shot.output_period,
        "frequency": one_shot.output_frequency,
    },
    "edge-delay": {
        "delay": by_method(edge_delay.delay),
        "delay_rising": by_method(edge_delay.delay_rising),
        "delay_falling": by_method(edge_delay.delay_falling),
    },
    "rc-timer": {
        "frequency": _rc_timer(by_method(rc_timer.frequency), one_shot.output_frequency),
        "period": _rc_timer(by_method(rc_timer.period), one_shot.output_period),
        "duty": by_method(rc_timer.duty),
        "pulse_width": by_method(rc_timer.pulse_width),
        "high": by_method(rc_timer.high_time),
        "low": by_method(rc_timer.low_time),
        "first_high": by_method(rc_timer.first_high_time),
    },
}
"""The timing facts that each function has."""

UNITS: Mapping[str, tuple[Unit, str]] = {
    "frequency": (HERTZ, "frequency of the output"),
    "period": (SECOND, "period of the output; of a one-shot, with the signal on its trigger"),
    "pulse_width": (SECOND, "length of one pulse"),
    "delay": (SECOND, "delay of the edges that the block delays"),
    "delay_rising": (SECOND, "from the input's rising edge to the output's answer"),
    "delay_falling": (SECOND, "from the input's falling edge to the output's answer"),
    "duty": (POINT, "share of the period that the output is high"),
    "high": (SECOND, "time high of an RC timer's cycle"),
    "low": (SECOND, "time low of an RC timer's cycle"),
    "first_high": (SECOND, "first time high of an RC timer, its capacitor empty at the start"),
}

METHODS: Mapping[str, tuple[Method, str]] = {
    "": ("extreme", "extreme value"),
    ".rss": ("rss", "root-sum-square"),
    ".monte_carlo": ("monte-carlo", "Monte Carlo"),
}


def timing(book: Book, block: Block, quantity: str, name: str, method: Method) -> Fact:
    """A timing fact by a method; unknown where the block's function has no such quantity."""
    compute = QUANTITIES.get(block.part.function, {}).get(quantity)
    if compute is None:
        return Fact(name, Unknown(f"a {block.part.function} has no {quantity.replace('_', ' ')}"))
    return compute(book, block, name, method)


def timing_entries() -> tuple[Entry, ...]:
    """The catalogue's lines of timing, steering, input signals and rest."""
    lines = [
        Entry(
            f"timing.{quantity}{suffix}", "block", unit, f"{meaning}, {how}", _timing_line(quantity, method)
        )
        for quantity, (unit, meaning) in UNITS.items()
        for suffix, (method, how) in METHODS.items()
    ]
    return (*lines, *_steering_lines(), *_signal_lines())


def _timing_line(quantity: str, method: Method) -> Callable[[Book, Subject], Fact]:
    """What the catalogue calls for one quantity and method."""
    suffix = next(s for s, (m, _) in METHODS.items() if m == method)
    return _of_block(lambda book, block: timing(book, block, quantity, f"timing.{quantity}{suffix}", method))


def _of_block(compute: Callable[[Book, Block], Fact]) -> Callable[[Book, Subject], Fact]:
    """A fact of the subject's block."""

    def line(book: Book, subject: Subject) -> Fact:
        assert subject.block is not None
        return compute(book, subject.block)

    return line


def _steering_lines() -> tuple[Entry, ...]:
    """How far a control voltage moves an oscillator."""
    return (
        Entry(
            "timing.steering_low", "block", HERTZ, "lowest frequency over the declared control voltage",
            _of_block(lambda book, block: _steering(book, block, "timing.steering_low")),
        ),
        Entry(
            "timing.steering_high", "block", HERTZ, "highest frequency over the declared control voltage",
            _of_block(lambda book, block: _steering(book, block, "timing.steering_high")),
        ),
        Entry(
            "steering.zero", "block", VOLT, "control voltage at which the rate current reaches zero",
            _of_block(
                lambda book, block: fact("steering.zero", oscillator.steering_zero(book, block), book.options)
            ),
        ),
        Entry(
            "output.rest", "block", "name", "output while idle, reset or not enabled: low, high or open",
            _of_block(lambda book, block: rest(book, block, "output.rest")),
        ),
    )  # fmt: skip


def _steering(book: Book, block: Block, name: str) -> Fact:
    """One end of the steering range."""
    ends = book.once(("steering", block.path), lambda: oscillator.steering(book, block))
    if isinstance(ends, Unknown):
        return Fact(name, ends)
    return fact(name, ends.slow if name.endswith("low") else ends.fast, book.options)


def _signal_lines() -> tuple[Entry, ...]:
    """What comes in on the trigger or the delayed signal, and how it suits the block."""
    meanings = {
        "period": "time from one pulse on the trigger or signal pin to the next",
        "high": "time that the trigger or signal pin is high",
        "low": "time that the trigger or signal pin is low",
        "bounce": "how long the contact on the trigger or signal pin bounces",
    }
    pulses = tuple(
        Entry(f"signal.{part}", "block", SECOND, meaning, _pulse_line(part))
        for part, meaning in meanings.items()
    )
    return (
        *pulses,
        Entry(
            "signal.slack", "block", SECOND, "by how much the input's pulses outlast the delay",
            _of_block(
                lambda book, block: fact("signal.slack", edge_delay.pulse_slack(book, block), book.options)
            ),
        ),
        Entry(
            "trigger.slack", "block", SECOND, "from the end of pulse and recovery to the next trigger",
            _of_block(lambda book, block: one_shot.slack(book, block, "trigger.slack")),
        ),
        Entry(
            "trigger.ignored", "block", RATIO, "triggers that one pulse swallows",
            _of_block(lambda book, block: one_shot.ignored(book, block, "trigger.ignored")),
        ),
        Entry(
            "timing.active", "block", SECOND, "how long the output is active for one event on the trigger",
            _of_block(lambda book, block: one_shot.active(book, block, "timing.active")),
        ),
    )  # fmt: skip


def _pulse_line(part: str) -> Callable[[Book, Subject], Fact]:
    """One member of the pulse train on the trigger or signal pin."""

    def compute(book: Book, block: Block) -> Fact:
        name = f"signal.{part}"
        net = block.net("trigger") or block.net("signal")
        if net is None:
            return Fact(name, Unknown(f"{block.path} has no trigger or signal pin"))
        train = pulse_train(book, net)
        span: Span | None = getattr(train, part)
        if span is None:
            missing = (f"signal {net.name} {part}",)
            return Fact(name, Unknown(f"nothing states the {part} of {net.name}", missing))
        return Fact(name, span, f"{part} of the signal on {net.name}", train.inputs)

    return _of_block(compute)
