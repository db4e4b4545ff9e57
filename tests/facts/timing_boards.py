"""Small boards around one block of an invented part, for the tests of timing facts."""

from drc.blocks.find import find_blocks
from drc.blocks.model import Block
from drc.blocks.parts import parse_parts
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.facts.model import Fact, Subject, Unknown
from drc.facts.options import FactOptions
from drc.intent.read import join, read_annotations, read_statements
from drc.netlist.read import read_text
from drc.quantity.span import Span

CLOCK = """
supply = {{ rated = "2.0V .. 6.0V", limit = "7V" }}
ambient = "-40degC .. 125degC"
rate = {{ voltage = "0.5V +/- 2%", current = "1uA .. 20uA", resistance = "25kohm .. 500kohm", law = "ratio" }}
timing = {{ period = "2us", at_current = "20uA", at_supply = "3.0V", error = "1%", tempco = "+/- 50ppm", \
supply_error = "0.1%/V"{timing} }}
strap = {{ levels = 4, threshold_error = "0.5%", read = "once" }}
codes = [
    {{ code = 0, prescale = 1 }},
    {{ code = 1, prescale = 10 }},
    {{ code = 2, prescale = 100 }},
    {{ code = 3, prescale = 10, inverted = true }},
]
output = {{ kind = "push-pull", source = "10mA", sink = "10mA", resistance = "20ohm", disabled = "low" }}
"""
"""A clock of 2 us at 20 uA, so 2 us * R / 25 kohm with a resistor to ground at the ratio law."""


def part(name: str, function: str, pins: str = "", more: str = "", timing: str = "") -> str:
    """A part of the test's own: supply, strap, output, ground, rate, then `pins`."""
    order = ", ".join(f'"{role}"' for role in f"supply strap output ground rate {pins}".split())
    head = f'[part.{name}]\ntitle = "test part"\nsource = "this test"\n'
    head += f'function = "{function}"\npins = [{order}]\n'
    return head + CLOCK.format(timing=timing and f", {timing}") + more + "\n"


def book(netlist: str, parts: str, intent: str = "", options: FactOptions | None = None) -> Book:
    """The book of a board; lines `*@` of the netlist and the intent's bare lines are both read."""
    circuit = read_text(f"a board of a test\n{netlist}\n.end\n")
    stated = join(read_statements(intent, "board.intent"), read_annotations(circuit.annotations))
    assert not stated.troubles, stated.troubles
    return open_book(find_blocks(circuit, parse_parts(parts)), stated, options or FactOptions())


def block(of: Book, path: str = "XU1") -> Block:
    """The block at a path."""
    return next(b for b in of.board.blocks if b.path == path)


def fact(of: Book, name: str, path: str = "XU1") -> Fact:
    """A fact about a block."""
    found = block(of, path)
    return of.fact(Subject("block", found.path, found.place, found), name)


def span(of: Book, name: str, path: str = "XU1") -> Span:
    """The span of a fact that must be one."""
    found = fact(of, name, path)
    assert found.span is not None, found
    return found.span


def unknown(of: Book, name: str, path: str = "XU1") -> Unknown:
    """The Unknown of a fact that must be one."""
    found = fact(of, name, path)
    assert isinstance(found.value, Unknown), found
    return found.value
