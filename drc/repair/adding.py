"""Elements that a board lacks for the part that stands there now: strap pair, timing resistor."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from drc.blocks.model import Block, Code
from drc.circuit.model import Element, Net, Token
from drc.facts.book import Book
from drc.netlist.source import decode
from drc.quantity.span import Span
from drc.quantity.unit import CELSIUS
from drc.repair.change import Added, Candidate, Rewrite, value_text
from drc.repair.fit import Fit
from drc.repair.picking import PAIR_OHM, Means, rates, strap_pair
from drc.repair.placing import fresh, wires
from drc.repair.trial import Bench

_LINE_END = re.compile(r"\r\n|\n|\r")
_KIND = 9
"""The kind of a candidate that adds elements: after all that change what is there."""

_LEAST, _MOST = 100.0, 100e6
"""Between which ohms new resistors are chosen."""


class New(NamedTuple):
    """An element to be added: its letter, nodes in the words of the block's scope, value (SI), the rest."""

    kind: str
    nodes: tuple[str, str]
    value: float
    rest: str = ""


def added(bench: Bench, book: Book, block: Block, new: tuple[New, ...], skip: int = 0) -> Added | None:
    """Lines of new elements before a block's own; None where the format has no such lines.

    `skip` designators of each kind are left to others that are added with these.
    """
    name = _name(bench, block.element)
    if name is None:
        return None
    taken = {kind: _highest(book, kind) + skip for kind in {each.kind for each in new}}
    lines = []
    for each in new:
        taken[each.kind] += 1
        words = (f"{each.kind}{taken[each.kind]}", *each.nodes, value_text(each.value, ""))
        lines.append(" ".join((*words, *filter(None, (each.rest or _manner(book, block, each.kind),)))))
    return Added(block.element, name.token, tuple(lines), name.end)


class _Name(NamedTuple):
    """Where an element's name stands, and how lines end in its file."""

    token: Token
    end: str


def _name(bench: Bench, element: Element) -> _Name | None:
    """None where the element is no line of a netlist."""
    place = element.place
    if not element.pin_tokens or not place.line or not place.length:
        return None
    text = decode(bench.reading.source(bench.root / place.path), place.path).text
    ends = list(_LINE_END.finditer(text))
    if place.line > len(ends) + 1:
        return None
    start = (ends[place.line - 2].end() if place.line > 1 else 0) + place.column - 1
    word = text[start : start + place.length]
    token = Token(place.path, start, start + place.length, word)
    return _Name(token, ends[0].group() if ends else "\n")


def _highest(book: Book, kind: str) -> int:
    """The highest number of a designator of a kind, wherever it stands: names stay unique in every scope."""

    def look() -> int:
        names = (element.path.rpartition(".")[2] for element in book.board.circuit.elements())
        numbers = (int(name[1:]) for name in names if name[:1].upper() == kind and name[1:].isdecimal())
        return max(numbers, default=0)

    found = book.once(("designators", kind), look)
    return found if isinstance(found, int) else 0


def _manner(book: Book, block: Block, kind: str) -> str:
    """Tolerance and tempco as the block's own scope writes them on the lines of such elements."""
    found = book.once(("manner", kind, block.path), lambda: _look_for_manner(book, block, kind))
    return found if isinstance(found, str) else ""


def _look_for_manner(book: Book, block: Block, kind: str) -> str:
    """The words of the first such element that has any."""
    scope = block.element.path.rpartition(".")[0].lower()
    for element in book.board.circuit.elements():
        if element.kind == kind and element.path.rpartition(".")[0].lower() == scope:
            said = {
                k: v for k, v in element.parameters.items() if k in ("tol", "tolerance", "tc1", "tc2", "tc")
            }
            if said:
                return " ".join(f"{key}={value}" for key, value in said.items())
    return ""


def new_strap(bench: Bench, book: Book, block: Block, row: Code) -> Candidate | None:
    """A strap pair where there is none, or a tie to the rail for an end code; None where none is possible."""
    pin, own = block.part.strap, wires(block)
    word, supply, ground = (own.word(role) for role in ("strap", "supply", "ground"))
    if pin is None or word is None or supply is None or ground is None:
        return None
    tied = word.lower() in (supply.lower(), ground.lower())
    if not tied and _others(block, block.net("strap")):
        return None
    pair = strap_pair(pin, row.code, _means(bench, book, PAIR_OHM))
    if pair is None:
        return None
    at = own.roles.index("strap")
    upper, lower = pair
    if upper is None or lower is None:
        rail = ground if upper is None else supply
        change = Rewrite(block.element, block.element.pin_tokens[at], rail)
        return Candidate((change,), f"the strap of {block.path} tied to {rail}", 1, _KIND)
    net = fresh(book, block, "strap") if tied else word
    lines = added(bench, book, block, (New("R", (supply, net), upper), New("R", (net, ground), lower)))
    if lines is None:
        return None
    moved = (Rewrite(block.element, block.element.pin_tokens[at], net),) if tied else ()
    why = f"a strap pair for {block.path} that reads code {row.code}"
    return Candidate((*moved, lines), why, 2, _KIND)


def new_rates(bench: Bench, book: Book, block: Block, row: Code, time: Span) -> Iterator[Fit]:
    """A timing resistor to ground where nothing is on the rate pin."""
    own = wires(block)
    word, ground = own.word("rate"), own.word("ground")
    if word is None or ground is None or _others(block, block.net("rate")):
        return
    for ohm in rates(block.part, row, time.middle, _means(bench, book, (_LEAST, _MOST))):
        lines = added(bench, book, block, (New("R", (word, ground), ohm),), skip=2)
        if lines is not None:
            yield Fit((lines,), 0.0)


def _others(block: Block, net: Net | None) -> bool:
    """Whether anything but the block is on a net."""
    return net is not None and any(pin.element.path != block.element.path for pin in net.pins())


def _means(bench: Bench, book: Book, ohms: tuple[float, float]) -> Means:
    """Values of the pool, those on the board first."""
    found = book.once(("values present",), lambda: _values(book))
    present = found if isinstance(found, frozenset) else frozenset()
    return Means(
        tuple(bench.pool.between(*ohms)), present, None, Span(25.0, 25.0, 25.0, CELSIUS), 0.01, 100e-6
    )


def _values(book: Book) -> frozenset[float]:
    """The resistances on the board."""
    return frozenset(e.value for e in book.board.circuit.elements() if e.kind == "R" and e.value)
