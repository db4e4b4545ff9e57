"""What hangs on the output's own net, apart from the current it takes: capacitance, rails, other outputs."""

from drc.blocks.model import Block
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import fact
from drc.facts.feed import joined_voltage
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.parallel import paralleled, rivals
from drc.facts.ratings import rating
from drc.facts.region import capacitance
from drc.quantity.unit import FARAD


def output_net_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about the output's net."""
    return (
        line("output.capacitance", FARAD, "capacitance straight on the output", _capacitance),
        line("output.capacitance_rated", FARAD, "most that the output is rated for", _capacitance_rated),
        line("output.tied", "truth", "whether the output is joined to a net that something holds", _tied),
        line("output.contention", "truth", "whether another output may drive it the other way", _contention),
    )


def _capacitance(book: Book, block: Block, name: str) -> Fact:
    """Sum of the capacitors on the net."""
    net = block.net("output")
    if net is None:
        return Fact(name, Unknown(f"{block.path} has no output pin", (f"{block.path} output pin",)))
    return fact(name, capacitance(book, net), book.options, text="sum of the capacitors on the pin")


def _capacitance_rated(_: Book, block: Block, name: str) -> Fact:
    """The least of the part's rows."""
    given = [drive.capacitance for drive in block.part.outputs]
    known = [value for value in given if value is not None]
    least = min(known) if known and None not in given else None
    return rating(name, block, "output capacitance", least, FARAD)


def _tied(book: Book, block: Block, name: str) -> Fact:
    """Joined, without resistance, to a held net."""
    net = block.net("output")
    tied = net is not None and joined_voltage(book, net) is not None
    return Fact(name, tied, "the output is joined without resistance to a net that is held")


def _contention(book: Book, block: Block, name: str) -> Fact:
    """Another output on the same net; not where all are open-drain, or all open-source: a wired function."""
    net = block.net("output")
    others = [rival for rival in rivals(book, block) if not paralleled(block, rival)]
    kinds = {drive.kind for each in (block, *others) for drive in each.part.outputs}
    wired = kinds in ({"open-drain"}, {"open-source"})
    shared = f"also drives {net.name}" if net is not None else ""
    law = (
        f"{', '.join(rival.path for rival in others)} {shared}" if others else "no other output is on its net"
    )
    return Fact(name, bool(others) and not wired, law)
