"""Walking out from a net to the nets whose voltage is known: the network between."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from drc.circuit.model import Element, Net
from drc.circuit.network import Branch, Junction
from drc.facts.book import Book
from drc.facts.contacts import is_plug
from drc.facts.dependence import Dependence, Quantity, constant, input_of, varying
from drc.facts.lead import Diode, Driving, Lead, Light, Obstacle, OwnPin, Resistive
from drc.facts.leads import leads
from drc.facts.model import Unknown
from drc.facts.stated import about_net
from drc.intent.model import Load
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.quantity.unit import AMPERE

LARGEST = 250
"""Branches and junctions beyond which a network is not solved: time grows with the cube of its nodes."""


class Link(NamedTuple):
    """An extra resistance between two nets while a question is asked: a discharge path, a driven output."""

    label: str
    a: Net
    b: Net
    ohm: Dependence


class Region(NamedTuple):
    """A network with quantities for values: what `solve` turns into arithmetic.

    `branches` are (branch, its ohm), `stiff` maps nodes to voltages, `injections` are (node, current in);
    `nets` are those inside, held ones apart; `diodes` are the elements behind junctions, by label.
    """

    branches: tuple[tuple[Branch, Quantity], ...]
    stiff: Mapping[str, Quantity]
    junctions: tuple[tuple[Junction, Dependence], ...]
    injections: tuple[tuple[str, Dependence], ...]
    obstacles: tuple[Unknown, ...]
    rails: tuple[str, ...]
    nets: tuple[str, ...] = ()
    diodes: Mapping[str, Element] = {}


class Held(NamedTuple):
    """A pin that holds its net at a voltage."""

    voltage: Quantity


class Taking(NamedTuple):
    """A light pin: its leakage (A), and pull resistors as (label, to, ohm)."""

    leakage: float | None
    pulls: tuple[tuple[str, Net, Dependence], ...] = ()


class Driven(NamedTuple):
    """An output: its level and its resistance, in each of its states."""

    level: Quantity
    ohm: Quantity


PinAtDc = Held | Taking | Driven | Unknown
"""What a pin of a timing block or helper is to the network on it."""


class Terms(NamedTuple):
    """How a region is walked: who knows a net's voltage, and what a block's pin is.

    `held` are further nets (by name) at given voltages, `links` are added, `without` are element paths, or
    `PATH ROLE` for one pin of a block, that are left out.
    """

    voltage: Callable[[Book, Net], Quantity | None]
    pin: Callable[[Book, OwnPin], PinAtDc]
    held: Mapping[str, Dependence] = {}
    links: tuple[Link, ...] = ()
    without: frozenset[str] = frozenset()


def walk(book: Book, net: Net, terms: Terms) -> Region:
    """The region around a net, out to the nets that `terms.voltage` knows."""
    return _Walk(book, terms).from_net(net)


class _Walk:
    """One walk: nets waiting, nets seen, and what was met."""

    def __init__(self, book: Book, terms: Terms) -> None:
        self.book, self.terms = book, terms
        self.branches: dict[str, tuple[Branch, Quantity]] = {}
        self.stiff: dict[str, Quantity] = {}
        self.junctions: dict[str, tuple[Junction, Dependence]] = {}
        self.diodes: dict[str, Element] = {}
        self.injections: list[tuple[str, Dependence]] = []
        self.obstacles: list[Unknown] = []
        self.rails: list[str] = []
        self.queue: list[Net] = []
        self.seen: set[str] = set()
        self.inside: list[str] = []

    def from_net(self, start: Net) -> Region:
        """Everything from a net out to nets that are held."""
        self._reach(start)
        while self.queue:
            self._visit(self.queue.pop(0))
        for name in self.inside[1:]:
            self._note_plug(name)
        if len(self.branches) + len(self.junctions) > LARGEST:
            because = f"more than {LARGEST} resistors and diodes hang together on {start.name}"
            self.obstacles.append(Unknown(because, (f"network on {start.name}",)))
        return Region(
            tuple(self.branches.values()),
            self.stiff,
            tuple(self.junctions.values()),
            tuple(self.injections),
            tuple(self.obstacles),
            tuple(self.rails),
            tuple(self.inside),
            self.diodes,
        )

    def _note_plug(self, name: str) -> None:
        """A resistor that leads to a connector and nowhere else, or several side by side, carries nothing:
        an assumption.
        """
        net = self.book.board.circuit.net(name)
        ends = [label for label, (branch, _) in self.branches.items() if name in (branch.a, branch.b)]
        held = any(name in (j.anode, j.cathode) for j, _ in self.junctions.values())
        branches = (self.branches[label][0] for label in ends)
        behind = {branch.b if branch.a == name else branch.a for branch in branches}
        if net is None or len(behind) != 1 or held or about_net(self.book, Load, net) is not None:
            return
        plug = next((p.element.path for p in self.book.pins(net) if is_plug(p.element.path)), None)
        branch, ohm = self.branches[ends[0]]
        if plug is not None and isinstance(ohm, Dependence):
            note = f"nothing is brought to {name} through {plug}"
            self.branches[ends[0]] = (branch, ohm._replace(assumptions=(*ohm.assumptions, note)))

    def _reach(self, net: Net) -> None:
        """Put a net in line, once."""
        if net.name not in self.seen:
            self.seen.add(net.name)
            self.queue.append(net)

    def _visit(self, net: Net) -> None:
        """A held net ends the walk; any other is spread to what hangs on it."""
        voltage = self.terms.held.get(net.name) or self.terms.voltage(self.book, net)
        if isinstance(voltage, Unknown):
            self.obstacles.append(voltage)
            return
        if voltage is not None:
            self.stiff[net.name] = voltage
            self.rails.append(net.name)
            return
        self.inside.append(net.name)
        for trouble in self.book.lost(net):
            self.obstacles.append(trouble)
        for link in self.terms.links:
            if net in (link.a, link.b):
                self.branches[link.label] = (Branch(link.label, link.a.name, link.b.name, 0.0), link.ohm)
                self._reach(link.b if net == link.a else link.a)
        for lead in leads(self.book, net):
            self._take(net, lead)

    def _take(self, net: Net, lead: Lead) -> None:
        """One lead into the network."""
        if isinstance(lead, Resistive):
            if lead.path not in self.terms.without and lead.label not in self.branches:
                branch = Branch(lead.label, net.name, lead.other.name, 0.0, lead.emf_v)
                self.branches[lead.label] = (branch, lead.ohm)
                self._reach(lead.other)
        elif isinstance(lead, Diode):
            if lead.label.partition(" ")[0] not in self.terms.without and lead.label not in self.junctions:
                ends = (lead.anode.name, lead.cathode.name)
                junction = Junction(lead.label, *ends, 0.0, lead.slope_ohm)
                self.junctions[lead.label] = (junction, lead.drop)
                if lead.forward_of is not None:
                    self.diodes[lead.label] = lead.forward_of
                self._reach(lead.cathode if lead.anode == net else lead.anode)
        elif isinstance(lead, Light):
            self._leak(net, lead.label, lead.leakage)
        elif isinstance(lead, Driving):
            if lead.label not in self.terms.without:
                self.injections.append((net.name, lead.ampere))
        elif isinstance(lead, Obstacle):
            if lead.label not in self.terms.without:
                self.obstacles.append(Unknown(lead.because, (lead.label,)))
        else:
            self._own(net, lead)

    def _own(self, net: Net, pin: OwnPin) -> None:
        """A pin of a timing block or helper."""
        if pin.label in self.terms.without or pin.block.element.path in self.terms.without:
            return
        met = self.terms.pin(self.book, pin)
        if isinstance(met, Unknown):
            self.obstacles.append(met)
        elif isinstance(met, Held):
            self.stiff[net.name] = met.voltage
            self.rails.append(pin.label)
        elif isinstance(met, Taking):
            self._leak(net, pin.label, met.leakage)
            for label, to, ohm in met.pulls:
                self.branches[label] = (Branch(label, net.name, to.name, 0.0), ohm)
                self._reach(to)
        else:
            self._driver(net, pin.label, met)

    def _driver(self, net: Net, label: str, driven: Driven) -> None:
        """An output: its level behind its resistance, in each of its states."""
        inner = f"{label} (driven)"
        self.stiff[inner] = driven.level
        self.branches[label] = (Branch(label, inner, net.name, 0.0), driven.ohm)
        self.rails.append(label)

    def _leak(self, net: Net, label: str, leakage: float | None) -> None:
        """A leakage of either sign into a node."""
        name = f"{label} leakage"
        if leakage is None:
            none = constant(0.0, AMPERE)._replace(assumptions=(f"{name} assumed to be none",))
            self.injections.append((net.name, none))
        elif leakage:
            span = Span(-leakage, 0.0, leakage, AMPERE)
            evidence = input_of(name, f"+/- {format_value(leakage, AMPERE)}", "part file")
            self.injections.append((net.name, varying(name, span, evidence)))
