"""Facts about supplies beyond the first voltage: what contradicts it, and a second supply of a block."""

from drc.blocks.model import Block, SupplyRating
from drc.facts.block_facts import line
from drc.facts.book import Book
from drc.facts.dependence import Quantity, fact, input_of, lift, missing
from drc.facts.model import Entry, Fact, Unknown
from drc.facts.rails import ground_voltage, rail
from drc.facts.ratings import rating
from drc.facts.stated import about_net
from drc.intent.model import Supply
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import VOLT


def supply_entries() -> tuple[Entry, ...]:
    """The catalogue's lines about contradictions and second supplies."""
    return (
        line(
            "supply.contradicted",
            "truth",
            "whether a source lies outside what is stated of its net",
            _against,
        ),
        line("second.voltage", VOLT, "voltage of the block's second supply pin", _voltage),
        line("second.rated", VOLT, "second supply at which the part keeps its figures", _rated),
        line("second.limit", VOLT, "second supply above which the part is damaged", _limit),
    )


def _against(book: Book, block: Block, name: str) -> Fact:
    """A `supply` statement, and a source on the same net whose settled voltage it does not hold."""
    net = block.net("supply")
    statement = about_net(book, Supply, net) if net is not None else None
    if net is None or statement is None:
        return Fact(name, False, "no statement is about the supply's net")
    for pin in book.pins(net):
        wave = pin.element.waveform if pin.element.kind == "V" else None
        grounded = wave is not None and pin.element.nets[1 - pin.position].is_ground
        if wave is None or not grounded or wave.settled is None:
            continue
        volts = wave.settled if pin.position == 0 else -wave.settled
        if not statement.voltage.low <= volts <= statement.voltage.high:
            stated = input_of(net.name, format_span(statement.voltage), "statement", statement.place)
            drawn = input_of(pin.element.path, format_value(volts, VOLT), "line", pin.element.place)
            return Fact(name, True, f"{pin.element.path} holds {net.name} elsewhere", (stated, drawn))
    return Fact(name, False, "no source on the supply's net says otherwise")


def _second(block: Block) -> tuple[str, SupplyRating] | Unknown:
    """The first second supply of the part that is connected, by its role."""
    for given, limits in block.part.supplies.items():
        role = f"supply-{given.lower()}"
        if block.net(role) is not None:
            return role, limits
    return Unknown(f"{block.path} has no second supply pin", (f"{block.path} second supply",))


def _voltage(book: Book, block: Block, name: str) -> Fact:
    """Against the block's ground."""
    found = _second(block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    net, ground = block.net(found[0]), ground_voltage(book, block)
    above: Quantity | None = rail(book, net) if net is not None else None
    if net is None or above is None:
        at = net.name if net is not None else found[0]
        above = Unknown(f"nothing says what {at} is at", (f"voltage of {at}",))
    if isinstance(ground, Unknown) or isinstance(above, Unknown):
        return Fact(name, missing(above, ground) or Unknown("unknown second supply"))
    text = f"V({found[0]} pin) - V(ground pin)"
    return fact(name, lift(lambda high, low: high - low, above, ground, unit=VOLT, text=text), book.options)


def _rated(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    found = _second(block)
    return Fact(name, found) if isinstance(found, Unknown) else rating(name, block, found[0], found[1].rated)


def _limit(_: Book, block: Block, name: str) -> Fact:
    """Of the part."""
    found = _second(block)
    if isinstance(found, Unknown):
        return Fact(name, found)
    return rating(name, block, f"{found[0]} limit", found[1].limit, VOLT)
