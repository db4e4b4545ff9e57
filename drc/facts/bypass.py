"""Facts about how steady a block's supply is: the capacitors across it, and how slowly it comes up."""

from collections.abc import Iterator

from drc.blocks.model import Block
from drc.circuit.model import Element, Net
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Dependence, combine, constant, fact, input_of
from drc.facts.elements import capacitor, fitted
from drc.facts.lead import Resistive
from drc.facts.leads import ways
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rails import supply_voltage
from drc.facts.stated import about_net
from drc.intent.model import Ramp
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import FARAD, SECOND

CLOSE_OHM = 1.0
"""A shunt or link up to here leaves a capacitor behind it as good as on the rail itself."""


def bypass_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about what steadies a supply."""
    return (
        line("supply.bypass", FARAD, "capacitance between its supply and its ground", _bypass),
        line(
            "supply.ramp",
            SECOND,
            "time from the rated lower end of the supply to its settled value, as stated",
            _ramp,
        ),
    )


def merged_rail(book: Book, net: Net, to_ground: bool = False) -> dict[str, Net]:
    """A net and all that beads, links, shunts and `same` statements make one rail with it, by name.

    Ground is one of them for a ground pin alone (`to_ground`): a supply that it joins is shorted.
    """
    found = {net.name: net}
    waiting = [net]
    while waiting:
        for lead in ways(book, waiting.pop()):
            other = lead.other if isinstance(lead, Resistive) and _close(lead) else None
            if other is not None and other.name not in found and (to_ground or not other.is_ground):
                found[other.name] = other
                waiting.append(other)
    return found


def _close(lead: Resistive) -> bool:
    """Whether what stands between is a joint or a shunt."""
    return isinstance(lead.ohm, Dependence) and lead.ohm.nominal <= CLOSE_OHM


def bypass_capacitors(book: Book, block: Block) -> tuple[Element, ...]:
    """The fitted capacitors between the block's supply rail and its ground, each once."""
    supply, ground = block.net("supply"), block.net("ground")
    if supply is None or ground is None:
        return ()
    # Once for each pair of rails, not for each block: a rail may have very many pins.
    found = book.once(("bypass", supply.name, ground.name), lambda: _bypassing(book, supply, ground))
    return () if isinstance(found, Unknown) else found


def _bypassing(book: Book, supply: Net, ground: Net) -> tuple[Element, ...]:
    """The fitted capacitors between two rails, each once."""
    above, below = merged_rail(book, supply), merged_rail(book, ground, to_ground=True)
    return tuple(dict.fromkeys(_between(book, above, below)))


def _between(book: Book, above: dict[str, Net], below: dict[str, Net]) -> Iterator[Element]:
    """The capacitors with an end on each of two rails."""
    for net in above.values():
        for element, position in book.pins(net):
            if element.kind == "C" and fitted(book, element) and element.nets[1 - position].name in below:
                yield element


def _bypass(book: Book, block: Block, name: str) -> Fact:
    """The sum; a lower bound where some of the values are known, unknown where none is."""
    if block.net("supply") is None or block.net("ground") is None:
        return Fact(name, Unknown(f"{block.path} has no supply or ground pin", (f"{block.path} supply pin",)))
    values = [capacitor(book, element) for element in bypass_capacitors(book, block)]
    known = [value for value in values if isinstance(value, Dependence)]
    if values and not known:
        return Fact(name, next(value for value in values if isinstance(value, Unknown)))
    total = constant(0.0, FARAD, text="no capacitor between supply and ground")
    if known:
        text = "sum of the capacitors between supply and ground"
        total = combine(lambda *each: sum(each[1:], each[0]), *known, unit=FARAD, text=text)
    return fact(name, total, book.options)


def _ramp(book: Book, block: Block, name: str) -> Fact:
    """As a `ramp` statement on the rail says, without the part below the rated lower end."""
    net = block.net("supply")
    nets = merged_rail(book, net).values() if net is not None else ()
    found = next((s for each in nets if (s := about_net(book, Ramp, each)) is not None), None)
    if found is None:
        return Fact(name, Unknown(f"nothing states how fast the supply of {block.path} rises", ("ramp",)))
    rated, volts = block.part.supply.rated, supply_voltage(book, block)
    if isinstance(volts, Unknown):
        return Fact(name, volts)
    if rated is None:
        return Fact(name, Unknown("no rated supply", ("supply rated",)))
    left = max(0.0, 1 - rated.low / volts.nominal) if volts.nominal > 0 else 1.0
    rise = found.rise
    value = Span(rise.low * left, rise.middle * left, rise.high * left, SECOND)
    evidence = input_of(f"ramp {found.net.text}", format_span(rise), "statement", found.place)
    law = "time from the rated lower end of the supply to its settled value, at an even slope"
    return Fact(name, value, law, (evidence, *volts.inputs))
