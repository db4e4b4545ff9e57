"""What each pin of a block is to the network on it: held, leaking, pulled, a tap, an output; by hand."""

import math

import pytest

from drc.blocks.model import Drive
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, spread
from drc.facts.lead import OwnPin
from drc.facts.model import Unknown
from drc.facts.pins import drive_resistance, output_states, pin_at_dc
from drc.facts.region import node_voltage
from drc.facts.walk import Driven, Held, Taking
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_rc_timer import BOARD as TIMER
from tests.facts.test_rc_timer import parts as timer_parts
from tests.facts.timing_boards import block, book, fact, span

FREE = CENTRED.replace("rt vdd PL1", "rt en PL1")


def pin(of: Book, role: str) -> object:
    """What a pin of the first block is."""
    found = block(of)
    return pin_at_dc(of, OwnPin(f"{found.path} {role}", found, role))


def test_a_rate_pin_is_held_at_its_voltage_above_its_own_ground() -> None:
    """0.5 V +/- 2 % upon 1 V; without a voltage in the part file, or a ground, it is not known."""
    lifted = CENTRED.replace("out 0 rt", "out g rt") + "V8 g 0 1\n"
    held = pin(book(lifted, PLAIN), "rate")
    assert isinstance(held, Held)
    assert isinstance(held.voltage, Dependence)
    volts = spread(held.voltage, "extreme", book(lifted, PLAIN).options, "rate")
    assert (volts.low, volts.middle, volts.high) == pytest.approx((1.49, 1.5, 1.51))
    dark = pin(book(CENTRED, PLAIN.replace('voltage = "0.5V +/- 2%", ', "")), "rate")
    assert isinstance(dark, Unknown)
    assert dark.missing == ("PL1 rate voltage",)
    afloat = pin(book(CENTRED.replace("out 0 rt", "out g rt"), PLAIN), "rate")
    assert isinstance(afloat, Unknown)
    assert afloat.missing == ("ground.connected",)


@pytest.mark.parametrize("role", ["supply", "ground", "supply-io"])
def test_a_rail_that_nothing_holds_is_named(role: str) -> None:
    """A supply, a further supply or a ground takes what nobody knows."""
    found = pin(book(CENTRED, PLAIN), role)
    assert isinstance(found, Unknown)
    assert found.missing == (f"XU1 {role} voltage",)


def test_a_pin_of_another_kind_is_named() -> None:
    """Whose current no part file describes."""
    found = pin(book(CENTRED, PLAIN), "discharge")
    assert isinstance(found, Unknown)
    assert found.missing == ("XU1 discharge",)


def test_what_inputs_take() -> None:
    """The strap's leakage, an input's, and none where the part file is silent."""
    of = book(CENTRED, PLAIN.replace('active = "high" }', 'active = "high", leakage = "3nA" }'))
    assert pin(of, "strap") == Taking(20e-9)
    assert pin(of, "enable") == Taking(3e-9)
    assert pin(of, "trigger") == Taking(None)
    assert pin(of, "control") == Taking(None)
    strapless = book(CENTRED, PLAIN.replace('leakage = "20nA", ', ""))
    assert pin(strapless, "strap") == Taking(None)


@pytest.mark.parametrize(("way", "volts"), [("up", 4.0), ("down", 1.0)])
def test_a_pull_inside_the_part(way: str, volts: float) -> None:
    """100 kohm to the block's own supply or ground, and 100 kohm outside: the middle of the two."""
    file = PLAIN.replace('active = "high" }', f'active = "high", leakage = "0nA", pull = "{way} 100kohm" }}')
    lifted = FREE.replace("V1 vdd 0 4", "V1 vdd 0 4\nV8 g 0 1").replace("out 0 rt", "out g rt")
    of = book(lifted, file)
    found = pin(of, "enable")
    assert isinstance(found, Taking)
    ((label, to, ohm),) = found.pulls
    assert (label, to.name) == ("XU1 enable pull", "vdd" if way == "up" else "g")
    assert ohm.nominal == 100e3
    (evidence,) = ohm.inputs
    assert evidence[:3] == (f"XU1 enable pull {way}", "100 kohm", "part file")
    assert evidence.place == block(of).part.place
    net = of.board.circuit.net("en")
    assert net is not None
    level = node_voltage(of, net)
    assert isinstance(level, Dependence)
    assert level.nominal == pytest.approx(volts)


def test_a_pull_to_a_pin_that_the_block_has_not_pulls_nowhere() -> None:
    """A part without a ground pin."""
    file = PLAIN.replace('active = "high" }', 'active = "high", leakage = "3nA", pull = "down 100kohm" }')
    of = book(FREE, file.replace('"output", "ground"', '"output", "nc"', 1))
    assert pin(of, "enable") == Taking(3e-9)


@pytest.mark.parametrize(
    ("upper", "above", "below"), [("2/3", 5e3, 10e3), ("0.6", 6e3, 9e3), ("0.5", 7.5e3, 7.5e3)]
)
def test_the_control_pin_taps_the_ladder(upper: str, above: float, below: float) -> None:
    """Three rungs of 5 kohm, the tap at the upper threshold: with 10 kohm to ground outside beside it."""
    file = timer_parts().replace('upper = "2/3"', f'upper = "{upper}"').replace('"5kohm"', '"5kohm +/- 30%"')
    assert f'upper = "{upper}"' in file
    assert "5kohm +/- 30%" in file
    of = book(f"{TIMER}R5 cv 0 10k 0%\n", file)
    found = pin(of, "control")
    assert isinstance(found, Taking)
    assert found.leakage is None
    (first, second) = found.pulls
    assert (first[0], first[1].name, second[0], second[1].name) == (
        "XU1 ladder upper", "vdd", "XU1 ladder lower", "0",
    )  # fmt: skip
    assert (first[2].nominal, second[2].nominal) == pytest.approx((above, below))
    ends = spread(first[2], "extreme", of.options, "ladder")
    assert (ends.low, ends.high) == pytest.approx((0.7 * above, 1.3 * above))
    assert first[2].inputs[0][1:3] == ("3.5 kohm .. 6.5 kohm (nominal 5 kohm) a rung", "part file")
    supply = span(of, "supply.voltage").middle
    net = of.board.circuit.net("cv")
    assert net is not None
    level = node_voltage(of, net)
    assert isinstance(level, Dependence)
    lower = below * 10e3 / (below + 10e3)
    assert level.nominal == pytest.approx(supply * lower / (above + lower))


@pytest.mark.parametrize(
    ("old", "new"),
    [(', resistance = "5kohm"', ""), ('"supply"', '"nc"'), ('"ground"', '"nc"')],
)
def test_a_ladder_without_ohms_or_ends_is_not_known(old: str, new: str) -> None:
    """The part file's resistance, and both rails, are each wanted."""
    file = timer_parts()
    assert old in file
    found = pin(book(TIMER, file.replace(old, new)), "control")
    assert isinstance(found, Unknown)
    assert found.missing == ("TR1 ladder resistance",)


@pytest.mark.parametrize(
    ("drive", "high", "low"),
    [
        (Drive("push-pull", resistance=20), 20, 20),
        (Drive("push-pull", resistance=20, high_drop=(0.6, 0.01)), 60, 20),
        (Drive("push-pull", resistance=20, low_drop=(0.4, 0.008)), 20, 50),
        (Drive("push-pull", high_drop=(0.6, 0.01), low_drop=(0.4, 0.008)), 60, 50),
        (Drive("push-pull", low_drop=(0.4, 0.008)), None, 50),
        (Drive("push-pull"), None, None),
        (Drive("open-drain", resistance=20), math.inf, 20),
        (Drive("open-source", resistance=20), 20, math.inf),
        (Drive("open-drain"), math.inf, None),
        (Drive("open-source"), None, math.inf),
        (Drive("three-state", resistance=20), 20, 20),
    ],
)
def test_the_resistance_of_a_driven_state(drive: Drive, high: float | None, low: float | None) -> None:
    """A drop at a current goes before a resistance; an open output drives one way alone."""
    assert drive_resistance(drive, high=True) == high
    assert drive_resistance(drive, high=False) == low


PUSH = 'kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm"'


def states(output: str, board: str = FREE) -> list[str]:
    """The states of an output, each with its level and resistance as told."""
    file = PLAIN.replace(PUSH, output, 1)
    assert output in file
    of = book(board, file)
    found = output_states(of, block(of))
    assert isinstance(found, Driven)
    assert isinstance(found.level, States)
    assert isinstance(found.ohm, States)
    assert [when for when, _ in found.level.states] == [when for when, _ in found.ohm.states]
    return [
        f"{when[0][0]} {when[0][1]} {level.nominal:g} V {ohm.nominal:g} ohm"
        for (when, level), (_, ohm) in zip(found.level.states, found.ohm.states, strict=True)
    ]


BOTH = ["XU1 high 4 V 25 ohm", "XU1 low 0 V 25 ohm"]
OFF = "XU1 open 0 V inf ohm"


@pytest.mark.parametrize(
    ("output", "enable", "more"),
    [
        (PUSH, "en", []),
        (PUSH.replace("push-pull", "three-state"), "vdd", [OFF]),
        (f'{PUSH}, disabled = "open"', "en", [OFF]),
        (f'{PUSH}, disabled = "open"', "vdd", []),
        (f'{PUSH}, disabled = "open"', "0", []),
        (f'{PUSH}, disabled = "open"', "out", [OFF]),
        (f'{PUSH}, disabled = "low"', "en", []),
        (f'{PUSH}, disabled = "high"', "en", []),
    ],
)
def test_the_states_of_an_output(output: str, enable: str, more: list[str]) -> None:
    """High and low by its rails; off where it is three-state, or where a pin can turn it off to open."""
    assert states(output, CENTRED.replace("rt vdd PL1", f"rt {enable} PL1")) == BOTH + more


def test_a_reset_turns_off_as_an_enable_does() -> None:
    """Of two such pins one alone that is connected will do; on node 0 or its own ground it is not."""
    file = PLAIN.replace(PUSH, f'{PUSH}, disabled = "open"', 1)
    file = file.replace('"rate", "enable"]', '"rate", "enable", "reset"]', 1)
    for pins, open_too in (
        ("vdd rst", True),
        ("en vdd", True),
        ("vdd vdd", False),
        ("0 g", False),
        ("g 0", False),
    ):
        lifted = CENTRED.replace("out 0 rt vdd", f"out g rt {pins}") + "V8 g 0 0.5\n"
        of = book(lifted, file)
        found = output_states(of, block(of))
        assert isinstance(found, Driven)
        assert isinstance(found.ohm, States)
        assert (len(found.ohm.states) == 3) is open_too, pins


def test_an_output_s_states_rest_on_the_part_file() -> None:
    """Each resistance is evidence, with the part file's place; its levels are the rails'."""
    of = book(FREE, PLAIN)
    found = output_states(of, block(of))
    assert isinstance(found, Driven)
    assert isinstance(found.ohm, States)
    for (when, ohm), state in zip(found.ohm.states, ("high", "low"), strict=True):
        assert when == (("XU1", state),)
        assert ohm.inputs[0][:3] == (f"XU1 output {state}", "25 ohm", "part file")
        assert ohm.inputs[0].place == block(of).part.place


@pytest.mark.parametrize(
    ("old", "new", "missing"),
    [
        (PUSH, f'{PUSH}, at_supply = "5V .. 6V"', "PL1 output"),
        (', resistance = "25ohm" }', " }", "PL1 output resistance"),
        (
            ', resistance = "25ohm" }',
            ', high_drop = "0.4V at 8mA" }',
            "PL1 output resistance",
        ),
    ],
)
def test_an_output_that_the_part_file_leaves_open(old: str, new: str, missing: str) -> None:
    """No row at its supply, no resistance in a state: both what it delivers and what it does to others."""
    file = PLAIN.replace(old, new, 1)
    assert new in file
    of = book(FREE, file)
    found = output_states(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == (missing,)
    source, sink = (fact(of, f"output.{name}").value for name in ("source", "sink"))
    assert isinstance(sink, Unknown)
    assert sink.missing == (missing,)
    assert isinstance(source, Unknown) is ("high_drop" not in new)


def test_an_output_without_rails_has_no_states() -> None:
    """The supply is named."""
    of = book(FREE.replace("V1 vdd 0 4\n", ""), PLAIN)
    found = output_states(of, block(of))
    assert isinstance(found, Unknown)
    assert found.missing == ("voltage of vdd",)


def test_rows_by_supply_are_chosen_between_the_block_s_own_pins() -> None:
    """On rails of 1 V and 5 V the row of 4 V holds."""
    high, low = f'{PUSH}, at_supply = "4.5V .. 6V"', f'{PUSH}, at_supply = "3V .. 4.2V"'
    rows = f"[ {{ {high} }}, {{ {low.replace('25ohm', '40ohm')} }} ]"
    file = PLAIN.replace(f"{{ {PUSH} }}", rows, 1)
    lifted = FREE.replace("V1 vdd 0 4", "V1 vdd 0 5\nV8 g 0 1").replace("out 0 rt", "out g rt")
    of = book(f"{lifted}R9 out g 160 0%\n", file)
    found = output_states(of, block(of))
    assert isinstance(found, Driven)
    assert isinstance(found.level, States)
    assert isinstance(found.ohm, States)
    assert [ohm.nominal for _, ohm in found.ohm.states] == [40, 40]
    assert [level.nominal for _, level in found.level.states] == [5, 1]
    assert span(of, "output.source").middle == pytest.approx(4 / 200)
