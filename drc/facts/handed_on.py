"""What a block's output hands on along its chains: period, high and low time, and bounce."""

from collections.abc import Callable

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chains import Chain, arriving
from drc.facts.dependence import input_of
from drc.facts.model import Fact, Input, Subject
from drc.facts.pulse_train import PulseTrain, completed, pulse_train
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import SECOND


def train_arriving(book: Book, net: Net) -> PulseTrain | None:
    """The pulses that the one block driving a net hands on to it; None where none does, or several do."""
    found = arriving(book, net)
    return handed_on(book, found[0]) if len(found) == 1 else None


def handed_on(book: Book, chain: Chain) -> PulseTrain:
    """What a chain's driver makes, as it arrives: turned round where the way inverts.

    Through a capacitor only the period arrives; where it may come either way, high and low are not known.
    """
    train = completed(output_train(book, chain.driver))
    if chain.coupled or chain.inverted is None:
        return train._replace(high=None, low=None)
    if chain.inverted:
        return train._replace(high=train.low, low=train.high)
    return train


def output_train(book: Book, block: Block) -> PulseTrain:
    """The pulses of a block's output; empty where the block waits on its own output."""
    make: Callable[[Book, Block], PulseTrain] = _delayed if _is_delay(block) else _made
    found = book.once(("output train", block.path), lambda: make(book, block))
    return found if isinstance(found, PulseTrain) else PulseTrain()


def _is_delay(block: Block) -> bool:
    """Whether the block passes on what comes in."""
    return block.part.function == "edge-delay"


def _made(book: Book, block: Block) -> PulseTrain:
    """By the block's own period, and its pulse width or duty."""
    period = _timing(book, block, "period")
    train = PulseTrain(period.span, inputs=_evidence(block, period))
    if block.part.function in ("one-shot", "rc-timer"):
        width = _timing(book, block, "pulse_width")
        level = _pulse_level(book, block)
        if width.span is not None and level is not None:
            return train._replace(**{level: width.span}, inputs=(*train.inputs, *_evidence(block, width)))
    duty = _timing(book, block, "duty")
    if duty.span is None or period.span is None:
        return train
    shares = (duty.span.low / 100, duty.span.middle / 100, duty.span.high / 100)
    whole = period.span
    high = Span(whole.low * shares[0], whole.middle * shares[1], whole.high * shares[2], SECOND)
    return train._replace(high=high, inputs=(*train.inputs, *_evidence(block, duty)))


def _pulse_level(book: Book, block: Block) -> str | None:
    """The level of the output during a pulse: `high` or `low`; None where it is not known."""
    if block.part.function == "rc-timer":
        return "high"
    polarity = book.fact(_subject(block), "strap.polarity").value
    return {"normal": "high", "inverted": "low"}.get(polarity) if isinstance(polarity, str) else None


def _delayed(book: Book, block: Block) -> PulseTrain:
    """An edge delay's output: every pulse that outlasts the delay, longer or shorter by the edges' delays.

    What is left of a bounce is what outlasts the delay. Nothing where the delay swallows the pulses.
    """
    net = block.net("signal")
    if net is None:
        return PulseTrain()
    train = pulse_train(book, net)
    slack = book.fact(_subject(block), "signal.slack").span
    if slack is not None and slack.middle <= 0:
        return PulseTrain(inputs=train.inputs)
    rising, falling = (_timing(book, block, f"delay_{edge}") for edge in ("rising", "falling"))
    inputs = (*train.inputs, *_evidence(block, rising), *_evidence(block, falling))
    shift = _apart(block, rising.span, falling.span)
    high, low = _shifted(train.high, shift), _shifted(train.low, _negative(shift))
    polarity = book.fact(_subject(block), "strap.polarity").value
    if polarity == "inverted":
        high, low = low, high
    elif polarity != "normal":
        high = low = None
    bounce = _left_of(train.bounce, _timing(book, block, "delay").span)
    return PulseTrain(train.period, high, low, bounce, inputs)


def _apart(block: Block, rising: Span | None, falling: Span | None) -> Span | None:
    """By how much falling edges are delayed more than rising ones, s: nothing where one law serves both."""
    timing, signal = block.part.timing, block.part.signal
    both = signal is not None and signal.edges == "both"
    if both and timing is not None and timing.rising is None and timing.falling is None:
        return Span(0.0, 0.0, 0.0, SECOND)
    if rising is None or falling is None:
        return None
    return Span(falling.low - rising.high, falling.middle - rising.middle, falling.high - rising.low, SECOND)


def _negative(span: Span | None) -> Span | None:
    return None if span is None else Span(-span.high, -span.middle, -span.low, span.unit)


def _shifted(length: Span | None, shift: Span | None) -> Span | None:
    """A length and a shift together, never below 0."""
    if length is None or shift is None:
        return None
    return _not_below_0(length.low + shift.low, length.middle + shift.middle, length.high + shift.high)


def _left_of(bounce: Span | None, delay: Span | None) -> Span | None:
    """What a delay leaves of a bounce: nothing where it outlasts it."""
    if bounce is None or delay is None:
        return None
    return _not_below_0(bounce.low - delay.high, bounce.middle - delay.middle, bounce.high - delay.low)


def _not_below_0(low: float, nominal: float, high: float) -> Span:
    """A time that may be nothing and never less."""
    return Span(max(0.0, low), max(0.0, nominal), max(0.0, high), SECOND)


def _timing(book: Book, block: Block, quantity: str) -> Fact:
    """A timing fact of a block."""
    return book.fact(_subject(block), f"timing.{quantity}")


def _evidence(driver: Block, fact: Fact) -> tuple[Input, ...]:
    """The evidence that another block's fact is, none where it is not known."""
    if fact.span is None:
        return ()
    return (input_of(f"{driver.path} {fact.name}", format_span(fact.span), fact.name, driver.place),)


def _subject(block: Block) -> Subject:
    """The subject that a block's facts are about."""
    return Subject("block", block.path, block.place, block)
