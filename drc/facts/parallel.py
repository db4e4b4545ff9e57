"""Paralleled halves: alike blocks whose inputs are on the same nets and whose outputs are joined."""

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.feed import joined_nets
from drc.facts.lead import own_pins

_OWN = frozenset({"output", "nc"})
"""Roles that paralleled halves need not share."""


def rivals(book: Book, block: Block) -> tuple[Block, ...]:
    """The blocks whose output is joined to this one's without resistance, by path."""
    net = block.net("output")
    found = {
        pin.block.path: pin.block
        for joined in (joined_nets(book, net) if net is not None else ())
        for pin in own_pins(book, joined)
        if pin.role == "output" and pin.block.path != block.path
    }
    return tuple(found[path] for path in sorted(found))


def paralleled(block: Block, other: Block) -> bool:
    """Whether two blocks drive the same way at the same time: alike, every input on the same nets."""
    same = block.part.function == other.part.function and block.pins.keys() == other.pins.keys()
    return same and all(nets == other.pins[role] for role, nets in block.pins.items() if role not in _OWN)
