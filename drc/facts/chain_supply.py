"""The supply of a block that another block's output feeds, straight or through a transistor."""

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chain_levels import on_voltage, while_at
from drc.facts.chains import Chain, chains
from drc.facts.conduction import Stage
from drc.facts.dependence import Dependence, Quantity, combine, lift
from drc.facts.equivalent import equivalent
from drc.facts.feed import consumption, rail
from drc.facts.lead import own_pins
from drc.facts.model import Unknown
from drc.facts.pins import pin_at_dc
from drc.facts.walk import Region, Terms, walk
from drc.quantity.unit import AMPERE, VOLT


def supply_handed_on(book: Book, net: Net) -> Quantity | None:
    """Voltage of a net of supply pins against node 0 while the one output that feeds it does so, V.

    None if no output does, or several. Unknown, naming the loop, where a block lives on its own output.
    """
    return book.once(("supply handed on", net.name), lambda: _handed_on(book, net))


def _handed_on(book: Book, net: Net) -> Quantity | None:
    """By the chain that ends on the supply pins of the net."""
    found = {
        chain.driver.path: chain for chain in chains(book) if chain.role == "supply" and chain.net == net
    }
    if len(found) != 1:
        return None
    (chain,) = found.values()
    stage = chain.stage
    if stage is not None and stage.kind not in ("transistor", "switch"):
        return _out_of(book, chain) if stage.kind == "gate" else None
    return _out_of(book, chain) if stage is None else _through(book, chain, stage)


def load_fed(book: Book, block: Block, net: Net, *, high: bool) -> Region | None:
    """The network on an output that feeds other blocks, what they draw while it is high included.

    None where it feeds none straight: then its load is a network like any other.
    """
    fed = [c for c in chains(book) if c.driver.path == block.path and c.role == "supply" and c.stage is None]
    if not fed:
        return None
    without = frozenset({f"{block.path} output", *(f"{chain.driven.path} supply" for chain in fed)})
    load = walk(book, net, Terms(_standing, pin_at_dc, without=without))
    if not high:
        return load
    draws = [(chain.net.name, _consumption(chain.driven)) for chain in fed]
    unknown = tuple(draw for _, draw in draws if isinstance(draw, Unknown))
    drawn = tuple(
        (name, combine(np.negative, draw, unit=AMPERE))
        for name, draw in draws
        if isinstance(draw, Dependence)
    )
    return load._replace(injections=(*load.injections, *drawn), obstacles=(*load.obstacles, *unknown))


def _through(book: Book, chain: Chain, stage: Stage) -> Quantity:
    """A rail switched on, less the drop in resistors behind the switch."""
    on = on_voltage(book, stage)
    if chain.net == stage.output or isinstance(on, Unknown):
        return on
    without = frozenset({stage.path, *_supply_pins(book, chain.net)})
    terms = Terms(_standing, pin_at_dc, {stage.output.name: on}, without=without)
    source = equivalent(walk(book, chain.net, terms), chain.net.name)
    if isinstance(source, Unknown):
        return source
    return _less_drop(book, chain.net, source.voltage, source.resistance)


def _out_of(book: Book, chain: Chain) -> Quantity:
    """An output driven high, less the drop of what all blocks on it draw."""
    terms = Terms(_standing, pin_at_dc, without=frozenset(_supply_pins(book, chain.net)))
    source = equivalent(walk(book, chain.net, terms), chain.net.name)
    if isinstance(source, Unknown):
        return source
    path = chain.stage.path if chain.stage else chain.driver.path
    volts, ohm = (while_at(part, path, "high") for part in (source.voltage, source.resistance))
    return _less_drop(book, chain.net, volts, ohm)


def _less_drop(book: Book, net: Net, volts: Quantity, ohm: Quantity) -> Quantity:
    """What the blocks on a net leave of a source, V."""
    each = [_consumption(block) for block in _supply_pins(book, net).values()]
    drawn = lift(lambda *draw: sum(draw[1:], draw[0]), *each, unit=AMPERE, text=f"draw of {net.name}")
    text = f"source of {net.name}, less the drop of what it feeds"
    return lift(lambda volt, r, ampere: volt - r * ampere, volts, ohm, drawn, unit=VOLT, text=text)


def _standing(book: Book, net: Net) -> Quantity | None:
    """The voltage of a rail; None for a net that is none, though supply pins are on it."""
    found = rail(book, net)
    return None if isinstance(found, Unknown) else found


def _supply_pins(book: Book, net: Net) -> dict[str, Block]:
    """The blocks that live on a net, by the labels of their supply pins."""
    return {pin.label: pin.block for pin in own_pins(book, net) if pin.role == "supply"}


def _consumption(block: Block) -> Dependence | Unknown:
    """What a block draws, A: here nothing is assumed, since a driver is rated against it."""
    because = f"what {block.path} draws is not known, so what its driver leaves of the supply is not"
    return consumption(block) or Unknown(because, (f"{block.part.name} consumption",))
