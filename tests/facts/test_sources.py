"""What a source holds its net at: SPICE's waveforms, on a net that feeds a supply pin and on another."""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence, States
from drc.facts.model import Unknown
from drc.facts.stiff import feeds, held
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

Levels = tuple[float, ...] | float | None


def at(of: Book, name: str) -> Levels:
    """One voltage, the levels of states, or None where it is unknown or not held."""
    net = of.board.circuit.net(name)
    assert net is not None
    found = held(of, net)
    if isinstance(found, States):
        return tuple(state.nominal for _, state in found.states)
    return found.nominal if isinstance(found, Dependence) else None


PULSES: list[tuple[str, Levels, Levels]] = [
    ("4", 4.0, 4.0),
    ("DC 4", 4.0, 4.0),
    ("PULSE(0 4 1m 1u 1u 1 2)", 4.0, (0.0, 4.0)),
    ("PULSE(0 4 1m 1u 1u 10m 20m)", 4.0, (0.0, 4.0)),
    ("PULSE(0 4 1m 1u 1u 9m 20m)", None, (0.0, 4.0)),
    ("PULSE(4 0 1m 1u 1u 1 2)", 4.0, (0.0, 4.0)),
    ("PULSE(0 -4 1m 1u 1u 1 2)", -4.0, (-4.0, 0.0)),
    ("PULSE(4 4 1m 1u 1u 1m 2m)", 4.0, 4.0),
    ("PWL(0 0 1m 4)", 4.0, (0.0, 4.0)),
    ("PWL(0 4 1m 4)", 4.0, 4.0),
    ("SIN(0 1 1k)", None, (-1.0, 1.0)),
]


@pytest.mark.parametrize(("wave", "feeding", "plain"), PULSES)
def test_a_waveform_settles_on_a_rail_and_has_levels_elsewhere(
    wave: str, feeding: Levels, plain: Levels
) -> None:
    """A supply is judged once up (10 ms or for good); a signal takes each of its levels, the least first."""
    of = book(CENTRED.replace("V1 vdd 0 4", f"V1 vdd 0 {wave}") + f"V2 ctl 0 {wave}\nR9 ctl 0 1k\n", PLAIN)
    assert at(of, "vdd") == feeding
    assert at(of, "ctl") == plain


def test_sources_stack_with_their_signs() -> None:
    """a is 2 V above b, b 1 V below ground, c 3 V below a: 1 V, -1 V, -2 V."""
    of = book(CENTRED + "V2 a b 2\nV3 0 b 1\nV4 a c 3\nR9 c 0 1k\n", PLAIN)
    assert (at(of, "a"), at(of, "b"), at(of, "c")) == (1.0, -1.0, -2.0)


def test_sources_in_a_ring_hold_nothing() -> None:
    """Two nets that lean on each other alone are floating."""
    of = book(CENTRED + "V2 a b 2\nV3 b a 1\nR9 a b 1k\n", PLAIN)
    net = of.board.circuit.net("a")
    assert net is not None
    found = held(of, net)
    assert found is None or isinstance(found, Unknown)


@pytest.mark.parametrize("line", ["X9 ctl 0 MYSTERY", "R7 ctl 0 1k", "XU2 vdd ctl o2 0 r2 vdd PL1"])
def test_what_feeds_a_supply_pin(line: str) -> None:
    """The rail of a block does; a net of other pins, of resistors, or of an unknown part does not."""
    of = book(f"{CENTRED}R9 ctl 0 1k\n{line}\n", PLAIN)
    rail, other = of.board.circuit.net("vdd"), of.board.circuit.net("ctl")
    assert rail is not None
    assert other is not None
    assert feeds(of, rail)
    assert not feeds(of, other)
