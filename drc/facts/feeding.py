"""Facts about how a block is fed: by what its own output switches, through resistance, or while it is off."""

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.bypass import merged_rail
from drc.facts.chains import Chain, chains
from drc.facts.contacts import is_button, is_plug
from drc.facts.dependence import Dependence, Quantity, fact, lift
from drc.facts.elements import fitted
from drc.facts.feed import anchor, joined_voltage, known
from drc.facts.lead import Diode, Resistive, own_pins
from drc.facts.leads import ways
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.output import delivered
from drc.facts.rails import own_rails, supply_voltage
from drc.facts.region import region
from drc.quantity.unit import RATIO

FED_ROLES = ("strap", "enable", "reset", "trigger", "signal", "modulate", "control")
"""Roles of pins by which a block that is off may be fed."""

STANDING_V = 0.5
"""A net below this feeds nothing through a pin."""


def feeding_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about how a block is fed."""
    return (
        line(
            "supply.self_fed",
            "name",
            "whether its own output switches its supply: none, started or alone",
            _self,
        ),
        line("supply.sag", RATIO, "supply lost in its feed to what the output sources, of the supply", _sag),
        line(
            "input.fed_while_off",
            "name",
            "pin held up by another rail while its supply is switched off, or `none`",
            _off,
        ),
    )


def _feeding(book: Book, block: Block) -> tuple[Chain, ...]:
    """The chains that end on the block's supply."""
    return tuple(c for c in chains(book) if c.driven.path == block.path and c.role.startswith("supply"))


def _self(book: Book, block: Block, name: str) -> Fact:
    """`alone` where nothing but its own output can switch the supply on."""
    own = [chain for chain in _feeding(book, block) if chain.driver.path == block.path]
    if not own:
        return Fact(name, "none", "its own output does not switch its supply")
    for chain in own:
        starter = _starter(book, block, chain)
        if starter is None:
            return Fact(name, "alone", f"nothing but {' and '.join(chain.through)} leads to its supply")
    return Fact(name, "started", f"{starter} can start it")


def _starter(book: Book, block: Block, chain: Chain) -> str | None:
    """Something that can put voltage on the supply, or work the switch, before the block runs."""
    supply = block.net("supply")
    rail = tuple(merged_rail(book, supply).values()) if supply is not None else ()
    for net in rail:
        for way in ways(book, net):
            ends = (way.anode, way.cathode) if isinstance(way, Diode) else (way.other, net)
            if (
                ends[1] == net
                and ends[0] not in rail
                and not ends[0].is_ground
                and way.label not in chain.through
            ):
                return way.label
    for net in (*rail, *chain.nets):
        for pin in book.pins(net):
            path = pin.element.path
            if path in chain.through or not fitted(book, pin.element) or path == block.element.path:
                continue
            if is_button(path) or is_plug(path):
                return path
            if pin.element.kind in "XU" and not book.of(pin.element):
                return path
    kicks = (_kicked(book, net, chain) for net in chain.nets)
    return next((kick for kick in kicks if kick is not None), None)


def _kicked(book: Book, net: Net, chain: Chain) -> str | None:
    """What lifts a net of the way to the switch: a resistor, a capacitor, a diode forward; another output."""
    for pin in book.pins(net):
        element = pin.element
        if element.path in chain.through or not fitted(book, element) or len(element.nets) != 2:
            continue
        other = element.nets[1 - pin.position]
        volts = joined_voltage(book, other)
        lifted = isinstance(volts, Dependence) and volts.nominal > 0
        pulls = element.kind == "R" and chain.stage is not None and chain.stage.kind == "switch"
        forward = element.kind == "D" and pin.position == 1
        if lifted and (pulls or forward or element.kind == "C"):
            return element.path
    rivals = (
        own for own in own_pins(book, net) if own.role == "output" and own.block.path != chain.driver.path
    )
    return next((own.block.path for own in rivals if own.block.element.path not in chain.through), None)


def _sag(book: Book, block: Block, name: str) -> Fact:
    """R I / V, R being the one resistance between a held net and the supply pin."""
    net = block.net("supply")
    if net is None or known(book, net) is not None:
        return Fact(name, Unknown(f"no resistance is in the supply of {block.path}", ("series element",)))
    feeds = [
        way
        for way in ways(book, net)
        if isinstance(way, Resistive) and not way.joins and _up(book, way.other)
    ]
    if len(feeds) != 1:
        return Fact(
            name, Unknown(f"no single resistance is in the supply of {block.path}", ("series element",))
        )
    source, supply = delivered(book, block, "high"), supply_voltage(book, block)
    lost: Quantity = lift(
        lambda ohm, ampere, volt: ohm * ampere / volt, feeds[0].ohm, source, supply,
        unit=RATIO, text=f"{feeds[0].label} * output.source / supply.voltage",
    )  # fmt: skip
    return fact(name, lost, book.options)


def _up(book: Book, net: Net) -> bool:
    """Whether a net is held above ground."""
    volts = joined_voltage(book, net)
    return isinstance(volts, Dependence) and volts.nominal > STANDING_V


def _off(book: Book, block: Block, name: str) -> Fact:
    """By the rails that the network on each pin ends on, where something switches the block's own."""
    if not _feeding(book, block):
        return Fact(name, "none", "nothing on the board switches its supply")
    own = own_rails(book, block)
    for role in FED_ROLES:
        net = block.net(role)
        if net is None or anchor(book, net) in own:
            continue
        foreign = [rail for rail in region(book, net).stiff if _foreign(book, rail, own)]
        if foreign:
            return Fact(name, role, f"the {role} pin is held up from {foreign[0]}, which stays on")
    return Fact(name, "none", "no pin is held up from a rail that stays on")


def _foreign(book: Book, rail: str, own: frozenset[str]) -> bool:
    """Whether a held net is above ground and none of the block's own."""
    net = book.board.circuit.net(rail)
    if net is None:
        return False
    return anchor(book, net) not in own and _up(book, net)
