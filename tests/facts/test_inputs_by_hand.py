"""How an input pin stands on its resistors: dividers by Ohm's law against 0.3 and 0.7 of a supply of 3 V."""

import math

import pytest

from drc.facts.book import Book
from drc.facts.logic import logic_level
from drc.facts.model import Unknown
from tests.facts.chain_boards import chained
from tests.facts.timing_boards import block, fact, span

ROW = "XU1 vdd cfg out 0 rt {} TS1\nRT rt 0 100k 0%\nRA vdd cfg 50k 0%\nRB cfg 0 30k 0%\n"


def board(lines: str, intent: str = "", net: str = "trg") -> Book:
    """A one-shot with its trigger on a net, without tempcos."""
    more = ".model DX D(IS=1e-14)\n"
    return chained(
        ROW.format(net) + more + lines + "\n", f"ambient 25degC .. 25degC\nassume * tempco 0ppm\n{intent}"
    )


@pytest.mark.parametrize(
    ("upper", "lower", "rest", "level"),
    [
        (10e3, math.inf, "high", "high"),
        (math.inf, 10e3, "low", "low"),
        (10e3, 10e3, "moved", None),
        (10e3, 30e3, "high", "high"),
        (30e3, 10e3, "low", "low"),
        (10e3, 21e3, "high", None),
        (21e3, 10e3, "low", None),
        (10e3, 19e3, "moved", None),
        (19e3, 10e3, "moved", None),
        (10e3, 23.4e3, "high", "high"),
        (23.4e3, 10e3, "low", "low"),
    ],
)
def test_a_divider_holds_an_input(upper: float, lower: float, rest: str, level: str | None) -> None:
    """At rest by thirds of the supply; read surely beyond the part's levels only; margin to the nearer."""
    lines = f"R1 vdd trg {upper} 0%\n" * math.isfinite(upper)
    lines += f"R2 trg 0 {lower} 0%\n" * math.isfinite(lower)
    of = board(lines + "C1 trg 0 1n 0%\n")
    volts = 3.0 if math.isinf(lower) else 0.0 if math.isinf(upper) else 3 * lower / (upper + lower)
    ohm = upper if math.isinf(lower) else lower if math.isinf(upper) else upper * lower / (upper + lower)
    assert fact(of, "trigger.rest").value == rest
    assert fact(of, "input.floating").value == "none"
    assert span(of, "input.level_margin").middle == pytest.approx(max(0.9 - volts, volts - 2.1))
    assert span(of, "input.edge_time").middle == pytest.approx(math.log(9) * ohm * 1e-9)
    assert fact(of, "input.slowest").value == "trigger"
    found = logic_level(of, block(of), "trigger")
    assert found == level if level else isinstance(found, Unknown)


@pytest.mark.parametrize(
    ("lines", "floating"),
    [
        ("", "trigger"),
        ("C1 trg 0 1n", "trigger"),
        ("R1 trg far 10k", "trigger"),
        ("R1 trg vdd 10meg", "none"),
        ("D1 trg vdd DX", "trigger"),
        ("D1 0 trg DX", "trigger"),
        ("D1 trg vdd DX\nD2 0 trg DX", "trigger"),
        ("D1 vdd trg DX", "none"),
        ("D1 trg 0 DX", "none"),
        ("D1 trg vdd DX\nR1 trg 0 10k", "none"),
        ("SW1 trg 0 BUTTON", "trigger"),
        ("SW1 trg 0 BUTTON\nR1 vdd trg 10k", "none"),
        ("TP1 trg PAD", "trigger"),
        ("I1 0 trg 1u", "none"),
        ("I1 0 trg 0", "trigger"),
        ("J1 trg PLUG", None),
        ("R1 trg far 1k\nJ1 far PLUG", None),
        ("X9 trg 0 MYSTERY", None),
    ],
)
def test_what_leaves_an_input_floating(lines: str, floating: str | None) -> None:
    """A clamp conducts beyond the rails alone; an open button, a capacitor or a pad holds nothing.

    A connector, or a part that nobody knows, may hold it: unknown.
    """
    value = fact(board(lines), "input.floating").value
    assert isinstance(value, Unknown) if floating is None else value == floating


@pytest.mark.parametrize(
    ("net", "lines", "intent", "rest", "level"),
    [
        ("vdd", "", "", "tied", "high"),
        ("0", "", "", "tied", "low"),
        ("trg", "R1 trg vdd 0", "", "tied", "high"),
        ("trg", "R1 trg 0 0", "", "tied", "low"),
        ("trg", "V9 trg 0 3", "", "high", "high"),
        ("trg", "V9 trg 0 1.5", "", "moved", None),
        ("trg", "R1 trg vdd 10k", "signal trg period 1ms", "high", "switched"),
        ("trg", "R1 trg vdd 10k", "signal trg 0V .. 3V", "moved", "switched"),
        ("trg", "R1 trg vdd 10k", "signal trg 0V .. 0.5V", "moved", "low"),
        ("trg", "R1 trg vdd 10k", "signal trg 2.5V .. 3V", "moved", "high"),
        ("trg", "R1 trg vdd 10k", "signal trg 0.5V .. 1.5V", "moved", None),
        ("trg", "V9 trg 0 PULSE(0 3 0 1n 1n 1m 2m)", "", "moved", "switched"),
        ("trg", "V9 trg 0 PULSE(2.5 3 0 1n 1n 1m 2m)", "", "moved", "high"),
    ],
)
def test_what_an_input_is_tied_to(net: str, lines: str, intent: str, rest: str, level: str | None) -> None:
    """Tied, resting, or moved; read as low, high or both."""
    of = board(lines, intent, net)
    assert fact(of, "trigger.rest").value == rest
    found = logic_level(of, block(of), "trigger")
    assert found == level if level else isinstance(found, Unknown)
