"""The catalogue's lines of steering, input signals and running."""

from collections.abc import Callable

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.dependence import fact
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.running import running
from drc.quantity.span import Span, exact
from drc.quantity.unit import HERTZ, RATIO, SECOND, VOLT, Unit

PULSES = {
    "period": "time from one pulse on the trigger or signal pin to the next",
    "high": "time that the trigger or signal pin is high",
    "low": "time that the trigger or signal pin is low",
    "bounce": "how long the contact on the trigger or signal pin bounces",
}


def signal_entries() -> tuple[Entry, ...]:
    """All of them. A function's module is imported when its fact is asked for: start-up is a budget."""
    return (
        _entry("timing.steering_low", HERTZ, "lowest frequency over the control voltage", _slow_end),
        _entry("timing.steering_high", HERTZ, "highest frequency over the control voltage", _fast_end),
        _entry("steering.zero", VOLT, "control voltage at which the rate current reaches zero", _zero),
        *(_entry(f"signal.{part}", SECOND, meaning, _pulses(part)) for part, meaning in PULSES.items()),
        _entry("signal.width_rated", SECOND, "shortest pulse that trigger or signal pin sees", _width_rated),
        _entry("signal.slack", SECOND, "by how much the input's pulses outlast the delay", _pulse_slack),
        _entry("trigger.slack", SECOND, "from the end of pulse and recovery to the next trigger", _slack),
        _entry("trigger.ignored", RATIO, "triggers that one pulse swallows", _ignored),
        _entry("timing.active", SECOND, "how long the output is active for one trigger event", _active),
        Entry(
            "signal.origin", "block", "name",
            "whose word the pulses on trigger or signal pin are: statement, source, chain or nobody",
            _of_block(_origin),
        ),
        Entry(
            "block.running", "block", "name", "always, never or switched, by the enable and reset pins",
            _of_block(running),
        ),
    )  # fmt: skip


def _entry(name: str, unit: Unit, meaning: str, compute: Callable[[Book, Block, str], Fact]) -> Entry:
    """A line about a block whose fact is a quantity."""
    return Entry(name, "block", unit, meaning, _of_block(lambda book, block: compute(book, block, name)))


def _of_block(compute: Callable[[Book, Block], Fact]) -> Callable[[Book, Subject], Fact]:
    """A fact of the subject's block."""

    def line(book: Book, subject: Subject) -> Fact:
        assert subject.block is not None
        return compute(book, subject.block)

    return line


def _slow_end(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.oscillator import steering

    ends = book.once(("steering", block.path), lambda: steering(book, block))
    return Fact(name, ends) if isinstance(ends, Unknown) else fact(name, ends.slow, book.options)


def _fast_end(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.oscillator import steering

    ends = book.once(("steering", block.path), lambda: steering(book, block))
    return Fact(name, ends) if isinstance(ends, Unknown) else fact(name, ends.fast, book.options)


def _zero(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.oscillator import steering_zero

    return fact(name, steering_zero(book, block), book.options)


def _pulse_slack(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.edge_delay import pulse_slack

    return fact(name, pulse_slack(book, block), book.options)


def _slack(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.one_shot import slack

    return slack(book, block, name)


def _ignored(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.one_shot import ignored

    return ignored(book, block, name)


def _active(book: Book, block: Block, name: str) -> Fact:
    from drc.facts.one_shot import active

    return active(book, block, name)


def _width_rated(_: Book, block: Block, name: str) -> Fact:
    role = "trigger" if block.net("trigger") is not None else "signal"
    pin = block.part.inputs.get(role)
    if pin is None or pin.width is None:
        because = f"part {block.part.name} does not say how short a pulse its {role} pin sees"
        return Fact(name, Unknown(because, (f"{block.part.name} input.{role}.width",)))
    return Fact(name, exact(pin.width, SECOND), f"the part file's shortest pulse on the {role} pin")


def _origin(book: Book, block: Block) -> Fact:
    from drc.facts.pulse_train import train_origin

    net = block.net("trigger") or block.net("signal")
    return Fact("signal.origin", "nobody" if net is None else train_origin(book, net))


def _pulses(part: str) -> Callable[[Book, Block, str], Fact]:
    """One member of the pulse train on the trigger or signal pin."""

    def compute(book: Book, block: Block, name: str) -> Fact:
        from drc.facts.pulse_train import pulse_train

        net = block.net("trigger") or block.net("signal")
        if net is None:
            return Fact(name, Unknown(f"{block.path} has no trigger or signal pin"))
        train = pulse_train(book, net)
        span: Span | None = getattr(train, part)
        if span is None:
            missing = (f"signal {net.name} {part}",)
            return Fact(name, Unknown(f"nothing states the {part} of {net.name}", missing))
        return Fact(name, span, f"{part} of the signal on {net.name}", train.inputs)

    return compute
