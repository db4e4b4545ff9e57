"""What a report shows of a block beyond its facts: what is around its pins, draws, and expectations."""

from collections.abc import Iterator
from itertools import islice

import numpy as np

from drc.blocks.model import Block
from drc.circuit.model import Element, Net, Pin
from drc.circuit.spread import Sampling, samples
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, canonical, spread
from drc.facts.elements import fitted, reading_of
from drc.facts.model import Unknown
from drc.facts.rails import rail
from drc.facts.strap import strap_ratio
from drc.gate.rounding import rounded, rounded_fact
from drc.outcome import Expected, Histogram, Neighbour, Surroundings
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import FARAD, HENRY, OHM, Unit

HOPS = 3
"""Nets from a pin to the farthest element drawn."""

MOST = 12
"""Elements of one net that are drawn; a net with more is marked as having more."""

COLUMNS = 24
"""Columns of a histogram."""

_UNITS: dict[str, Unit] = {"R": OHM, "C": FARAD, "L": HENRY}
_TWO_ENDED = frozenset("RCLD")


def surroundings(book: Book, block: Block) -> Surroundings:
    """The neighbourhood of every pin of a block, out to rails, ground, and parts of more than two pins."""
    found = _Near(book, block)
    for role, nets in block.pins.items():
        for net in nets:
            found.around(net, HOPS if role not in ("supply", "ground", "nc") else 0)
    supply = block.net("supply")
    if supply is not None and not supply.is_ground:
        found.bypass(supply)
    return Surroundings(
        tuple(found.elements.values()), found.rails, frozenset(found.grounds), frozenset(found.left_out)
    )


class _Near:
    """What was met around one block's pins."""

    def __init__(self, book: Book, block: Block) -> None:
        self.book, self.block = book, block
        self.elements: dict[str, Neighbour] = {}
        self.rails: dict[str, tuple[str, bool]] = {}
        self.grounds: set[str] = set()
        self.left_out: set[str] = set()
        self.seen: set[str] = set()

    def around(self, net: Net, hops: int) -> None:
        """The elements on a net, then those on the nets behind them; rails and ground end the way."""
        ends = self._held(net)
        if ends or not hops or net.name in self.seen:
            return
        self.seen.add(net.name)
        for element, position in self._on(net):
            self._take(element, position)
            beyond = _beyond(element, position)
            if len(self.elements) > MOST * HOPS:
                self.left_out.add(net.name)
                return
            for other in beyond:
                self.around(other, hops - 1)

    def bypass(self, supply: Net) -> None:
        """The capacitors from a block's supply to ground."""
        found = self.book.once(("drawn bypass", supply.name), lambda: _bypass(supply))
        for pin in () if isinstance(found, Unknown) else found:
            self.grounds.update(net.name for net in pin.element.nets if net.is_ground)
            self._take(pin.element, pin.position)

    def _on(self, net: Net) -> Iterator[tuple[Element, int]]:
        """Every other element's pin on a net, the first ones only where there are very many."""
        pins = [pin for pin in net.pins() if pin.element.path != self.block.element.path]
        if len(pins) > MOST:
            self.left_out.add(net.name)
        for pin in pins[:MOST]:
            yield pin.element, pin.position

    def _held(self, net: Net) -> bool:
        """Whether a net is ground or a rail; it is then noted as such."""
        if net.is_ground:
            self.grounds.add(net.name)
            return True
        if net.name in self.rails:
            return True
        found = rail(self.book, net)
        if found is None:
            return False
        text, above = "voltage not known", True
        if isinstance(found, Dependence):
            span = spread(found, "extreme", self.book.options, f"rail {net.name}")
            text, above = format_span(span).partition(" (nominal")[0], span.middle >= 0
        elif isinstance(found, States):
            text = "takes several levels"
        self.rails[net.name] = (text, above)
        return True

    def _take(self, element: Element, position: int) -> None:
        """An element into the list, once; the nets it ends on are looked at for rails."""
        if element.path in self.elements:
            return
        if len(element.nets) <= 4:
            for net in element.nets:
                self._held(net)
        self.elements[element.path] = Neighbour(
            element.path,
            element.kind,
            self._text(element),
            tuple(net.name for net in element.nets),
            _polarity(element),
            self._role(element, position),
            fitted(self.book, element) if element.kind in _UNITS else True,
        )

    def _text(self, element: Element) -> str:
        """The value as written, or the part's name."""
        unit = _UNITS.get(element.kind)
        if unit is None:
            return element.part or ""
        value = reading_of(self.book, element).value
        return element.part or "" if value is None else format_value(value, unit)

    def _role(self, element: Element, position: int) -> str:
        """The role of another block's pin on the net it was met on."""
        net = element.nets[position]
        for block in self.book.at(element.path):
            for role, nets in block.pins.items():
                if net in nets:
                    return role
        return ""


def _bypass(supply: Net) -> tuple[Pin, ...]:
    """The capacitors from a rail to ground, the first ones where there are very many."""
    found = (
        pin
        for pin in supply.pins()
        if pin.element.kind == "C" and any(net.is_ground for net in pin.element.nets)
    )
    return tuple(islice(found, MOST))


def _beyond(element: Element, position: int) -> tuple[Net, ...]:
    """The nets behind an element: the other end of a simple one, the switched ends of a transistor."""
    nets = element.nets
    if element.kind in _TWO_ENDED and len(nets) == 2:
        return (nets[1 - position],)
    if element.kind in "QM" and len(nets) >= 3 and position == 1:
        return (nets[0], nets[2])
    return ()


def _polarity(element: Element) -> str:
    """The kind of its model, where it is one that a symbol tells."""
    kind = element.model.kind if element.model is not None else ""
    return kind if kind in ("npn", "pnp", "nmos", "pmos") else ""


def expected(book: Book, block: Block) -> tuple[Expected, ...]:
    """Every expectation of a block, in the order written."""
    return tuple(
        Expected(
            subject.statement.text,
            subject.place,
            str(book.fact(subject, "expect.quantity").value),
            rounded_fact(book.fact(subject, "expect.wanted")),
            rounded_fact(book.fact(subject, "expect.actual")),
        )
        for subject in book.subjects("statement")
        if subject.statement is not None and subject.block == block
    )


def strap_draws(book: Book, block: Block) -> Histogram | None:
    """The strap ratio's Monte Carlo draws at every corner of supply and ambient taken together."""
    ratio = strap_ratio(book, block) if block.part.strap is not None else None
    if not isinstance(ratio, Dependence) or not ratio.causes:
        return None
    options = book.options
    sampling = Sampling(options.draws, options.seed, "strap.ratio", options.convention)
    drawn = np.concatenate(samples(*canonical(ratio), sampling))
    if not np.isfinite(drawn).all():
        return None
    edges = np.linspace(drawn.min(), drawn.max(), COLUMNS + 1)
    if (edges[1:] <= edges[:-1]).any():  # all alike, or so near that no number lies between
        return None
    counts, _ = np.histogram(drawn, edges)
    corners = len(drawn) // options.draws
    note = f"{options.draws} draws at each of {corners} corners of supply and ambient, seed {options.seed}"
    return Histogram(rounded(float(edges[0])), rounded(float(edges[-1])), tuple(counts.tolist()), note)
