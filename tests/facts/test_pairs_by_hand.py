"""A one-shot that drives a delay through R and C: every figure of the pair by hand, the rest unmoved.

The driver makes pulses of 2 us * 10 * R / 25 kohm, 0.1 %/V from 3 V; its levels are its rails; the driven
pin reads high from 0.7 and low up to 0.3 of its own supply, and stands its supply and 0.3 V. A capacitor
charges as V (1 - exp(-t / RC)) and discharges as V exp(-t / RC): any circuit text.
"""

import math
from typing import NamedTuple

import pytest

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Fact
from tests.facts.chain_boards import MODELS, block, only, parts
from tests.facts.timing_boards import book


class Pair(NamedTuple):
    """What the board is made of, SI; `inverter`: a gate on the driver's rail stands in the way."""

    driver_volts: float = 3.0
    driven_volts: float = 3.5
    rate_ohm: float = 100e3
    series_ohm: float = 10e3
    farad: float = 1e-9
    every_s: float = 1e-3
    inverter: bool = False


def by_hand(p: Pair) -> dict[str, float]:
    """The nominal of every span among the pair's facts."""
    width = 2e-6 * 10 * p.rate_ohm / 25e3 * (1 + 1e-3 * (p.driver_volts - 3))
    high, low = 0.7 * p.driven_volts, 0.3 * p.driven_volts
    rise = math.log(p.driver_volts / (p.driver_volts - high))
    fall = math.log(p.driver_volts / low)
    times = (p.every_s - width, width) if p.inverter else (width, p.every_s - width)
    return {
        "pair.period": p.every_s,
        "pair.high": times[0],
        "pair.low": times[1],
        "pair.spacing": p.every_s,
        "pair.settling": p.series_ohm * p.farad * max(rise, fall),
        "pair.series": p.series_ohm,
        "pair.level_high": p.driver_volts,
        "pair.level_low": 0.0,
        "pair.high_wanted": high,
        "pair.low_wanted": low,
        "pair.high_margin": p.driver_volts - high,
        "pair.low_margin": low,
        "pair.limit": p.driven_volts + 0.3,
        "pair.limit_margin": p.driven_volts + 0.3 - p.driver_volts,
        "pair.supply_driver": p.driver_volts,
        "pair.supply_driven": p.driven_volts,
    }


def facts(p: Pair) -> dict[str, Fact]:
    """Every fact of the only pair."""
    netlist = f"V1 vdd 0 {p.driver_volts}\nV2 v2 0 {p.driven_volts}\n{MODELS}"
    netlist += block("U1", "TS1", "pulse", "kick", ohm=str(p.rate_ohm))
    netlist += block("U2", "TD1", "out", "m", supply="v2")
    start = "pulse"
    if p.inverter:
        netlist, start = netlist + "XG1 pulse n vdd 0 TG1\n", "n"
    netlist += f"R5 {start} m {p.series_ohm} 0%\nC5 m 0 {p.farad} 0%\n"
    stated = f"signal kick period {p.every_s}s\nambient 25degC .. 25degC\nassume * tempco 0ppm"
    of = book(netlist, parts(), stated)
    pair = only(of)
    return {entry.name: of.fact(pair, entry.name) for entry in ENTRIES if entry.subject == "pair"}


CHANGES: tuple[dict[str, float], ...] = (
    {},
    {"driver_volts": 4.0},
    {"driven_volts": 2.5},
    {"rate_ohm": 150e3},
    {"series_ohm": 22e3},
    {"farad": 2.2e-9},
    {"every_s": 2e-3},
)


@pytest.mark.parametrize("inverter", [False, True], ids=["straight", "inverted"])
@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_every_figure_of_a_pair_is_the_hand_s(change: dict[str, float], inverter: bool) -> None:
    """One value changed: what leans on it is by hand, and names and truths are as before."""
    pair = Pair(**{**Pair(inverter=inverter)._asdict(), **change})
    after, wanted = facts(pair), by_hand(pair)
    for name, value in wanted.items():
        span = after[name].span
        assert span is not None, after[name]
        assert span.middle == pytest.approx(value, rel=1e-9, abs=1e-12), name
    spread = {"pair.high", "pair.low"}
    for name in set(wanted) - spread:
        span = after[name].span
        assert span is not None
        assert span.low == pytest.approx(span.high), name
    words = {name: fact.value for name, fact in after.items() if fact.span is None and name != "pair.bounce"}
    assert words == {
        "pair.role": "signal",
        "pair.inverted": inverter,
        "pair.coupled": False,
        "pair.logic": True,
        "pair.loop": "none",
        "pair.watchdog": False,
        "pair.starts_again": False,
        "pair.free_running": False,
    }
