"""Walking out from a net to the nets whose voltage is known, and what the network there amounts to."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit import dc
from drc.circuit.model import Net
from drc.circuit.network import Branch, Junction, Network
from drc.circuit.star import star
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, combine, constant, each_state, missing, varying
from drc.facts.leads import Diode, Lead, Light, Obstacle, OwnPin, Resistive, leads
from drc.facts.model import Unknown
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, OHM, VOLT

if TYPE_CHECKING:
    from drc.circuit.network import Array


class Link(NamedTuple):
    """An extra resistance between two nets while a question is asked: a discharge path, a driven output."""

    label: str
    a: Net
    b: Net
    ohm: Dependence


class Equivalent(NamedTuple):
    """The Thevenin equivalent at a net: open-circuit voltage (V) and source resistance (ohm).

    Where nothing connects the net, `resistance` is infinite and `voltage` Unknown. `elements` are the paths
    of the elements that take part, `rails` the names of the held nets reached.
    """

    voltage: Quantity
    resistance: Quantity
    elements: tuple[str, ...] = ()
    rails: tuple[str, ...] = ()


class Region(NamedTuple):
    """A network with quantities for values: what `solve` turns into arithmetic.

    `branches` are (branch, its ohm), `stiff` maps nodes to voltages, `injections` are (node, current into).
    """

    branches: tuple[tuple[Branch, Quantity], ...]
    stiff: Mapping[str, Quantity]
    junctions: tuple[tuple[Junction, Dependence], ...]
    injections: tuple[tuple[str, Dependence], ...]
    obstacles: tuple[Unknown, ...]
    rails: tuple[str, ...]


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
        self.injections: list[tuple[str, Dependence]] = []
        self.obstacles: list[Unknown] = []
        self.rails: list[str] = []
        self.queue: list[Net] = []
        self.seen: set[str] = set()

    def from_net(self, start: Net) -> Region:
        """Everything from a net out to nets that are held."""
        self._reach(start)
        while self.queue:
            self._visit(self.queue.pop(0))
        return Region(
            tuple(self.branches.values()),
            self.stiff,
            tuple(self.junctions.values()),
            tuple(self.injections),
            tuple(self.obstacles),
            tuple(self.rails),
        )

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
                self.junctions[lead.label] = (Junction(lead.label, *ends, 0.0, lead.slope_ohm), lead.drop)
                self._reach(lead.cathode if lead.anode == net else lead.anode)
        elif isinstance(lead, Light):
            self._leak(net, lead.label, lead.leakage)
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
        if leakage:
            span = Span(-leakage, 0.0, leakage, AMPERE)
            self.injections.append((net.name, varying(f"{label} leakage", span)))


def equivalent(region: Region, node: str) -> Equivalent | Unknown:
    """The Thevenin equivalent of a region at a node; Unknown names everything that blocks it."""
    values = [ohm for _, ohm in region.branches]
    held = list(region.stiff.values())
    blocked = missing(*region.obstacles, *values, *held)
    if blocked is not None:
        return blocked
    elements = tuple(branch.label for branch, _ in region.branches) + tuple(
        junction.label for junction, _ in region.junctions
    )
    drops = [drop for _, drop in region.junctions]
    solver = _Solver(region, node)
    parts = (*values, *held, *drops)
    ohm = each_state(
        lambda *each: combine(solver.ohm, *each, unit=OHM, text=f"source resistance at {node}"), *parts
    )
    if not region.stiff or _open(ohm):
        nothing = Unknown(f"nothing sets the voltage of {node}", (f"voltage of {node}",))
        return Equivalent(nothing, constant(np.inf, OHM, text="open"), elements, region.rails)
    currents = [current for _, current in region.injections]
    volt = each_state(
        lambda *each: combine(solver.volt, *each, unit=VOLT, text=f"open-circuit voltage at {node}"),
        *parts,
        *currents,
    )
    return Equivalent(volt, ohm, elements, region.rails)


def _open(ohm: Quantity) -> bool:
    """Whether nothing connects the node, in any state."""
    if isinstance(ohm, Dependence):
        return ohm.nominal == np.inf
    return not isinstance(ohm, Unknown) and all(each.nominal == np.inf for _, each in ohm.states)


def _arms(region: Region, node: str) -> list[int] | None:
    """For each branch the held node at its other end, by number; None if the region is more than a star."""
    order = {name: number for number, name in enumerate(region.stiff)}
    far = [branch.b if branch.a == node else branch.a for branch, _ in region.branches]
    batteries = any(branch.emf_v for branch, _ in region.branches)
    touching = all(node in (branch.a, branch.b) for branch, _ in region.branches)
    if region.junctions or batteries or not touching or node in order or any(at not in order for at in far):
        return None
    return [order[at] for at in far]


class _Solver:
    """The arithmetic of a region at a node, over columns (draws,): ohms, stiff volts, drops, injections."""

    def __init__(self, region: Region, node: str) -> None:
        self.region, self.node = region, node
        self.ohms = len(region.branches)
        self.held = len(region.stiff)
        self.drops = len(region.junctions)
        branches = tuple(branch for branch, _ in region.branches)
        junctions = tuple(junction for junction, _ in region.junctions)
        names = dict.fromkeys((node, *(at for at, _ in region.injections)), 0.0)
        self.network = Network(branches, dict.fromkeys(region.stiff, 0.0), names, junctions)
        self.arms = _arms(region, node)
        self.last: tuple[Array, tuple[Array, Array]] | None = None

    def ohm(self, *columns: "Array") -> "Array":
        """Source resistance, (draws,)."""
        return self._solved(columns)[1]

    def volt(self, *columns: "Array") -> "Array":
        """Open-circuit voltage with the injections, (draws,)."""
        count = self.ohms + self.held + self.drops
        volt = self._solved(columns[:count])[0]
        for (at, _), current in zip(self.region.injections, columns[count:], strict=True):
            volt = volt + current * self._transfer(at, columns)
        return volt

    def _transfer(self, at: str, columns: "tuple[Array, ...]") -> "Array":
        """Volts at the node for an ampere into another, (draws,); junctions left out."""
        if at == self.node:
            return self._solved(columns[: self.ohms + self.held + self.drops])[1]
        dead = tuple(branch._replace(emf_v=0.0) for branch in self.network.branches)
        network = self.network._replace(
            branches=dead, injections={**self.network.injections, at: 1.0}, junctions=()
        )
        ohms = np.stack(columns[: self.ohms], axis=1) if self.ohms else np.empty((1, 0))
        return dc.voltages(network, ohms)[:, network.nodes.index(self.node)]

    def _solved(self, columns: "tuple[Array, ...]") -> "tuple[Array, Array]":
        """Voltage and resistance, kept for the next call with the same columns."""
        table = np.stack(columns, axis=1)
        if self.last is not None and np.array_equal(self.last[0], table):
            return self.last[1]
        ohms, held = table[:, : self.ohms], table[:, self.ohms : self.ohms + self.held]
        if self.arms is not None and (ohms > 0).all():
            self.last = (table, star(ohms, held[:, self.arms]))
            return self.last[1]
        drops = table[:, self.ohms + self.held :]
        result = (np.empty(len(table)), np.empty(len(table)))
        for row in np.unique(drops, axis=0):
            rows = (drops == row).all(axis=1)
            junctions = tuple(
                junction._replace(drop_v=float(drop))
                for junction, drop in zip(self.network.junctions, row, strict=True)
            )
            network = self.network._replace(junctions=junctions)
            result[0][rows], result[1][rows] = dc.thevenin(network, self.node, ohms[rows], held[rows])
        self.last = (table, result)
        return result
