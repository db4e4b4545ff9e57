"""Pin orders one function at a time, on parts made here: what each gives, on both sides."""

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.model import Block, Part, Parts, PartUnit
from drc.blocks.pins import Order, order_of, unit_order, wiring_trouble
from drc.circuit.model import Element
from drc.netlist.read import read_text
from drc.trouble import Place

HOME = Place("p.toml", 1)
PINS = ("supply", "output", "ground", "rate")
PART_P = Part(
    "P", HOME, function="oscillator", pins=PINS, packages={"S4": ("ground", "output", "supply", "rate")}
)


def element(line: str) -> Element:
    """The element of one line, its part taken as a leaf."""
    (found,) = read_text(f"t\n{line}\n").elements()
    return found


def block(line: str, part: Part, package: str = "") -> Block:
    """A block with the part's own pin order."""
    found = element(line)
    pins = {role: (net,) for role, net in zip(part.pins, found.nets, strict=True)}
    return Block(found.path, None, part, found, "part", pins, found.place, package=package)


@pytest.mark.parametrize(
    ("line", "pins", "troubles"),
    [
        ("X1 0 q vdd r P", PINS, 1),
        ("X1 vdd q 0 r P", PINS, 0),
        ("X1 0 q 0 r P", PINS, 0),
        ("X1 vdd q vss r P", PINS, 0),
        ("X1 0 q r P", ("supply", "output", "rate"), 0),
        ("X1 vdd q r P", ("supply", "output", "rate"), 0),
        ("X1 q vss r P", ("output", "ground", "rate"), 0),
        ("X1 q 0 r P", ("output", "ground", "rate"), 0),
        ("X1 q r P", ("output", "rate"), 0),
    ],
)
def test_supply_on_ground_and_ground_elsewhere(line: str, pins: tuple[str, ...], troubles: int) -> None:
    """Only both together are told of, and only where the part has both pins."""
    assert len(wiring_trouble(block(line, PART_P._replace(pins=pins, packages={})))) == troubles


@pytest.mark.parametrize(
    ("package", "pins", "offered"),
    [
        ("", ("ground", "output", "supply", "rate"), True),
        ("S4", ("ground", "output", "supply", "rate"), False),
        ("", ("ground", "output", "supply"), False),
        ("", ("ground", "supply", "output", "rate"), True),
        ("", ("rate", "output", "ground", "supply"), False),
        ("", ("ground", "ground", "output", "supply"), False),
        ("", ("supply", "ground", "output", "rate"), False),
    ],
)
def test_a_package_is_offered_where_its_rails_fit(package: str, pins: tuple[str, ...], offered: bool) -> None:
    """Ground pins on ground and no supply pin there, as many pins as nodes, and not the one in use."""
    (trouble,) = wiring_trouble(block("X1 0 q vdd r P", PART_P._replace(packages={"S4": pins}), package))
    assert trouble.message.endswith("; the order of package S4 would fit: add package=S4") is offered
    assert (trouble.kind, trouble.level, trouble.others) == ("pin-wiring", "warning", (HOME,))


def test_an_order_without_a_header() -> None:
    """The part's own, or the package's that the name or the line chose; none where the count is wrong."""
    assert order_of(element("X1 a b c d P"), PART_P, "") == Order(PINS)
    assert order_of(element("X1 a b c d P"), PART_P, "S4") == Order(PART_P.packages["S4"], "S4")
    assert order_of(element("X1 a b c d P package=s4"), PART_P, "") == Order(PART_P.packages["S4"], "S4")
    for line in ("X1 a b c P", "X1 a b c d e P"):
        order = order_of(element(line), PART_P, "")
        assert (order.roles, order.package, [t.kind for t in order.troubles]) == ((), "", ["pin-count"])


def test_a_unit_s_order() -> None:
    """None of a wrong count, its own of the part's, else what a package or header says is the unit's."""
    unit = PartUnit("A", ("supply", "output", "ground", "-"))
    for whole, roles in (
        (Order(()), ()),
        (Order(PINS), unit.pins),
        (Order(("A.output", "B.output", "supply", "ground")), ("output", "-", "supply", "ground")),
        (Order(("B.rate", "A.rate", "AA.rate", "nc")), ("-", "rate", "-", "nc")),
    ):
        assert unit_order(element("X1 a b c d P"), PART_P, unit, whole) == whole._replace(roles=roles)


def test_a_role_of_several_pins_has_a_first_net() -> None:
    """In the order of the line; a role that no pin has is on no net."""
    part = PART_P._replace(pins=("ground", "supply", "ground", "rate"), packages={})
    (found,) = find_blocks(read_text("t\nX1 a b c d P\n"), Parts({"P": part})).blocks
    assert [net.name for net in found.pins["ground"]] == ["a", "c"]
    assert [net and net.name for net in map(found.net, ("ground", "supply", "output"))] == ["a", "b", None]


def test_a_block_keeps_the_package_in_use() -> None:
    """By the line or the name, and none of either."""
    parts = Parts({"P": PART_P})
    for line, package in (("X1 a b c d P", ""), ("X1 a b c d P-S4", "S4"), ("X1 a b c d P package=S4", "S4")):
        (found,) = find_blocks(read_text(f"t\n{line}\n"), parts).blocks
        assert (found.package, found.unit, found.path) == (package, None, "X1")
        assert [net.name for net in found.pins["output"]] == ["b"]
        assert [net.name for net in found.pins["supply"]] == ["c" if package else "a"]
