"""How an RC timer is wired: astable or one-shot, and the networks that charge and discharge its capacitor."""

from typing import Literal, NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, States, constant, input_of
from drc.facts.elements import fitted
from drc.facts.lead import Resistive
from drc.facts.leads import leads
from drc.facts.model import Unknown
from drc.facts.rails import rail
from drc.facts.region import capacitance, region
from drc.facts.walk import Link, Region
from drc.quantity.text import format_value
from drc.quantity.unit import OHM

Wiring = Literal["astable", "one-shot", "astable from its output"]


class Phase(NamedTuple):
    """The network on the capacitor while the output is high or low.

    `level` is that of the block's own output, where it takes part.
    """

    region: Region
    level: Literal["high", "low"]


class RcWiring(NamedTuple):
    """What the resistors and the capacitor make of the timer. `node` is the capacitor's net."""

    kind: Wiring
    node: Net
    capacitance: Dependence
    charge: Phase
    discharge: Phase


def wiring(book: Book, block: Block) -> RcWiring | Unknown:
    """The wiring of an RC timer, or why it is none that is known here."""
    pins = {role: block.net(role) for role in ("threshold", "trigger", "discharge", "ground")}
    threshold, trigger, discharge, ground = pins.values()
    if threshold is None or trigger is None or ground is None:
        lacking = [role for role, net in pins.items() if net is None]
        return Unknown(f"{block.path} has no {' or '.join(lacking)} pin", tuple(f"{r} pin" for r in lacking))
    kind = _kind(book, block, threshold, trigger, discharge)
    if isinstance(kind, Unknown):
        return kind
    capacitor = _capacitor(book, block, threshold)
    if isinstance(capacitor, Unknown):
        return capacitor
    link = _discharge_link(block, discharge, ground) if kind != "astable from its output" else ()
    if isinstance(link, Unknown):
        return link
    without = frozenset({f"{block.path} discharge"})
    charge = Phase(region(book, threshold, without=without), "high")
    empty = Phase(region(book, threshold, links=link, without=without), "low")
    slow = _second_capacitor(book, block, threshold, charge.region)
    return slow or RcWiring(kind, threshold, capacitor, charge, empty)


def of_level(quantity: Quantity, block: Block, level: str) -> Quantity:
    """The states in which the block's own output is at a level; one state left is a plain quantity."""
    if not isinstance(quantity, States):
        return quantity
    kept = tuple(
        (tuple(c for c in conditions if c[0] != block.path), state)
        for conditions, state in quantity.states
        if dict(conditions).get(block.path, level) == level
    )
    return kept[0][1] if len(kept) == 1 and not kept[0][0] else States(kept)


def joined(book: Book, a: Net, b: Net) -> bool:
    """Whether two nets are one: by name, or through links of 0 ohm."""
    seen, queue = {a.name}, [a]
    while queue:
        net = queue.pop()
        if net == b:
            return True
        for lead in leads(book, net):
            if isinstance(lead, Resistive) and lead.joins and lead.other.name not in seen:
                seen.add(lead.other.name)
                queue.append(lead.other)
    return False


def _kind(book: Book, block: Block, threshold: Net, trigger: Net, discharge: Net | None) -> Wiring | Unknown:
    """Which of the known wirings it is."""
    free = joined(book, threshold, trigger)
    emptied = discharge is not None and joined(book, threshold, discharge)
    around = region(book, threshold)
    reached = discharge is not None and discharge.name in around.nets
    if not free and (emptied or reached):
        return "one-shot"
    if free and reached and not emptied:
        return "astable"
    if free and not emptied and f"{block.path} output" in around.rails:
        return "astable from its output"
    return Unknown(
        f"{block.path} is wired neither as an astable (threshold joined to trigger, discharge between two "
        "resistors) nor as a one-shot (threshold to discharge, trigger apart)",
        (f"{block.path} wiring",),
    )


def _capacitor(book: Book, block: Block, node: Net) -> Dependence | Unknown:
    """The capacitance from the threshold net to nets that are held."""
    total = capacitance(book, node)
    if isinstance(total, Unknown):
        return total
    if total.nominal == 0:
        return Unknown(f"no capacitor is on {node.name}, the threshold of {block.path}", ("capacitor",))
    for pin in book.pins(node):
        element = pin.element
        if element.kind != "C" or not fitted(book, element):
            continue
        for other in element.nets:
            if other != node and rail(book, other) is None:
                return Unknown(
                    f"{element.path} runs from {node.name} to {other.name}, which nothing holds",
                    (other.name,),
                )
    return total


def _discharge_link(block: Block, discharge: Net | None, ground: Net) -> tuple[Link, ...] | Unknown:
    """The discharge switch, on."""
    ohm = block.part.discharge.resistance if block.part.discharge is not None else None
    if discharge is None or ohm is None:
        because = f"part {block.part.name} gives no resistance of its discharge switch"
        return Unknown(because, (f"{block.part.name} discharge.resistance",))
    evidence = input_of(f"{block.path} discharge", format_value(ohm, OHM), "part file", block.part.place)
    return (Link(f"{block.path} discharge switch", discharge, ground, constant(ohm, OHM, evidence)),)


def _second_capacitor(book: Book, block: Block, node: Net, around: Region) -> Unknown | None:
    """A capacitor elsewhere in the timing network: it makes the response one of second order."""
    for name in around.nets:
        net = book.board.circuit.net(name)
        if net is None or net == node or joined(book, net, node):
            continue
        for pin in book.pins(net):
            if pin.element.kind == "C" and fitted(book, pin.element):
                because = (
                    f"{pin.element.path} on {name} gives the timing network of {block.path} a second order"
                )
                return Unknown(because, (pin.element.path,))
    return None
