"""Facts about what else hangs on a rate pin: another block, a source that cannot sink, leakage, dead ends."""

from collections.abc import Iterator

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Element, Net, Pin
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, constant, fact, input_of, spread
from drc.facts.elements import fitted
from drc.facts.equivalent import equivalent
from drc.facts.feed import joined_voltage
from drc.facts.lead import own_pins
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.region import region
from drc.facts.stated import about_net
from drc.facts.walk import Region
from drc.intent.model import Load, Same, Signal, Supply
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE

SEMICONDUCTOR_A = 50e-9
"""What a small diode or transistor may leak at the warm end, A: common practice, no source."""

SIGNAL_ROLES = ("rate", "strap", "enable", "reset", "modulate", "trigger", "signal", "control", "output")
"""Roles of pins whose parts are followed to their far ends."""


def rate_neighbour_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what hangs on a rate pin, and nets that end nowhere."""
    return (
        line(
            "rate.shared", "name", "another block whose rate pin is in the same network, or `none`", _shared
        ),
        line("rate.leakage", AMPERE, "what the pins and semiconductors on the rate network leak", _leakage),
        line(
            "steering.one_way", "name", "source that cannot sink the rate pin's current, or `none`", _one_way
        ),
        line(
            "block.lonely_net",
            "name",
            "net behind a part of the block, with nothing else on it, or `none`",
            _lonely,
        ),
    )


def _around(book: Book, block: Block, *without: str) -> Region | Unknown:
    """The network on the rate pin, some elements (by path) left out."""
    net = block.net("rate")
    if net is None:
        return Unknown(f"{block.path} has no rate pin", (f"{block.path} rate pin",))
    return region(book, net, without=frozenset({f"{block.path} rate", *without}))


def _shared(book: Book, block: Block, name: str) -> Fact:
    """By the rate pins that hold a net of the network."""
    found = _around(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    others = sorted(rail.removesuffix(" rate") for rail in found.rails if rail.endswith(" rate"))
    return Fact(name, others[0] if others else "none", "other rate pins in the network of this one")


def _nets(book: Book, found: Region) -> Iterator[Net]:
    """The nets of a network."""
    for name in found.nets:
        net = book.board.circuit.net(name)
        assert net is not None  # the walk came by it
        yield net


def _leakage(book: Book, block: Block, name: str) -> Fact:
    """The part files' leakages, and the usual one for each semiconductor."""
    found = _around(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    on_it = [pin.element for net in _nets(book, found) for pin in book.pins(net)]
    parts = {element.path: element for element in on_it if element.kind in "DQMJ"}
    total = SEMICONDUCTOR_A * len([each for each in parts.values() if fitted(book, each)])
    inputs = [
        input_of(f"{path} leakage", format_value(SEMICONDUCTOR_A, AMPERE), "common practice", element.place)
        for path, element in parts.items()
    ]
    for _, current in found.injections:
        if any(cause.name.endswith("leakage") for cause in current.causes):
            total += spread(current, "extreme", book.options, name).high
            inputs += current.inputs
    sum_of = constant(total, AMPERE, *inputs, text="leakages of the pins and semiconductors, added")
    return fact(name, sum_of, book.options)


def _one_way(book: Book, block: Block, name: str) -> Fact:
    """A source that only pushes, without which no way is left for the current of the pin."""
    found = _around(book, block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    for path, net in dict.fromkeys(_pushing(book, found)):
        rest = _around(book, block, path)
        if not isinstance(rest, Unknown) and net in rest.nets and _leads_nowhere(rest):
            return Fact(name, path, f"{path} can push current and takes none, and there is no other way")
    return Fact(name, "none", "no source that only pushes is all that the rate pin leads to")


def _leads_nowhere(found: Region) -> bool:
    """Whether no resistance leads from where a network begins to a net that is held."""
    around = equivalent(found, found.nets[0])
    ohm = around if isinstance(around, Unknown) else around.resistance
    return isinstance(ohm, Dependence) and bool(np.isinf(ohm.nominal))


def _pushing(book: Book, found: Region) -> Iterator[tuple[str, str]]:
    """Elements that give current to a net of the network and take none: diodes, followers, open sources."""
    for junction, _ in found.junctions:
        yield junction.label.partition(" ")[0], junction.cathode
    for net in _nets(book, found):
        for pin in book.pins(net):
            if _follows(book, pin):
                yield pin.element.path, net.name
        for own in own_pins(book, net):
            kinds = {drive.kind for drive in own.block.part.outputs}
            if own.role == "output" and kinds == {"open-source"}:
                yield own.block.element.path, net.name


def _follows(book: Book, pin: Pin) -> bool:
    """The emitter or source of an n-type transistor whose other end is held high."""
    element = pin.element
    if element.kind not in "QM" or pin.position != 2:
        return False
    p_type = element.model is not None and element.model.kind.startswith("p")
    above = joined_voltage(book, element.nets[0])
    return not p_type and isinstance(above, Dependence) and above.nominal > 0


def _lonely(book: Book, block: Block, name: str) -> Fact:
    """The far ends of what stands on the block's pins."""
    for role in SIGNAL_ROLES:
        net = block.net(role)
        for pin in book.pins(net) if net is not None and joined_voltage(book, net) is None else ():
            far = _far_end(book, pin)
            if far is not None and len(book.pins(far)) == 1 and not _spoken_of(book, far):
                return Fact(name, far.name, f"{pin.element.path} is the only part on {far.name}")
    return Fact(name, "none", "every part on the block's pins leads somewhere")


def _far_end(book: Book, pin: Pin) -> Net | None:
    """The other end of a fitted part of two pins."""
    element: Element = pin.element
    if element.kind not in "RCLD" or len(element.nets) != 2 or not fitted(book, element):
        return None
    return element.nets[1 - pin.position]


def _spoken_of(book: Book, net: Net) -> bool:
    """Whether the net is ground, or a statement says what is on it."""
    stated = (about_net(book, kind, net) for kind in (Signal, Supply, Load))
    same = any(
        net.name.lower() == p.text.lower()
        for s in book.intent.statements
        if isinstance(s, Same)
        for p in s.nets
    )
    return net.is_ground or same or any(each is not None for each in stated)
