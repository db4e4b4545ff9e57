"""What the output pays for capacitance: the peak at its edge, and the average over its cycles."""

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, constant, fact, input_of, lift, missing
from drc.facts.driver import Driver, driver_current
from drc.facts.elements import fitted
from drc.facts.model import Entry, Fact, Subject, Unknown
from drc.facts.pins import drive_at, drive_resistance
from drc.facts.rails import block_rails
from drc.facts.region import capacitance, region
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE, OHM


def charging_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about charging capacitance."""
    return (
        line("output.peak", AMPERE, "current at the rising edge, capacitors still at the low level", _peak),
        line("output.charging", AMPERE, "average current into capacitance on the output, C V f", _average),
    )


def _peak(book: Book, block: Block, name: str) -> Fact:
    """As a span, or cases."""
    return fact(name, peak(book, block), book.options)


def peak(book: Book, block: Block) -> Quantity:
    """Current out of the output at the first moment of a rising edge, A.

    Every net with a capacitor to another is taken at the low level, where it was before.
    """
    net, rails = block.net("output"), block_rails(book, block)
    if net is None or isinstance(rails, Unknown):
        return missing(rails) or Unknown(f"{block.path} has no output pin", (f"{block.path} output pin",))
    supply, ground = rails
    drive = drive_at(block, supply.nominal - ground.nominal)
    ohm = drive_resistance(drive, True) if drive is not None else None
    if ohm is None:
        what = f"{block.part.name} output resistance"
        return Unknown(f"the output resistance of {block.path} is not given", (what,))
    if ohm == float("inf"):
        return constant(0.0, AMPERE, text="the output does not drive high")
    own_pin = frozenset({f"{block.path} output"})
    low: dict[str, Dependence] = {
        inner.name: ground
        for inner in _inside(book, region(book, net, without=own_pin).nets)
        if _holds(book, inner)
    }
    label = f"{block.path} output high"
    evidence = input_of(label, format_value(ohm, OHM), "part file", block.part.place)
    driver = Driver(label, supply, constant(ohm, OHM, evidence))
    return driver_current(book, region(book, net, low, without=own_pin), net.name, driver)


def _inside(book: Book, names: tuple[str, ...]) -> tuple[Net, ...]:
    """The nets of these names."""
    nets = (book.board.circuit.net(name) for name in names)
    return tuple(net for net in nets if net is not None)


def _holds(book: Book, net: Net) -> bool:
    """Whether a capacitor keeps the net's voltage for the moment."""
    return any(pin.element.kind == "C" and fitted(book, pin.element) for pin in book.pins(net))


def _average(book: Book, block: Block, name: str) -> Fact:
    """C V f of the capacitance straight on the output, at the frequency that the block makes."""
    net, rails = block.net("output"), block_rails(book, block)
    subject = Subject("block", block.path, block.place, block)
    made = book.fact(subject, "timing.frequency")
    if net is None or isinstance(rails, Unknown) or made.span is None:
        unknown = missing(rails, made.value)
        return Fact(
            name, unknown or Unknown(f"{block.path} has no output pin", (f"{block.path} output pin",))
        )
    supply, ground = rails
    farad = capacitance(book, net)
    hertz = made.span.high
    law = lift(
        lambda c, high, low: c * (high - low) * hertz,
        farad, supply, ground, unit=AMPERE, text="C V f, at the highest frequency",
    )  # fmt: skip
    return fact(name, law, book.options)
