"""What a block must keep through a swap where nobody states it, and whether it does."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import Pin
from drc.facts.book import Book
from drc.facts.logic import logic_level
from drc.facts.model import Cases, Fact, Subject, Unknown, Value
from drc.gate.rounding import rounded_fact
from drc.quantity.span import Span
from drc.report.text import value_text

TIMES: Mapping[str, tuple[str, ...]] = {
    "oscillator": ("timing.frequency", "timing.steering_low", "timing.steering_high"),
    "slow-oscillator": ("timing.period", "timing.steering_low", "timing.steering_high"),
    "pulse-modulator": ("timing.frequency", "timing.duty"),
    "one-shot": ("timing.pulse_width",),
    "edge-delay": ("timing.delay", "timing.delay_rising", "timing.delay_falling"),
    "astable": ("timing.frequency", "timing.duty"),
}
"""The times that make what a block does, the first of them first; an RC timer does as it is wired."""

WORDS = {
    "timing.frequency": "its frequency",
    "timing.period": "its period",
    "timing.steering_low": "its lowest steered frequency",
    "timing.steering_high": "its highest steered frequency",
    "timing.duty": "its duty",
    "timing.pulse_width": "its pulse width",
    "timing.delay": "its delay",
    "timing.delay_rising": "its delay of rising edges",
    "timing.delay_falling": "its delay of falling edges",
    "strap.polarity": "its polarity",
    "output.rest": "its level at rest",
    "block.running": "when it runs",
    "trigger.edge": "the edge that triggers it",
    "delay.edges": "the edges that it delays",
}
"""What a message calls a fact that is kept."""


PULLED = "the output is open, and all that hangs on it leads to ground"
"""The law of a level that is no doing of the part's."""


class Keeping(NamedTuple):
    """A fact of a block that must stay what it was: as it was, and as it is."""

    name: str
    old: Fact
    new: Fact

    @property
    def lacking(self) -> tuple[str, Unknown] | None:
        """The side on which it is unknown, and why."""
        for side, fact in (("before", self.old), ("after", self.new)):
            if isinstance(fact.value, Unknown):
                return side, fact.value
        return None

    @property
    def holds(self) -> bool:
        """Whether the new value is in the old one's place."""
        return inside(self.new.value, self.old.value)


def work(book: Book, block: Block) -> str:
    """What a block does: its part's function, and of an RC timer what its wiring makes of it."""
    if block.part.function != "rc-timer":
        return block.part.function
    wired = fact_of(book, block, "rc.wiring").value
    return wired if wired in ("astable", "one-shot") else "rc-timer"


def fact_of(book: Book, block: Block, name: str) -> Fact:
    """A fact of a block, its numbers rounded. An RC timer, which has no strap, is never inverted.

    An output that rests open rests at the level to which all that hangs on it pulls it.
    """
    if name == "strap.polarity" and block.part.function == "rc-timer":
        return Fact(name, "normal", "an RC timer's output is high while its capacitor charges")
    found = rounded_fact(book.fact(Subject("block", block.path, block.place, block), name))
    if name == "output.rest" and found.value == "open" and pulled_low(block):
        return Fact(name, "low", PULLED)
    return found


def pulled_low(block: Block) -> bool:
    """Whether all that hangs on the output are resistors and coils to ground, capacitors, and gates."""
    out = block.net("output")
    seen, waiting, grounded = set(), [] if out is None else [out], False
    while waiting:
        net = waiting.pop()
        if net.name in seen:
            continue
        seen.add(net.name)
        if net.is_ground:
            grounded = True
            continue
        for pin in net.pins():
            element = pin.element
            if element.kind in "RL":
                waiting += element.nets
            elif (
                element != block.element and element.kind != "C" and (element.kind, pin.position) != ("M", 1)
            ):
                return False
    return grounded


def _gate(pin: Pin) -> bool:
    """Whether a pin is the gate of a field-effect transistor, which takes no current."""
    return pin.element.kind == "M" and pin.position == 1


def keepings(before: Book, old: Block, after: Book, new: Block) -> Iterator[Keeping]:
    """Every fact that makes what a block does, on both boards."""
    for name in kept_names(before, old):
        found = Keeping(name, fact_of(before, old, name), fact_of(after, new, name))
        if name != "output.rest" or can_rest(before, old) or can_rest(after, new):
            yield found


def kept_names(book: Book, block: Block) -> tuple[str, ...]:
    """The facts that make what a block does: its times as far as they are known, and how it acts."""
    kind = work(book, block)
    times = TIMES.get(kind, ("timing.period", "timing.pulse_width"))
    known = [name for name in times if not isinstance(fact_of(book, block, name).value, Unknown)]
    names = [*(known or times[:1]), "strap.polarity", "output.rest"]
    if kind == "one-shot":
        names.append("trigger.edge")
    if kind == "edge-delay":
        names.append("delay.edges")
    if block.net("enable") is not None or block.net("reset") is not None:
        names.append("block.running")
    return tuple(names)


def can_rest(book: Book, block: Block) -> bool:
    """Whether anything can put a block at rest: it waits for an edge, or its running can be stopped."""
    if work(book, block) in ("one-shot", "edge-delay"):
        return True
    return fact_of(book, block, "block.running").value != "always"


def inside(new: Value, old: Value) -> bool:
    """Whether a new value does for an old one: its nominal in the old worst-case span, or the same name.

    Of labelled cases, each must lie in the old one of its label.
    """
    if isinstance(new, Span) and isinstance(old, Span):
        return new.unit == old.unit and old.low <= new.middle <= old.high
    if isinstance(new, Cases) and isinstance(old, Cases):
        was = {case.label: case.value for case in old.cases}
        return len(new.cases) == len(old.cases) and all(
            case.label in was and inside(case.value, was[case.label]) for case in new.cases
        )
    return isinstance(new, bool | str) and new == old


def within(made: Value, wanted: Value) -> bool:
    """Whether what comes out is what is wanted, over the whole span and in every case."""
    if isinstance(made, Cases):
        return bool(made.cases) and all(within(case.value, wanted) for case in made.cases)
    if isinstance(made, Span) and isinstance(wanted, Span):
        return made.unit == wanted.unit and wanted.low <= made.low and made.high <= wanted.high
    return isinstance(made, str) and made == wanted


def same_way(old: Block, new: Block) -> Iterator[str]:
    """In what way the new part acts at other times than the old one, though its facts are the same."""
    for words, was, now in (
        ("starts again when triggered while it runs", _again(old), _again(new)),
        ("counts anew at each edge", _anew(old), _anew(new)),
    ):
        if was is not None and now is None:
            yield f"{new.path}: nothing says whether {new.part.name} {words}"
        elif was != now and was is not None:
            does, lacks = (new, old) if now else (old, new)
            yield f"{new.path}: {does.part.name} {words}, {lacks.part.name} does not"


def held_on(old_book: Book, old: Block, new_book: Book, new: Block) -> Iterator[str]:
    """Whether one of two parts goes on while its trigger is held, where the other does not and it matters."""
    levels = [
        fact_of(book, block, "trigger.level").value for book, block in ((old_book, old), (new_book, new))
    ]
    if work(old_book, old) != "one-shot" or levels[0] == levels[1]:
        return
    sides = ((levels[0], old_book, old, new), (levels[1], new_book, new, old))
    for _, book, block, other in [side for side in sides if side[0] is not False]:
        held, pulse = fact_of(book, block, "trigger.held"), fact_of(book, block, "timing.pulse_width")
        if held.span is not None and pulse.span is not None and held.span.high < pulse.span.low:
            continue
        tells = f"{block.part.name} goes on while its trigger is held, {other.part.name} does not"
        why = held.value if isinstance(held.value, Unknown) else pulse.value
        yield f"{new.path}: {tells}" + (f"; {why.because}" if isinstance(why, Unknown) else "")


def _again(block: Block) -> bool | None:
    return block.part.trigger.retriggerable if block.part.trigger else None


def _anew(block: Block) -> bool | None:
    return block.part.signal.restart if block.part.signal else None


def running_levels(book: Book, block: Block) -> dict[str, str]:
    """The nets that switch a block on and off, and the level of each that lets it run (`?`: not known)."""
    found = {}
    for role in ("enable", "reset"):
        net = block.net(role)
        if net is None or logic_level(book, block, role) != "switched":
            continue
        pin = block.part.inputs.get(role)
        active = (block.part.reset_active if role == "reset" else None) or (pin.active if pin else None)
        turned = {"low": "high", "high": "low"}.get(active or "", "?")
        found[net.name] = turned if role == "reset" else active or "?"
    return found


def text_of(fact: Fact) -> str:
    """A fact's value in a message."""
    return value_text(fact)
