"""RC timers: every figure by the laws of any circuit text, and what no law leans on does not move.

An astable charges through R_A and R_B from V_lower to V_upper and discharges through R_B into the discharge
switch; a one-shot charges through R_A from what the switch leaves: t = R C ln((V_inf - V_0) / (V_inf - V_1)).
"""

import math
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import pytest

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Fact, Subject
from tests.facts.test_taken_away import RC_KEYS, RC_ORDER
from tests.facts.timing_boards import book

EVERY_S = 10e-3
"""The one-shot is triggered so often; while it is busy it does not answer."""


class Board(NamedTuple):
    """What the board and the part are made of, SI."""

    volts: float = 6.0
    upper_ohm: float = 10e3
    lower_ohm: float = 20e3
    farad: float = 100e-9
    control_farad: float = 10e-9
    load_ohm: float = 1e3
    bypass_farad: float = 1e-6
    switch_ohm: float = 20.0
    switch_rated: float = 0.1
    output_ohm: float = 30.0
    output_rated: float = 0.05
    lower: str = "1/3"
    upper: str = "2/3"
    one_shot: bool = False


def share(text: str) -> float:
    """`2/3` as a number."""
    above, _, below = text.partition("/")
    return int(above) / int(below)


def by_hand(b: Board) -> dict[str, float]:
    """The nominal of every fact that leans on the board's values."""
    low, high = share(b.lower) * b.volts, share(b.upper) * b.volts
    left = b.volts * b.switch_ohm / (b.upper_ohm + b.switch_ohm)
    through = b.upper_ohm * b.switch_ohm / (b.upper_ohm + b.switch_ohm)
    charging = b.upper_ohm + (0.0 if b.one_shot else b.lower_ohm)
    found = {
        "supply.voltage": b.volts,
        "rc.capacitance": b.farad,
        "rc.upper_threshold": high,
        "rc.lower_threshold": low,
        "rc.settles": b.volts,
        "rc.charging_current": (b.volts - high) / charging,
        "rc.discharge_current": b.volts / (b.upper_ohm + b.switch_ohm),
        "rc.discharge_rated": b.switch_rated,
        "rc.recovery": math.log(20) * b.switch_ohm * b.farad,
        "rc.capacitor_leakage": max(0.01 * b.farad * b.volts, 3e-6),
        "control.capacitance": b.control_farad,
        "supply.bypass": b.bypass_farad,
        "output.source": b.volts / (b.load_ohm + b.output_ohm),
        "output.peak": b.volts / (b.load_ohm + b.output_ohm),
        "output.source_rated": b.output_rated,
    }
    if b.one_shot:
        width = charging * b.farad * math.log((b.volts - left) / (b.volts - high))
        ignored = math.floor(width / EVERY_S)
        return {
            **found,
            "timing.pulse_width": width,
            "timing.active": width,
            "trigger.ignored": ignored,
            "trigger.slack": EVERY_S - width,
            "timing.period": (ignored + 1) * EVERY_S,
            "timing.frequency": 1 / ((ignored + 1) * EVERY_S),
            "rc.discharge_surge": high / b.switch_ohm,
        }
    up = charging * b.farad * math.log((b.volts - low) / (b.volts - high))
    down = (b.lower_ohm + through) * b.farad * math.log((high - left) / (low - left))
    meeting = b.upper_ohm * b.lower_ohm / (b.upper_ohm + b.lower_ohm)
    open_volts = (b.volts / b.upper_ohm + high / b.lower_ohm) * meeting
    return {
        **found,
        "timing.high": up,
        "timing.low": down,
        "timing.period": up + down,
        "timing.frequency": 1 / (up + down),
        "timing.duty": 100 * up / (up + down),
        "timing.first_high": charging * b.farad * math.log(b.volts / (b.volts - high)),
        "rc.discharge_surge": open_volts / (meeting + b.switch_ohm),
    }


@cache
def facts(b: Board) -> Mapping[str, Fact]:
    """Every fact of that board's block."""
    wires = "out th th cv trg" if b.one_shot else "out dis th cv th"
    netlist = f"V1 vdd 0 {b.volts}\nXU1 vdd {wires} vdd 0 TX1\n"
    netlist += f"RA vdd {'th' if b.one_shot else 'dis'} {b.upper_ohm} 0%\n"
    netlist += "V2 trg 0 PULSE(0 6 0 1n 1n 9m 10m)\n" if b.one_shot else f"RB dis th {b.lower_ohm} 0%\n"
    netlist += f"C1 th 0 {b.farad} 0%\nC2 cv 0 {b.control_farad} 0%\nC3 vdd 0 {b.bypass_farad} 0%\n"
    netlist += f"R8 out 0 {b.load_ohm} 0%\n"
    keys = {
        **RC_KEYS,
        "ladder": f'{{ lower = "{b.lower}", upper = "{b.upper}", error = "0%", resistance = "5kohm" }}',
        "discharge": f'{{ resistance = "{b.switch_ohm}ohm", current = "{b.switch_rated}A" }}',
        "output": f'{{ kind = "push-pull", source = "{b.output_rated}A", sink = "50mA", '
        f'resistance = "{b.output_ohm}ohm" }}',
    }
    pins = ", ".join(f'"{role}"' for role in RC_ORDER.split())
    part = f'[part.TX1]\ntitle = "t"\nsource = "this test"\nfunction = "rc-timer"\npins = [{pins}]\n'
    part += "".join(f"{key} = {value}\n" for key, value in keys.items() if key != "input.threshold")
    of = book(netlist, part, "ambient 25degC .. 25degC")
    block = of.board.blocks[0]
    subject = Subject("block", block.path, block.place, block)
    names = [entry.name for entry in ENTRIES if entry.subject == "block"]
    return {name: of.fact(subject, name) for name in names if not name.endswith((".monte_carlo", ".rss"))}


CHANGES: tuple[dict[str, float | str], ...] = (
    {},
    {"volts": 12.0},
    {"upper_ohm": 22e3},
    {"lower_ohm": 47e3},
    {"farad": 220e-9},
    {"farad": 100e-6},
    {"control_farad": 22e-9},
    {"load_ohm": 2e3},
    {"bypass_farad": 2e-6},
    {"switch_ohm": 50.0},
    {"switch_rated": 0.2},
    {"output_ohm": 60.0},
    {"output_rated": 0.1},
    {"lower": "1/4"},
    {"upper": "3/4"},
)


@pytest.mark.parametrize("one_shot", [False, True], ids=["astable", "one-shot"])
@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_every_figure_is_the_hand_s_and_the_rest_stands(
    change: dict[str, float | str], one_shot: bool
) -> None:
    """One value changed: what leans on it by hand is by hand, and every other fact is as before."""
    plain = Board(one_shot=one_shot)
    board = Board(**{**plain._asdict(), **change})
    before, after, wanted = facts(plain), facts(board), by_hand(board)
    for name, value in wanted.items():
        span = after[name].span
        assert span is not None, after[name]
        assert (span.low, span.middle, span.high) == pytest.approx((value,) * 3, rel=1e-9), name
    still = {name for name in before if name not in wanted}
    words = {"rc.capacitor_kind"} if board.farad >= 10e-6 else set()
    assert {name for name in still if before[name].value != after[name].value} == words
