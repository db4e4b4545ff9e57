"""A part with every rating it can have, line by line; what a part with none of them leaves out."""

import pytest

from drc.blocks.describe import describe
from drc.blocks.parts import parse_parts
from tests.blocks.test_values import part

RATED = """
package.S9.pins = ["supply-io", "ground", "output", "rate", "strap", "enable", "trigger", "select", "supply"]
alias = { output = ["OUT"], signal = ["SIG"] }
supply.limit = "6V"
supplies.io = { rated = "1V .. 2V", limit = "3V" }
consumption = "at most 5uA"
rate.voltage = "0.6V"
rate.current = "1uA .. 30uA"
rate.resistance = "20kohm .. 400kohm"
rate.capacitance = "20pF"
rate.law = "current"
[part.P.timing]
period = "1us"
at_current = "30uA"
at_supply = "3.3V"
error = "1.5%"
tempco = "+/- 50ppm"
supply_error = "0.1%/V"
offset = "60ns .. 200ns"
jitter = "2ns"
rising = { period = "2us", error = [{ error = "3%", current = "1uA .. 2uA", code = 3 }] }
falling = { offset = "1us", tempco = "-20ppm" }
[part.P.strap]
levels = 3
threshold_error = "0.6%"
leakage = "15nA"
source_resistance = "500kohm"
read_after = "0.3ms"
reference = "1.2V +/- 2%"
[[part.P.codes]]
code = 2
prescale = 100
when = { select = "low", enable = "high" }
[[part.P.codes]]
code = 2
prescale = 200
inverted = true
rest = "high"
when = { select = "high" }
[[part.P.output]]
kind = "three-state"
source = "12mA"
sink = "8mA"
resistance = "25ohm"
high_drop = "0.4V at 10mA"
low_drop = "0.3V at 20mA"
capacitance = "1nF"
at_supply = "3.0V .. 5.5V"
disabled = "open"
[[part.P.output]]
kind = "open-drain"
sink = "4mA"
[part.P.input]
enable.low = "0.8V"
enable.high = "0.7 supply"
enable.hysteresis = "100mV"
enable.leakage = "5nA"
enable.pull = "down 100kohm"
enable.active = "high"
enable.limit = "supply"
enable.width = "40ns"
trigger = { low = "0.5 supply - 100mV", high = "supply + 0.3V" }
select = {}
reset = { active = "low" }
[part.P.modulate]
points = [["-0.1V", "5%"], ["0.8V", "95.5%"]]
[part.P.trigger]
edge = "both"
retriggerable = true
recovery = "0s"
level = false
[part.P.signal]
edges = "both"
restart = false
[part.P.reset]
active = "high"
"""

LINES = [
    ("pin names of output", "OUT"),
    ("pins in package S9", "supply-io ground output rate strap enable trigger select supply"),
    ("supply, limit", "6 V"),
    ("supply io, rated", "1 V .. 2 V"),
    ("supply io, limit", "3 V"),
    ("consumption", "at most 5 uA"),
    ("rate pin voltage", "600 mV"),
    ("rate pin current", "1 uA .. 30 uA"),
    ("timing resistor", "20 kohm .. 400 kohm"),
    ("rate pin capacitance, at most", "20 pF"),
    ("law", "period * prescale * at_current / current"),
    ("master period", "1 us"),
    ("at current", "30 uA"),
    ("at supply", "3.3 V"),
    ("error", "+/- 1.5 %"),
    ("temperature coefficient", "+/- 50 ppm/K"),
    ("supply error", "0.1 %/V"),
    ("offset", "60 ns .. 200 ns"),
    ("jitter", "2 ns"),
    ("rising: master period", "2 us"),
    ("rising: at current", "30 uA"),
    ("rising: at supply", "3.3 V"),
    ("rising: error", "+/- 3 % where current 1 uA .. 2 uA, code 3"),
    ("rising: temperature coefficient", "+/- 50 ppm/K"),
    ("rising: supply error", "0.1 %/V"),
    ("rising: offset", "60 ns .. 200 ns"),
    ("rising: jitter", "2 ns"),
    ("falling: master period", "1 us"),
    ("falling: at current", "30 uA"),
    ("falling: at supply", "3.3 V"),
    ("falling: error", "+/- 1.5 %"),
    ("falling: temperature coefficient", "-20 ppm/K"),
    ("falling: supply error", "0.1 %/V"),
    ("falling: offset", "1 us"),
    ("falling: jitter", "2 ns"),
    ("strap levels", "3"),
    ("strap read against", "1.176 V .. 1.224 V (nominal 1.2 V)"),
    ("strap threshold error", "+/- 0.6 % of full scale"),
    ("strap leakage, at most", "15 nA"),
    ("strap source resistance, at most", "500 kohm"),
    ("strap read after", "300 us"),
    ("code 0", "ratio 0 .. 0.33333, centre 0.16667: reserved"),
    ("code 1", "ratio 0.33333 .. 0.66667, centre 0.5: reserved"),
    (
        "code 2",
        "ratio 0.66667 .. 1, centre 0.83333: prescale 100, normal, while select is low, while enable is high",
    ),
    (
        "code 2",
        "ratio 0.66667 .. 1, centre 0.83333: prescale 200, inverted, rests high, while select is high",
    ),
    (
        "output",
        "three-state, source 12 mA, sink 8 mA, resistance 25 ohm, capacitance at most 1 nF, "
        "high drop 400 mV at 10 mA, low drop 300 mV at 20 mA, open when disabled, for supplies 3 V .. 5.5 V",
    ),
    ("output", "open-drain, sink 4 mA"),
    (
        "input enable",
        "low under 800 mV, high over 0.7 supply, hysteresis 100 mV, limit supply, leakage 5 nA, "
        "pulled down by 100 kohm, active high, shortest pulse 40 ns",
    ),
    ("input trigger", "low under 0.5 supply - 100 mV, high over supply + 300 mV"),
    ("duty by modulate pin", "5 % at -0.1 V, 95.5 % at 0.8 V"),
    ("trigger, edge", "both"),
    ("trigger, retriggerable", "yes"),
    ("trigger, recovery", "0 s"),
    ("trigger, level", "no"),
    ("signal, edges", "both"),
    ("signal, restart", "no"),
    ("reset", "active high"),
]


def test_every_rating_is_a_line() -> None:
    """Quantities in engineering units, an edge with what holds for both, rows in order, no more than given.

    A role without a pin (signal, reset) has no line of pin names or levels, a pin without a rating none.
    """
    assert describe(part(RATED))[4:] == LINES


HELPERS = """
[part.R]
function = "regulator"
pins = ["supply", "ground", "output", "feedback"]
regulator = { output = "3.3V +/- 2%", feedback = "1.2V", dropout = "0.3V", current = "0.1A" }
[part.G]
function = "gate"
pins = ["input", "input", "output", "supply", "ground"]
gate = { logic = "nand", inverts = true, delay = "5ns .. 20ns" }
[part.S]
function = "transistor-switch"
pins = ["input", "output", "ground"]
switch = { side = "low", inverts = false, resistance = "5ohm", current = "200mA" }
[part.T]
function = "rc-timer"
unit.A.pins = ["output", "trigger", "-", "-"]
unit.B.pins = ["-", "-", "trigger", "output"]
ladder = { lower = "1/3", upper = "2/3", error = "1%", resistance = "5kohm +/- 30%" }
discharge = { resistance = "20ohm", current = "50mA" }
codes = [{ code = 1, prescale = 2 }]
"""

HELPER_LINES = {
    "R": [
        ("pins", "supply ground output feedback"),
        ("regulated output", "3.234 V .. 3.366 V (nominal 3.3 V)"),
        ("feedback voltage", "1.2 V"),
        ("dropout", "300 mV"),
        ("output current, at most", "100 mA"),
    ],
    "G": [
        ("pins", "input input output supply ground"),
        ("gate, logic", "nand"),
        ("gate, inverts", "yes"),
        ("gate delay", "5 ns .. 20 ns"),
    ],
    "S": [
        ("pins", "input output ground"),
        ("switch, side", "low"),
        ("switch, inverts", "no"),
        ("switch resistance", "5 ohm"),
        ("switch current, at most", "200 mA"),
    ],
    "T": [
        ("pins", "output trigger trigger output"),
        ("pins of unit A", "output trigger - -"),
        ("pins of unit B", "- - trigger output"),
        ("code 1", "any ratio: prescale 2, normal"),
        ("thresholds", "0.33333 and 0.66667 of the supply"),
        ("threshold error", "+/- 1 %"),
        ("ladder, each resistor", "3.5 kohm .. 6.5 kohm (nominal 5 kohm)"),
        ("discharge resistance", "20 ohm"),
        ("discharge current, at most", "50 mA"),
    ],
}


@pytest.mark.parametrize("name", HELPER_LINES)
def test_helpers_and_timers_of_one_package(name: str) -> None:
    """Regulators, gates, switches, and an RC timer whose pins its units give; a code without a strap."""
    assert describe(parse_parts(HELPERS).by_name[name])[3:] == HELPER_LINES[name]
