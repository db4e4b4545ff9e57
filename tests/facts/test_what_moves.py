"""One input at a time doubled: the facts that lean on it move as their law says, and no other moves."""

import math
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import pytest

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Fact, Subject
from tests.facts.test_taken_away import described
from tests.facts.timing_boards import book

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt pin TX1
RT rt 0 100k 0%
RA vdd cfg 50k 0%
RB cfg 0 30k 0%
C1 cfg 0 1n 0%
C2 vdd 0 100n 0%
R7 pin vdd 10k 0%
C7 pin 0 1n 0%
R8 out 0 1k 0%
"""
STATED = """ambient 25degC .. 25degC
ramp vdd 5ms
signal pin period 5ms .. 6ms, high 1ms .. 2ms
expect XU1 frequency at least 1Hz
assume R* tempco 0ppm
assume C* tempco 0ppm
"""
Ends = tuple[float, float, float]
Change = Mapping[str, Ends | float | None]
"""Facts that move: their ends, one value for all three, or only that they move."""

TIMES = {
    "oscillator": ("timing.period", "timing.frequency"),
    "slow-oscillator": ("timing.period", "timing.frequency"),
    "pulse-modulator": ("timing.period", "timing.frequency"),
    "one-shot": ("timing.pulse_width", "timing.active", "trigger.slack"),
    "edge-delay": ("timing.delay", "timing.delay_rising", "timing.delay_falling", "signal.slack"),
}


class Case(NamedTuple):
    """What is replaced by what, in the netlist, the part file or the statements; and what moves."""

    old: str
    new: str
    moves: Change
    times: Ends | None = None


@cache
def facts(function: str, old: str = "", new: str = "") -> Mapping[str, Fact]:
    """Every fact of the block, with one text replaced wherever it stands."""
    order, keys, _ = described(function)
    pins = ", ".join(f'"{role}"' for role in order.split())
    part = f'[part.TX1]\ntitle = "t"\nsource = "this test"\nfunction = "{function}"\npins = [{pins}]\n'
    part += "".join(f"{key} = {value}\n" for key, value in keys.items())
    texts = [BOARD, part, STATED]
    if old:
        assert sum(text.count(old) for text in texts) == 1, old
        texts = [text.replace(old, new) for text in texts]
    of = book(texts[0], texts[1], texts[2])
    block = of.board.blocks[0]
    subject = Subject("block", block.path, block.place, block)
    names = [entry.name for entry in ENTRIES if entry.subject == "block"]
    return {name: of.fact(subject, name) for name in names if not name.endswith(".monte_carlo")}


def ends(fact: Fact) -> object:
    """Low, nominal, high to nine digits of what is a span; else the value."""
    if fact.span is None:
        return str(fact.value)
    return tuple(float(f"{end:.9g}") for end in (fact.span.low, fact.span.middle, fact.span.high))


def time(
    nominal: float, error: float = 0.01, offset: Ends = (60e-9, 130e-9, 200e-9), drift: float = 0.0
) -> Ends:
    """A time with the part's error and drift, and its offset of 60 ns to 200 ns."""
    low, high = (1 - error) * (1 - drift), (1 + error) * (1 + drift)
    return (nominal * low + offset[0], nominal + offset[1], nominal * high + offset[2])


def ratio(leak: float, supply: float = 3.0, ohm: float = 18750.0) -> Change:
    """30/80 of the supply, and leakage times source resistance over the supply; from it the rest.

    Code 1 lies from 1/4 to 1/2: 1/8 to either threshold less 0.5 %, in widths of 1/4; the capacitor comes
    from 0 through 1/4.
    """
    off = leak * ohm / supply
    tau = ohm * 1e-9
    late = [tau * math.log(r / (r - 0.25)) for r in (0.375 + off, 0.375, 0.375 - off)]
    return {
        "strap.ratio": (0.375 - off, 0.375, 0.375 + off),
        "strap.margin": ((0.12 - off) / 0.25, 0.48, 0.48),
        "strap.off_centre": (-off / 0.25, 0.0, off / 0.25),
        "strap.settling": (late[0], late[1], late[2]),
    }


def current(volts: float, ohm: float) -> Ends:
    """The rate voltage of +/- 2 % over its resistor."""
    return (0.98 * volts / ohm, volts / ohm, 1.02 * volts / ohm)


def drawn(rate: Ends, consumption: Ends = (90e-6, 200e-6, 310e-6)) -> Ends:
    """Consumption and rate current."""
    return (consumption[0] + rate[0], consumption[1] + rate[1], consumption[2] + rate[2])


LOAD = 3.0 / 1020
"""1 kohm on an output of 20 ohm at 3 V, A."""

BASE: Change = {
    "supply.voltage": 3.0,
    **ratio(10e-9),
    "strap.code": 1.0,
    "strap.prescale": 10.0,
    "strap.source_resistance": 18750.0,
    "strap.current": 3 / 80e3,
    "rate.resistance": 100e3,
    "rate.current": current(0.5, 100e3),
    "rate.tolerance": 0.0,
    "timing.part_error": 0.01,
    "supply.current": drawn(current(0.5, 100e3)),
    "supply.bypass": 100e-9,
    "supply.ramp": 5e-3 / 3,
    "output.source": LOAD,
    "output.peak": LOAD,
    "output.sink": 0.0,
    "input.level_margin": 0.9,
    "input.edge_time": 10e3 * 1e-9 * math.log(9),
    "input.hysteresis": 0.3,
    "input.excess": -0.3,
}
"""Of an oscillator; 5 ms up to 3 V pass the rated 2 V after 2/3, and 3 V stand 0.9 V above 0.7 * 3 V."""

CASES = (
    Case(
        "RT rt 0 100k",
        "RT rt 0 200k",
        {
            "rate.resistance": 200e3,
            "rate.current": current(0.5, 200e3),
            "supply.current": drawn(current(0.5, 200e3)),
        },
        time(160e-6),
    ),
    Case(
        "RA vdd cfg 50k 0%\nRB cfg 0 30k",
        "RA vdd cfg 100k 0%\nRB cfg 0 60k",
        {**ratio(10e-9, ohm=37500.0), "strap.source_resistance": 37500.0, "strap.current": 3 / 160e3},
    ),
    Case("C1 cfg 0 1n", "C1 cfg 0 2n", {"strap.settling": None}),
    Case("C2 vdd 0 100n", "C2 vdd 0 200n", {"supply.bypass": 200e-9}),
    Case("C7 pin 0 1n", "C7 pin 0 2n", {"input.edge_time": 20e-6 * math.log(9)}),
    Case("R7 pin vdd 10k", "R7 pin vdd 20k", {"input.edge_time": 20e-6 * math.log(9)}),
    Case("R8 out 0 1k", "R8 out 0 2k", {"output.source": 3 / 2020, "output.peak": 3 / 2020}),
    Case(
        "V1 vdd 0 3.0",
        "V1 vdd 0 4.0",
        {
            **ratio(10e-9, supply=4.0),
            "supply.voltage": 4.0,
            "strap.current": 4 / 80e3,
            "supply.ramp": 2.5e-3,
            "output.source": 4 / 1020,
            "output.peak": 4 / 1020,
            "input.level_margin": 1.2,
            "input.hysteresis": 0.4,
            "modulate.share": 4.0,
        },
        time(80e-6 * 1.001),
    ),
    Case('error = "1%"', 'error = "2%"', {"timing.part_error": 0.02}, time(80e-6, 0.02)),
    Case('"60ns .. 200ns"', '"1us .. 3us"', {}, time(80e-6, offset=(1e-6, 2e-6, 3e-6))),
    Case(
        'voltage = "0.5V +/- 2%"',
        'voltage = "1V +/- 2%"',
        {"rate.current": current(1, 100e3), "supply.current": drawn(current(1, 100e3))},
        time(40e-6),
    ),
    Case('at_current = "20uA"', 'at_current = "40uA"', {}, time(160e-6)),
    Case('period = "2us"', 'period = "4us"', {}, time(160e-6)),
    Case(
        "code = 1, prescale = 10",
        "code = 1, prescale = 20",
        {"strap.prescale": 20.0, "strap.better_prescale": 20.0},
        time(160e-6),
    ),
    Case("code = 2, prescale = 100", "code = 2, prescale = 200", {}),
    Case('law = "ratio"', 'law = "current"', {}, (79.2e-6 / 1.02 + 60e-9, 80.13e-6, 80.8e-6 / 0.98 + 200e-9)),
    Case(
        '"90uA .. 310uA"',
        '"180uA .. 620uA"',
        {"supply.current": drawn(current(0.5, 100e3), (180e-6, 400e-6, 620e-6))},
    ),
    Case('read_after = "1ms"', 'read_after = "2ms"', {"strap.read_after": 2e-3}),
    Case('leakage = "10nA"', 'leakage = "20nA"', {**ratio(20e-9)}),
    Case(
        'source_resistance = "200kohm"',
        'source_resistance = "400kohm"',
        {"strap.source_resistance_rated": 400e3},
    ),
    Case(
        'threshold_error = "0.5%"',
        'threshold_error = "1%"',
        {"strap.margin": ((0.115 - 6.25e-5) / 0.25, 0.46, 0.46)},
    ),
    Case('resistance = "20ohm"', 'resistance = "1kohm"', {"output.source": 1.5e-3, "output.peak": 1.5e-3}),
    Case('source = "10mA"', 'source = "20mA"', {"output.source_rated": 20e-3}),
    Case('sink = "10mA"', 'sink = "20mA"', {"output.sink_rated": 20e-3}),
    Case('capacitance = "1nF"', 'capacitance = "2nF"', {"output.capacitance_rated": 2e-9}),
    Case('capacitance = "20pF"', 'capacitance = "40pF"', {"rate.capacitance_rated": 40e-12}),
    Case(
        'rated = "2.0V .. 5.5V"',
        'rated = "1.0V .. 5.5V"',
        {"supply.rated": None, "supply.ramp": 5e-3 * 2 / 3},
    ),
    Case('limit = "6V"', 'limit = "7V"', {"supply.limit": 7.0}),
    Case('"-40degC .. 125degC"', '"-40degC .. 85degC"', {"ambient.rated": None}),
    Case('"1uA .. 20uA"', '"2uA .. 20uA"', {"rate.current_rated": None}),
    Case('"25kohm .. 500kohm"', '"50kohm .. 500kohm"', {"rate.resistance_rated": None}),
    Case('"0.8ms"', '"1.6ms"', {}),
    Case('tempco = "+/- 50ppm"', 'tempco = "+/- 100ppm"', {}),
    Case('supply_error = "0.1%/V"', 'supply_error = "0.2%/V"', {}),
    Case('hysteresis = "0.1 supply"', 'hysteresis = "0.2 supply"', {"input.hysteresis": 0.6}),
    Case('high = "0.7 supply"', 'high = "0.8 supply"', {"input.level_margin": 0.6}),
    Case('low = "0.3 supply"', 'low = "0.2 supply"', {}),
    Case('limit = "supply + 0.3V"', 'limit = "supply + 0.6V"', {"input.excess": -0.6}),
    Case('disabled = "low"', 'disabled = "high"', {"output.rest": None, "rest.disabled": None}),
    Case(
        "ambient 25degC .. 25degC",
        "ambient 5degC .. 65degC",
        {"ambient.board": (5.0, 25.0, 65.0)},
        time(80e-6, drift=40 * 50e-6),
    ),
    Case("ramp vdd 5ms", "ramp vdd 10ms", {"supply.ramp": 10e-3 / 3}),
    Case("C2 vdd 0 100n 0%\n", "C2 vdd 0 100n 0%\nC9 rt 0 10p 0%\n", {"rate.capacitance": 10e-12}),
    Case(
        "R8 out 0 1k 0%\n",
        "R8 out 0 1k 0%\nR6 0 out 1k 0%\n",
        {"output.source": 3 / 520, "output.peak": 3 / 520},
    ),
)


def matches(fact: Fact, wanted: Ends | float | None) -> None:
    """The ends of a span, or one value for all of them; None asks for nothing."""
    if wanted is None:
        return
    assert fact.span is not None, fact
    span = fact.span
    ends = wanted if isinstance(wanted, tuple) else (wanted, wanted, wanted)
    assert (span.low, span.middle, span.high) == pytest.approx(ends, rel=1e-9, abs=1e-12), fact.name


def test_the_board_itself() -> None:
    """Every figure of the oscillator's board by hand."""
    given = facts("oscillator")
    for name, wanted in BASE.items():
        matches(given[name], wanted)
    matches(given["timing.period"], time(80e-6))


def given(function: str, text: str) -> bool:
    """Whether a function's board or part has that input."""
    keys = "".join(f"{key} = {value}\n" for key, value in described(function)[1].items())
    return any(text in each for each in (BOARD, keys, STATED))


@pytest.mark.parametrize(
    ("function", "case"),
    [(function, case) for function in TIMES for case in CASES if given(function, case.old)],
    ids=lambda value: value.new if isinstance(value, Case) else value,
)
def test_what_leans_on_an_input_moves_and_nothing_else(function: str, case: Case) -> None:
    """Each changed input against the board as it is; a part may lack an input pin's facts, or its rest."""
    before, after = facts(function), facts(function, case.old, case.new)
    moved = {name for name in before if ends(before[name]) != ends(after[name])}
    moving = set(case.moves)
    if case.times is not None:
        named = {f"{name}{more}" for name in TIMES[function] for more in ("", ".rss")}
        moving |= named & set(before)
        matches(after[TIMES[function][0]], case.times)
    lacking = ("input.", "output.rest", "modulate.")
    assert moved <= moving
    assert not [name for name in moving - moved if not name.startswith(lacking)]
    for name in moved & set(case.moves):
        matches(after[name], case.moves[name])


@pytest.mark.parametrize(
    ("function", "shortest"),
    [("oscillator", 79.26e-6), ("one-shot", 5e-3), ("edge-delay", None)],
)
def test_a_capacitor_at_the_output_is_charged_once_a_period(function: str, shortest: float | None) -> None:
    """1 nF to 3 V: C V f at the shortest period; a delay makes none of its own."""
    after = facts(function, "C2 vdd 0 100n 0%\n", "C2 vdd 0 100n 0%\nC9 out 0 1n 0%\n")
    if shortest is None:
        assert after["output.charging"].span is None
    else:
        matches(after["output.charging"], 1e-9 * 3 / shortest)
