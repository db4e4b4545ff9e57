"""Changes of connections and parts: a wrong rail, crossed pins, another package, the wrong variant."""

from collections.abc import Iterator
from itertools import combinations

from drc.blocks.model import Block, Part, Parts
from drc.circuit.model import Element, Token
from drc.facts.book import Book
from drc.facts.model import Unknown
from drc.facts.strap import strap_network
from drc.repair.change import Candidate, Rewrite

_RAIL, _ORDER, _EXCHANGE, _VARIANT = 5, 6, 7, 8
"""Kinds of slip, after those of values."""


def rail_candidates(book: Book, block: Block) -> Iterator[Candidate]:
    """The end of a strap resistor that is on a foreign rail moved to the block's own supply or ground."""
    network, strap = strap_network(book, block), block.net("strap")
    if isinstance(network, Unknown) or strap is None:
        return
    own = {role: block.net(role) for role in ("supply", "ground")}
    for path in network.elements:
        element = book.board.circuit.element(path)
        if element is None or element.kind != "R" or not _same_scope(element, block.element):
            continue
        for net, token in zip(element.nets, element.pin_tokens, strict=False):
            if net == strap or net in own.values():
                continue
            for role in own:
                named = _word(block, role)
                if named is not None:
                    why = f"{path} ends on {net.name} in place of the block's own {role}"
                    yield Candidate((Rewrite(element, token, named.text),), why, 1, _RAIL)


def _same_scope(one: Element, other: Element) -> bool:
    """Whether two elements stand in the same subcircuit, so that a net has one name for both."""
    return one.path.rpartition(".")[0].lower() == other.path.rpartition(".")[0].lower()


def _word(block: Block, role: str) -> Token | None:
    """The block's own word for the net of a role."""
    net, element = block.net(role), block.element
    pairs = zip(element.nets, element.pin_tokens, strict=False)
    return next((token for each, token in pairs if each == net), None)


def exchange_candidates(block: Block) -> Iterator[Candidate]:
    """Two pins of the block's line exchanged; none where the line has no pin for a role to be on."""
    element = block.element
    if not block.pins:
        return
    for (i, one), (j, other) in combinations(enumerate(element.pin_tokens), 2):
        if one.text.lower() != other.text.lower():
            changes = (Rewrite(element, one, other.text), Rewrite(element, other, one.text))
            why = f"pins {i + 1} and {j + 1} of {element.path} are crossed"
            yield Candidate(changes, why, 1, _EXCHANGE)


def order_candidates(block: Block) -> Iterator[Candidate]:
    """The block's nets put in the order of the part's pins, where they were drawn for another package."""
    part, tokens = block.part, block.element.pin_tokens
    for name, order in part.packages.items():
        if len(order) != len(part.pins) or len(tokens) != len(order) or order == part.pins:
            continue
        if len(set(order)) == len(order) and set(order) == set(part.pins):
            changes = _reordered(block.element, order, part)
            yield Candidate(changes, f"{block.element.path} is drawn for package {name}", 1, _ORDER)


def _reordered(element: Element, order: tuple[str, ...], part: Part) -> tuple[Rewrite, ...]:
    """Each pin takes the net that stands where the other order has its role."""
    tokens = element.pin_tokens
    wanted = (tokens[order.index(role)].text for role in part.pins)
    pairs = zip(tokens, wanted, strict=True)
    return tuple(Rewrite(element, token, new) for token, new in pairs if token.text != new)


def variant_candidates(block: Block, parts: Parts) -> Iterator[Candidate]:
    """Another part of the same function and pins in its place, everything else left alone."""
    token, part = block.element.part_token, block.part
    if token is None:
        return
    for other in parts.by_name.values():
        alike = other.function == part.function and other.pins == part.pins and "*" not in other.name
        if alike and other.name.lower() != part.name.lower():
            change = Rewrite(block.element, token, other.name)
            yield Candidate((change,), f"{other.name} in place of {part.name}", 1, _VARIANT)
