"""Statements of pulses that no timing block listens to, by hand."""

import pytest

from drc.facts.subjects import troubles
from tests.facts.chain_boards import block, chained

SHOT = (
    block("U2", "TS1", "out", "kick")
    + "R9 far kick 1k\nR8 vdd far 10k\nQ1 kick base 0 NS\nR7 base dark 10k\n"
)


def told(intent: str, netlist: str = SHOT) -> list[tuple[str, str, int]]:
    """Kind, level and line of the troubles that statements of signals bring."""
    found = troubles(chained(netlist, intent))
    return [(t.kind, t.level, t.place.line) for t in found if t.kind == "signal-without-listener"]


@pytest.mark.parametrize("net", ["kick", "far", "k*"])
def test_what_a_pin_takes_in_is_heard(net: str) -> None:
    """On the trigger's own net, behind a resistor, by a star."""
    assert told(f"signal {net} bounce 8ms") == []


@pytest.mark.parametrize("part", ["bounce 8ms", "period 1s", "high 1ms", "low 1ms"])
@pytest.mark.parametrize("net", ["dark", "base", "out", "d*"])
def test_what_no_pin_takes_in_is_a_warning(net: str, part: str) -> None:
    """Behind a transistor, and on an output: each kind of statement, once, where it stands."""
    assert told(f"ambient 25degC\nsignal {net} {part}") == [("signal-without-listener", "warning", 2)]


def test_a_voltage_alone_and_a_board_without_blocks_are_not_spoken_of() -> None:
    """A voltage is used wherever the network reaches; without blocks another finding says so."""
    assert told("signal dark 0V .. 3V") == []
    assert told("signal far bounce 8ms", "R8 vdd far 10k\n") == []
