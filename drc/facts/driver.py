"""The current that a source behind a resistance drives into a region, junctions fitted where they work."""

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit import dc
from drc.circuit.network import Branch
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity, combine, each_state, input_of, missing, varying
from drc.facts.equivalent import Arithmetic, parts_of
from drc.facts.forward import forward
from drc.facts.stated import about_net
from drc.facts.walk import Region
from drc.intent.model import Load
from drc.quantity.text import format_span
from drc.quantity.unit import AMPERE

if TYPE_CHECKING:
    from drc.circuit.network import Array

REFITS = 3
"""How often the straight pieces of junctions are moved to the current that flows."""

LEAST_AMPERE = 1e-6
"""A junction that carries less is fitted at this current, A."""


class Driver(NamedTuple):
    """A source: its level (V) behind its resistance (ohm)."""

    label: str
    level: Dependence
    ohm: Dependence


def with_loads(book: Book, region: Region, sign: float) -> Region:
    """The region with what `load` statements hang on its nets.

    `sign` is 1 to draw from the nets, -1 to feed them: where a load's other end goes is not stated, so
    that it burdens a high and a low output alike.
    """
    drawn: list[tuple[str, Dependence]] = []
    for name in region.nets:
        net = book.board.circuit.net(name)
        statement = about_net(book, Load, net) if net is not None else None
        if statement is not None:
            text = format_span(statement.current)
            evidence = input_of(f"load {name}", text, "statement", statement.place)
            load = varying(f"load {name}", statement.current, evidence, bias=True)
            drawn.append((name, combine(lambda ampere: -sign * ampere, load, unit=AMPERE)))
    return region._replace(injections=(*region.injections, *drawn))


def driver_current(book: Book, region: Region, node: str, driver: Driver) -> Quantity:
    """Current out of a source into a node of a region, A; Unknown names what blocks it."""
    branch = Branch(driver.label, driver.label, node, 0.0)
    whole = region._replace(
        branches=(*region.branches, (branch, driver.ohm)),
        stiff={**region.stiff, driver.label: driver.level},
    )
    blocked = missing(*whole.obstacles, *(ohm for _, ohm in whole.branches), *whole.stiff.values())
    if blocked is not None:
        return blocked
    if not whole.junctions:
        return each_state(lambda *each: _current(whole, each), *parts_of(whole))

    def fitted(*each: Dependence) -> Dependence:
        first = sum(Arithmetic(whole).sizes[:2])
        here, quantities = whole, each
        for _ in range(REFITS):
            here = _refitted(book, here, quantities)
            drops = tuple(drop for _, drop in here.junctions)
            quantities = (*each[:first], *drops, *each[first + len(drops) :])
        return _current(here, quantities)

    return each_state(fitted, *parts_of(whole))


def _current(region: Region, each: tuple[Dependence, ...]) -> Dependence:
    """Current out of the last stiff node."""
    arithmetic = Arithmetic(region)

    def law(*columns: "Array") -> "Array":
        ohms, volts, drops, amperes = arithmetic.tables(columns)
        point = dc.operating(arithmetic.network, ohms, volts, drops=drops, injections=amperes)
        return np.asarray(point.stiff_amperes[:, -1])

    return combine(law, *each, unit=AMPERE, text="current out of the driver")


def _refitted(book: Book, region: Region, each: tuple[Dependence, ...]) -> Region:
    """The region with its junctions' straight pieces where the nominal current flows."""
    arithmetic = Arithmetic(region)
    columns = tuple(np.array([one.nominal]) for one in each)
    ohms, volts, drops, amperes = arithmetic.tables(columns)
    point = dc.operating(arithmetic.network, ohms, volts, drops=drops, injections=amperes)
    index = {name: k for k, name in enumerate(arithmetic.network.nodes)}
    knees = []
    for k, (junction, drop) in enumerate(region.junctions):
        element = region.diodes.get(junction.label)
        if element is None:
            knees.append((junction, drop))
            continue
        ends = point.volts[0, [index[junction.anode], index[junction.cathode]]]
        ampere = max(float((ends[0] - ends[1] - drops[0, k]) / junction.slope_ohm), LEAST_AMPERE)
        fitted, slope = forward(book, element, ampere)
        knees.append((junction._replace(slope_ohm=slope), fitted))
    return region._replace(junctions=tuple(knees))
