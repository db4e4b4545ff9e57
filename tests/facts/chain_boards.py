"""Boards of several blocks of invented parts, for the tests of chains."""

from drc.facts.book import Book
from drc.facts.model import Fact, Subject, Unknown
from drc.quantity.span import Span
from tests.facts.timing_boards import book, part

LEVELS = 'low = "0.3 supply", high = "0.7 supply", limit = "supply + 0.3V"'
TRIGGER = 'edge = "rising", retriggerable = false, recovery = "0s"'
GATES = """
[part.TG1]
title = "inverter"
source = "this test"
function = "gate"
pins = ["input", "output", "supply", "ground"]
supply = { rated = "2V .. 6V" }
gate = { logic = "inverter" }
output = { kind = "push-pull", resistance = "40ohm" }

[part.TG2]
like = "TG1"
gate = { logic = "xor" }

[part.TW1]
title = "high-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "high", inverts = false, resistance = "50mohm" }
"""
MODELS = ".model NS NPN(IS=1e-14)\n.model PS PNP(IS=1e-14)\n.model MN NMOS\n.model MP PMOS\n"


def parts(trigger: str = TRIGGER, edges: str = "both") -> str:
    """TO1 an oscillator, TS1 a one-shot, TD1 an edge delay, TR1 a one-shot that starts again, and gates.

    Each makes 2 us at 25 kohm, times 10 by the strap of `board`; 1 % error.
    """
    enable = f'input.enable = {{ {LEVELS}, active = "high" }}'
    shot = f'input.trigger = {{ {LEVELS}, width = "100ns" }}\ntrigger = {{ {{}} }}'
    again = TRIGGER.replace("false", "true")
    delay = f'input.signal = {{ {LEVELS} }}\nsignal = {{ edges = "{edges}", restart = true }}'
    return "\n".join(
        (
            part("TO1", "oscillator", "enable", enable),
            part("TS1", "one-shot", "trigger", shot.replace("{}", trigger)),
            part("TR1", "one-shot", "trigger", shot.replace("{}", again)),
            part("TD1", "edge-delay", "signal", delay),
            GATES,
        )
    )


def block(name: str, kind: str, out: str, pin: str, *, ohm: str = "100k", supply: str = "vdd") -> str:
    """A block with its strap at code 1 (times 10), its timing resistor, its output and its last pin."""
    return (
        f"X{name} {supply} cfg{name} {out} 0 rt{name} {pin} {kind}\n"
        f"RT{name} rt{name} 0 {ohm} 0%\n"
        f"RA{name} {supply} cfg{name} 30k 0%\nRB{name} cfg{name} 0 10k 0%\n"
    )


def chained(netlist: str, intent: str = "", part_file: str | None = None) -> Book:
    """The book of a board at 3 V on vdd, transistor models at hand."""
    return book(f"V1 vdd 0 3.0\n{MODELS}{netlist}", part_file or parts(), intent)


def pairs(of: Book) -> list[str]:
    """The pairs of the board, as they are called."""
    return [subject.path for subject in of.subjects("pair")]


def pair_fact(of: Book, name: str, path: str | None = None) -> Fact:
    """A fact about a pair, of the only one if none is named."""
    found = of.subjects("pair")
    if path is None:
        assert len(found) == 1, pairs(of)
        return of.fact(found[0], name)
    return of.fact(next(s for s in found if s.path == path), name)


def pair_span(of: Book, name: str, path: str | None = None) -> Span:
    """The span of a fact that must be one."""
    found = pair_fact(of, name, path)
    assert found.span is not None, found
    return found.span


def pair_unknown(of: Book, name: str, path: str | None = None) -> Unknown:
    """The Unknown of a fact that must be one."""
    found = pair_fact(of, name, path)
    assert isinstance(found.value, Unknown), found
    return found.value


def only(of: Book) -> Subject:
    """The only pair of a board."""
    (found,) = of.subjects("pair")
    return found
