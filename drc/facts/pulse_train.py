"""The pulses that come in on a net: as stated, as its source is drawn, or as another block makes them."""

from typing import NamedTuple

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import input_of
from drc.facts.model import Input
from drc.facts.stated import statements
from drc.intent.match import matches
from drc.intent.model import Signal
from drc.quantity.span import Span, exact
from drc.quantity.text import format_span
from drc.quantity.unit import SECOND


class PulseTrain(NamedTuple):
    """Time from pulse to pulse, high and low time, and how long a contact bounces, s; None: not known."""

    period: Span | None = None
    high: Span | None = None
    low: Span | None = None
    bounce: Span | None = None
    inputs: tuple[Input, ...] = ()


def pulse_train(book: Book, net: Net) -> PulseTrain:
    """What is known of a net's pulses.

    By statements, else its source, else the block that drives it, else the statements or the source of the
    nearest net behind resistors.
    """
    here = _told(book, net) or _made(book, net) or _upstream(book, net)
    return completed(here or PulseTrain())


def train_origin(book: Book, net: Net) -> str:
    """Whose word a net's pulses are: `statement`, `source`, `chain` (a block drives it) or `nobody`."""
    from drc.facts.chains import arriving  # which most boards have no use for

    if _stated(book, net):
        return "statement"
    if _drawn(book, net):
        return "source"
    if arriving(book, net):
        return "chain"
    way = _way_up(book, net)
    if not way:
        return "nobody"
    return "statement" if _stated(book, way[-1]) else "source"


def _told(book: Book, net: Net) -> PulseTrain | None:
    """By statements about the net itself, else by its source."""
    return _stated(book, net) or _drawn(book, net)


def _stated(book: Book, net: Net) -> PulseTrain | None:
    """By `signal` statements: each gives what an earlier one left open."""
    train = PulseTrain()
    for statement in statements(book, Signal):
        if not matches(statement.net, net.name):
            continue
        for part in ("period", "high", "low", "bounce"):
            span: Span | None = getattr(statement, part)
            if span is not None and getattr(train, part) is None:
                evidence = input_of(f"{net.name} {part}", format_span(span), "statement", statement.place)
                train = train._replace(**{part: span}, inputs=(*train.inputs, evidence))
    return train if train.inputs else None


def _drawn(book: Book, net: Net) -> PulseTrain | None:
    """By a pulse source on the net."""
    for element, _ in book.pins(net):
        wave = element.waveform
        if element.kind != "V" or wave is None or wave.period_s is None:
            continue
        if not any(other.is_ground for other in element.nets):
            continue
        period = exact(wave.period_s, SECOND)
        high = None if wave.high_s is None else exact(wave.high_s, SECOND)
        evidence = input_of(f"{net.name} period", format_span(period), "line", element.place)
        return PulseTrain(period, high, inputs=(evidence,))
    return None


def _made(book: Book, net: Net) -> PulseTrain | None:
    """By the block whose output reaches this net."""
    from drc.facts.handed_on import train_arriving  # which asks here for what comes in on its blocks

    return train_arriving(book, net)


def _way_up(book: Book, net: Net) -> tuple[Net, ...]:
    """From a net to the nearest upstream whose pulses are stated or drawn; empty where there is none."""
    from drc.facts.upstream import nearest  # which most boards have no use for

    return nearest(book, net, lambda other: _told(book, other) is not None)


def _upstream(book: Book, net: Net) -> PulseTrain | None:
    """As stated or drawn behind resistors: as long as there, but for what R C takes away or adds."""
    from drc.facts.upstream import arrived, time_constant

    way = _way_up(book, net)
    if not way:
        return None
    train, tau = _told(book, way[-1]), time_constant(book, way)
    if train is None or tau is None or tau.high == 0:
        return train
    evidence = input_of(f"R C before {net.name}", format_span(tau), "circuit")
    high, low, bounce = (arrived(length, tau) for length in (train.high, train.low, train.bounce))
    return train._replace(high=high, low=low, bounce=bounce, inputs=(*train.inputs, evidence))


def completed(train: PulseTrain) -> PulseTrain:
    """The third of period, high and low where two are known; their spans are taken as independent."""
    period, high, low = train.period, train.high, train.low
    if period is None and high is not None and low is not None:
        nominal = high.middle + low.middle
        train = train._replace(period=Span(high.low + low.low, nominal, high.high + low.high, SECOND))
    elif period is not None and high is not None and low is None:
        train = train._replace(low=_rest_of(period, high))
    elif period is not None and low is not None and high is None:
        train = train._replace(high=_rest_of(period, low))
    return train


def _rest_of(period: Span, part: Span) -> Span:
    """The period without one of its parts, never below 0."""
    nominal = max(0.0, period.middle - part.middle)
    return Span(max(0.0, period.low - part.high), nominal, max(0.0, period.high - part.low), SECOND)
