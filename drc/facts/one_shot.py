"""One-shots: pulse width, and what the output does with the signal on the trigger."""

from typing import NamedTuple

import numpy as np

from drc.blocks.model import Block
from drc.circuit.laws import triggered_period, triggered_period_range
from drc.facts.book import Book
from drc.facts.clock import counted, each, edge_timing, with_offset
from drc.facts.dependence import Quantity, fact, input_of
from drc.facts.model import Fact, Input, Unknown
from drc.facts.pulse_train import PulseTrain, pulse_train
from drc.intent.model import Method
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import HERTZ, RATIO, SECOND


class Triggering(NamedTuple):
    """A one-shot with what triggers it: width and spacing of triggers, s; dead time after a pulse, s."""

    width: Span
    spacing: Span
    recovery: float
    retriggerable: bool
    inputs: tuple[Input, ...]
    assumptions: tuple[str, ...]

    @property
    def busy(self) -> Span:
        """Pulse and recovery together."""
        low, nominal, high = (self.width.low, self.width.middle, self.width.high)
        return Span(low + self.recovery, nominal + self.recovery, high + self.recovery, SECOND)


def pulse_width(book: Book, block: Block) -> Quantity:
    """Length of one pulse, from the last trigger where a trigger starts it again, s."""
    if block.part.function == "rc-timer":
        from drc.facts.rc_timer import pulse_width as rc_pulse_width

        return rc_pulse_width(book, block)
    timing = edge_timing(block)
    if isinstance(timing, Unknown):
        return timing
    return each(counted(book, block), lambda time: with_offset(block, timing, time))


def output_period(book: Book, block: Block, name: str, method: Method) -> Fact:
    """Time from one output pulse to the next, with the signal on the trigger.

    Not retriggerable: T * ceil((width + recovery) / T). Retriggerable: T where every pulse ends before the
    next trigger, else unknown: the output does not return.
    """
    found = triggering(book, block, method)
    if isinstance(found, Unknown):
        return Fact(name, found)
    spacing, busy = found.spacing, found.busy
    if found.retriggerable:
        if busy.middle >= spacing.middle:
            return Fact(name, _never_returns(block, found))
        law = "T_out = T where every pulse ends before the next trigger"
        high = np.inf if busy.high >= spacing.low else spacing.high
        return Fact(name, Span(spacing.low, spacing.middle, high, SECOND), law, *found[-2:])
    low, high = triggered_period_range((spacing.low, spacing.high), (busy.low, busy.high))
    nominal = float(triggered_period(np.array([spacing.middle]), np.array([busy.middle]))[0])
    value = Span(low, nominal, high, SECOND)
    return Fact(name, value, "T_out = T * ceil((width + recovery) / T)", *found[-2:])


def output_frequency(book: Book, block: Block, name: str, method: Method) -> Fact:
    """Output pulses per second, with the signal on the trigger: 1 / T_out."""
    found = output_period(book, block, name, method)
    if found.span is None:
        return found
    low, nominal, high = 1 / found.span.high, 1 / found.span.middle, 1 / found.span.low
    return found._replace(value=Span(low, nominal, high, HERTZ), law=f"f = 1 / T_out; {found.law}")


def slack(book: Book, block: Block, name: str) -> Fact:
    """Time from the end of a pulse and its recovery to the next trigger, s; negative: it comes too early."""
    found = triggering(book, block, "extreme")
    if isinstance(found, Unknown):
        return Fact(name, found)
    busy, spacing = found.busy, found.spacing
    value = Span(spacing.low - busy.high, spacing.middle - busy.middle, spacing.high - busy.low, SECOND)
    return Fact(name, value, "slack = T - (width + recovery)", *found[-2:])


def ignored(book: Book, block: Block, name: str) -> Fact:
    """Triggers that one pulse swallows: ceil((width + recovery) / T) - 1; none where they start it again."""
    found = triggering(book, block, "extreme")
    if isinstance(found, Unknown):
        return Fact(name, found)
    if found.retriggerable:
        return Fact(name, Span(0.0, 0.0, 0.0, RATIO), "every trigger starts the pulse again", *found[-2:])
    busy, spacing = found.busy, found.spacing
    low, nominal, high = (
        max(0.0, float(np.ceil(pulse / between * (1 - 1e-12))) - 1)
        for pulse, between in (
            (busy.low, spacing.high),
            (busy.middle, spacing.middle),
            (busy.high, spacing.low),
        )
    )
    return Fact(name, Span(low, nominal, high, RATIO), "n = ceil((width + recovery) / T) - 1", *found[-2:])


def active(book: Book, block: Block, name: str) -> Fact:
    """How long the output is active for one event on the trigger, a bouncing contact's edges included, s.

    Started again by each edge it ends one width after the last; else one width after the first. A level
    trigger that is held longer than the pulse holds the output as long.
    """
    trigger = block.part.trigger
    width = fact("timing.pulse_width", pulse_width(book, block), book.options)
    if trigger is None or trigger.retriggerable is None:
        return Fact(name, _trigger_lacks(block, "retriggerable"))
    if width.span is None:
        return Fact(name, width.value)
    train = _train(book, block)
    inputs = (*width.inputs, *train.inputs)
    bounce = train.bounce.high if train.bounce is not None else 0.0
    span, law = width.span, "first trigger + width"
    if trigger.retriggerable:
        span, law = Span(span.low, span.nominal, span.high + bounce, SECOND), "last trigger + width"
    elif bounce and trigger.recovery is None:
        return Fact(name, _trigger_lacks(block, "recovery"))
    elif bounce > span.low + (trigger.recovery or 0.0):
        because = f"the contact still bounces after the pulse of {block.path} and starts another"
        return Fact(name, Unknown(because))
    held = held_for(book, block)
    if trigger.level and held is not None:
        longest = (max(span.low, held.low), max(span.middle, held.middle), max(span.high, held.high))
        span, law = Span(*longest, SECOND), f"the longer of ({law}) and the time that the trigger is held"
    return Fact(name, span, law, inputs, width.assumptions)


def held_for(book: Book, block: Block) -> Span | None:
    """How long the trigger stays at the level that its edge leads to, s; None where nothing says."""
    trigger, train = block.part.trigger, _train(book, block)
    if trigger is None:
        return None
    return {"rising": train.high, "falling": train.low}.get(trigger.edge or "")


def triggering(book: Book, block: Block, method: Method) -> Triggering | Unknown:
    """Width by a method, and the spacing of the triggers on the edges that count."""
    trigger = block.part.trigger
    for key in ("edge", "retriggerable", "recovery"):
        if trigger is None or getattr(trigger, key) is None:
            return _trigger_lacks(block, key)
    assert trigger is not None
    assert trigger.recovery is not None
    width = fact("timing.pulse_width", pulse_width(book, block), book.options, method)
    if isinstance(width.value, Unknown):
        return width.value
    if width.span is None:
        return Unknown(f"the pulse width of {block.path} takes states")
    train = _train(book, block)
    spacing = _both_edges(train) if trigger.edge == "both" else train.period
    if spacing is None:
        return _no_signal(block)
    if spacing.low <= 0:
        return Unknown(f"what triggers {block.path} may follow in no time at all", ("trigger spacing",))
    if not np.isfinite(width.span.high):
        return Unknown(f"the pulse of {block.path} need not end", ("timing.pulse_width",))
    inputs = (
        *width.inputs,
        *train.inputs,
        input_of("width", format_span(width.span), "timing.pulse_width"),
        input_of(
            "recovery", format_span(Span(*3 * (trigger.recovery,), SECOND)), "part file", block.part.place
        ),
    )
    return Triggering(
        width.span, spacing, trigger.recovery, bool(trigger.retriggerable), inputs, width.assumptions
    )


def _train(book: Book, block: Block) -> PulseTrain:
    """The pulses on the trigger."""
    net = block.net("trigger")
    return PulseTrain() if net is None else pulse_train(book, net)


def _both_edges(train: PulseTrain) -> Span | None:
    """The shorter way from an edge to the next, where both edges trigger."""
    if train.high is None or train.low is None:
        return None
    high, low = train.high, train.low
    return Span(min(high.low, low.low), min(high.middle, low.middle), min(high.high, low.high), SECOND)


def _no_signal(block: Block) -> Unknown:
    """Nothing says how often the trigger comes."""
    net = block.net("trigger")
    name = net.name if net is not None else "trigger"
    return Unknown(f"nothing states how often {name} triggers {block.path}", (f"signal {name} period",))


def _trigger_lacks(block: Block, key: str) -> Unknown:
    """The part file leaves something of the trigger open."""
    because = f"part {block.part.name} does not give trigger.{key}"
    return Unknown(because, (f"{block.part.name} trigger.{key}",))


def _never_returns(block: Block, found: Triggering) -> Unknown:
    """A trigger starts the pulse again before it ends."""
    return Unknown(
        f"the output of {block.path} does not return: a trigger every {format_span(found.spacing)} "
        f"starts its pulse of {format_span(found.width)} again"
    )
