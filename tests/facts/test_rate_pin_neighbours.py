"""What hangs on a rate pin besides its resistor: junctions, leakages, sources that only push; by hand.

The pin stands at 0.5 V +/- 2 %. A junction counts as on from 0.3 of its drop, 0.6 V to 0.8 V for a bare
diode, so from 0.18 V in the worst case; a semiconductor leaks 50 nA (both common practice, no source).
"""

import pytest

from drc.facts.book import Book
from drc.facts.rate_neighbours import SEMICONDUCTOR_A, SIGNAL_ROLES
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

MODELS = (
    ".model QN npn(is=1e-14 bf=100)\n.model QP pnp(is=1e-14 bf=100)\n.model MN nmos(vto=1)\n"
    ".model MP pmos(vto=-1)\n.model JN njf(vto=-2)\n"
)
FILE = f"""{PLAIN}
[part.PL1S]
like = "PL1"
output = {{ kind = "open-source", source = "8mA", resistance = "25ohm" }}

[part.PL1T]
like = "PL1"
output = {{ kind = "three-state", source = "8mA", resistance = "25ohm" }}

[part.PLX]
like = "PL1"
output = [
    {{ kind = "open-source", resistance = "25ohm", at_supply = "2V .. 3V" }},
    {{ kind = "push-pull", resistance = "25ohm", at_supply = "3V .. 5V" }},
]
"""
BARE = CENTRED.replace("R3 rt 0 100k tol=1%\n", "")
SECOND = "R6 rt2 0 100k\nR7 vdd cfg2 22k\nR8 cfg2 0 10k\nXU2 vdd cfg2 {out} 0 {rate} vdd {part}\n"


def of(lines: str, board: str = CENTRED, intent: str = "") -> Book:
    """A board with more on its rate pin."""
    return book(f"{board}{MODELS}{lines}\n", FILE, intent)


@pytest.mark.parametrize(
    ("way", "on"),
    [
        ("R9 rt m 10k 0%\nR8 m 0 5.4k 0%\nD9 m 0 DX", False),
        ("R9 rt m 10k 0%\nR8 m 0 5.5k 0%\nD9 m 0 DX", True),
        ("R9 rt m 10k 0%\nR8 m 0 5.5k 0%\nD9 0 m DX", False),
        ("R9 rt m 10k 0%\nR8 m 0 5k 0%\nD8 0 m DX\nD9 rt 0 DX", True),
        ("D8 0 rt DX\nD9 rt vdd DX", False),
        ("R9 rt m 100k 0%\nD9 m g DX\nV9 g 0 0.3", True),
        ("R9 rt m 100k 0%\nD9 m g DX\nV9 g 0 0.4", False),
    ],
)
def test_from_where_a_junction_may_conduct(way: str, on: bool) -> None:
    """0.51 V over 10k and 5.4k leave 0.1788 V, over 5.5k 0.181 V; above 0.3 V there are 0.21 V left."""
    found = of(way)
    if on:
        assert unknown(found, "rate.current").missing == ("current through D9",)
        assert unknown(found, "rate.resistance").missing == ("current through D9",)
    else:
        assert span(found, "rate.current").middle > 0


@pytest.mark.parametrize(("high", "on"), [("0.3", True), ("0.1", False)])
def test_a_junction_that_one_state_turns_on_is_enough(high: str, on: bool) -> None:
    """A diode to a source of 0.5 V and of less: 0.2 V is low enough, 0.4 V is not."""
    found = of(f"D9 rt s DX\nV9 s 0 PULSE(0.5 {0.5 - float(high)} 0 1u 1u 1m 2m)")
    value = fact(found, "rate.current").value
    assert (getattr(value, "missing", None) == ("current through D9",)) is on


def test_what_blocks_the_network_is_named_before_a_junction() -> None:
    """A part that nobody knows, a value that is not given, a pin whose voltage is not."""
    assert unknown(of("D9 rt 0 DX\nX9 rt 0 OTHER"), "rate.current").missing == ("X9",)
    assert unknown(of("D9 rt 0 DX\nR9 rt 0 DNK"), "rate.current").missing == ("R9 value",)
    dark = FILE.replace('voltage = "0.5V +/- 2%", ', "")
    board = book(f"{CENTRED}D9 rt 0 DX\n", dark)
    assert unknown(board, "rate.current").missing == ("PL1 rate voltage",)


@pytest.mark.parametrize("name", ["rate.current", "rate.capacitance", "rate.shared", "rate.leakage"])
def test_a_block_without_a_rate_pin_names_it(name: str) -> None:
    """So do its openness and its resistance; nothing pushes where there is no pin."""
    pinless = PLAIN.replace('"ground", "rate", "enable"]', '"ground", "nc", "enable"]')
    board = book(CENTRED, pinless)
    assert unknown(board, name).missing == ("XU1 rate pin",)
    for other in ("rate.open", "rate.shorted", "rate.resistance", "steering.one_way"):
        assert unknown(board, other).missing == ("XU1 rate pin",)


@pytest.mark.parametrize(
    ("lines", "opened", "shorted"),
    [
        ("R3 rt 0 100k", False, False),
        ("R3 rt 0 0", False, True),
        ("R3 rt x 100k", True, False),
        ("R3 rt o2 100k\n" + SECOND.format(out="o2", rate="rt2", part="PL1T"), True, False),
        ("R3 rt o2 100k\n" + SECOND.format(out="o2", rate="rt2", part="PL1"), False, False),
        ("R3 rt 0 100k\nR9 rt o2 100k\n" + SECOND.format(out="o2", rate="rt2", part="PL1T"), False, False),
    ],
)
def test_open_or_shorted_in_any_state(lines: str, opened: bool, shorted: bool) -> None:
    """An output that can be off leaves a resistor to it open while it is; one beside it does not."""
    found = of(lines, BARE)
    assert fact(found, "rate.open").value is opened
    assert fact(found, "rate.shorted").value is shorted
    for name in ("rate.open", "rate.shorted"):
        assert fact(found, name).law
    if opened:
        assert unknown(found, "rate.resistance").missing == ("XU1 timing resistor",)
    if lines == "R3 rt 0 100k":
        law = fact(found, "rate.resistance").law
        assert law == "R_th of the network on the rate pin"


def test_what_the_part_file_rates_the_pin_for() -> None:
    """Resistance, current and capacitance; each is named where there is no rate table."""
    whole = of("")
    assert span(whole, "rate.resistance_rated")[:3] == (25e3, None, 500e3)
    current = span(whole, "rate.current_rated")
    assert (current.low, current.high) == pytest.approx((1e-6, 20e-6))
    assert span(whole, "rate.capacitance_rated").middle == pytest.approx(20e-12)
    start = PLAIN.index("rate     = {")
    bare = PLAIN[:start] + PLAIN[PLAIN.index("\n", PLAIN.index('law = "ratio"', start)) + 1 :]
    for name in ("resistance", "current", "capacitance"):
        assert unknown(book(CENTRED, bare), f"rate.{name}_rated").missing == (f"PL1 rate {name}",)


def test_what_a_semiconductor_leaks() -> None:
    """Diode, bipolar, MOSFET and JFET count once each, however many pins stand on the network."""
    assert SEMICONDUCTOR_A == 50e-9
    for lines, count in (
        ("D9 0 rt DX", 1),
        ("Q9 rt rt 0 QN", 1),
        ("M9 rt 0 0 0 MN", 1),
        ("J9 rt 0 0 JN", 1),
        ("D9 0 rt DX\nD8 0 rt DX\nM9 rt 0 0 0 MN", 3),
        ("R9 rt 0 1meg", 0),
        ("C9 rt 0 1n", 0),
        ("R9 rt m 1k\nD9 0 m DX\nD7 0 far DX", 1),
    ):
        found = fact(of(lines), "rate.leakage")
        assert found.span is not None, lines
        assert found.span.middle == pytest.approx(count * 50e-9), lines
        leaks = [each for each in found.inputs if each.origin == "common practice"]
        assert len(leaks) == count
        assert all(each.place is not None and each.value == "50 nA" for each in leaks)


def test_leakage_of_a_pin_is_added_at_its_largest() -> None:
    """20 nA of another block's strap upon the 50 nA of a diode, and the part file's word for it."""
    lines = "R9 rt far 10k\nXU2 vdd far o2 0 rt2 vdd PL1\nR6 rt2 0 100k\nD9 0 rt DX"
    found = fact(of(lines), "rate.leakage")
    assert found.span is not None
    assert (found.span.low, found.span.high) == pytest.approx((70e-9, 70e-9))
    assert [each.origin for each in found.inputs] == ["common practice", "part file"]
    steady = fact(of("I9 0 rt 1u"), "rate.leakage")
    assert steady.span is not None
    assert steady.span.high == 0


def test_two_shared_rate_pins_are_told_by_the_first() -> None:
    """By path; a strap, or a rail, in the same network is no rate pin."""
    third = SECOND.replace("XU2", "XU3").replace("rt2", "rt3").replace("cfg2", "cfg3").replace("R6", "R16")
    third = third.replace("R7", "R17").replace("R8", "R18")
    lines = third.format(out="o3", rate="rt", part="PL1") + SECOND.format(out="o2", rate="rt", part="PL1")
    assert fact(of(lines), "rate.shared").value == "XU2"
    assert fact(of("R9 rt cfg 1meg"), "rate.shared").value == "none"
    assert fact(of("R9 rt vdd 1meg"), "rate.shared").value == "none"


N_HIGH = "Q9 vdd b rt QN\nR9 b 0 10k"


@pytest.mark.parametrize(
    ("lines", "source"),
    [
        (N_HIGH, "Q9"),
        ("M9 vdd b rt rt MN\nR9 b 0 10k", "M9"),
        (N_HIGH.replace("QN", "QP"), "none"),
        ("M9 vdd b rt rt MP\nR9 b 0 10k", "none"),
        (N_HIGH.replace("Q9 vdd", "Q9 0"), "none"),
        (N_HIGH.replace("Q9 vdd", "Q9 x") + "\nR8 x vdd 1k", "none"),
        ("Q9 vdd rt b QN\nR9 b 0 10k", "none"),
        ("Q9 rt b vdd QN\nR9 b 0 10k", "none"),
        ("D9 far rt DX\nR9 far vdd 10k", "D9"),
        ("D9 rt far DX\nR9 far vdd 10k", "none"),
        ("R8 rt m 10k\nD9 far m DX\nR9 far vdd 10k", "D9"),
        ("D9 far rt DX\nR9 far vdd 10k\nD8 g rt DX\nR8 g vdd 10k", "none"),
        (SECOND.format(out="far", rate="rt2", part="PL1S") + "R9 far rt 100k", "XU2"),
        (SECOND.format(out="far", rate="rt2", part="PL1") + "R9 far rt 100k", "none"),
        (SECOND.format(out="far", rate="rt2", part="PLX") + "R9 far rt 100k", "none"),
        ("R9 rt x 10k", "none"),
        (
            "D9 far rt DX\nR9 far vdd 10k\nR5 rt o2 1k\n" + SECOND.format(out="o2", rate="rt2", part="PL1"),
            "none",
        ),
        ("D9 far rt DX\nR9 far vdd 10k\nX9 rt 0 OTHER", "none"),
    ],
)
def test_which_source_only_pushes(lines: str, source: str) -> None:
    """A diode towards the pin, an n-type's emitter or source below a rail, an output that is an open source.

    A p-type, one on ground or below a resistor, other pins of it, an output that also sinks, are none.
    """
    found = fact(of(lines, BARE), "steering.one_way")
    assert found.value == source
    assert found.law


@pytest.mark.parametrize("role", ["rate", "strap", "output", "enable"])
def test_a_lonely_part_on_any_pin_is_found(role: str) -> None:
    """Whatever pin it is on, and whichever way round it is drawn; the part is named in the law."""
    assert set(SIGNAL_ROLES) >= {"rate", "strap", "output", "enable"}
    net = {"rate": "rt", "strap": "cfg", "output": "out", "enable": "en"}[role]
    board = CENTRED.replace("rt vdd PL1", "rt en PL1")
    for drawn in (
        f"R9 {net} far 1k",
        f"R9 far {net} 1k",
        f"C9 {net} far 1n",
        f"L9 {net} far 1u",
        f"D9 far {net} DX",
    ):
        found = fact(of(drawn, board), "block.lonely_net")
        assert (found.value, found.law) == ("far", f"{drawn[:2]} is the only part on far"), drawn


@pytest.mark.parametrize(
    ("lines", "intent"),
    [
        ("R9 out far 1k\nTP1 far PAD", ""),
        ("R9 out far 1k", "same other far"),
        ("R9 out far 1k", "same FAR other"),
        ("R9 out far 1k", "signal far period 1ms"),
        ("Q9 out far 0 QN", ""),
        ("R9 out vdd 1k", ""),
        ("R9 out 0 1k", ""),
    ],
)
def test_what_leads_somewhere(lines: str, intent: str) -> None:
    """A second pin, a statement in either place, a part of three pins, a rail."""
    assert fact(of(lines, intent=intent), "block.lonely_net").value == "none"
    afloat = CENTRED.replace(" 0 ", " g ").replace("vdd 0", "vdd g")
    assert fact(of("R9 out 0 1k", afloat, "supply g 0V"), "block.lonely_net").value == "none"
    other = fact(of("R9 out far 1k", intent="same other another"), "block.lonely_net")
    assert other.value == "far"
