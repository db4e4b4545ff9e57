"""A part in lines of label and value: what the file gives is there, what it does not give is not."""

from drc.blocks.describe import describe, window
from drc.blocks.model import StrapPin
from drc.blocks.parts import load_parts, parse_parts
from tests.blocks.test_values import part

WHOLE = """
title = "everything"
source = "invented for this test"
alias = { output = ["OUT", "Q"], reset = ["RST"] }
package.S9.pins = ["supply", "ground", "output", "rate", "strap", "enable", "trigger", "select", "supply-io"]
supply = { rated = "2V .. 5V", limit = "6V" }
supplies.io = { limit = "3V" }
ambient = "-40degC .. 85degC"
rate = { voltage = "0.6V +/- 2%", law = "ratio" }
timing.period = "1us"
timing.error = [{ error = "1%", supply = "3V .. 5V" }, { error = "2%" }]
timing.tempco = "50ppm"
strap = { levels = 4, threshold_error = "0.5%", read = "once" }
codes = [{ code = 2, prescale = 10, inverted = true }, { code = 0, prescale = 1, rest = "low" }]
output = { kind = "push-pull", source = "5mA", high_drop = "0.4V at 2mA" }
input.enable = { low = "0.3 supply", limit = "supply + 0.3V", pull = "up 100kohm" }
trigger = { edge = "rising", retriggerable = false, recovery = "1us" }
startup = "1ms"
"""


def test_every_line_of_a_part() -> None:
    """Names, pins, ratings, the code table in order with the reserved codes, output, inputs: line by line."""
    assert describe(part(WHOLE)) == [
        ("part", "P"),
        ("title", "everything"),
        ("function", "one-shot"),
        ("source", "invented for this test"),
        ("defined at", "parts.toml:1:2"),
        ("pins", "supply ground output rate strap enable trigger select supply-io"),
        ("pin names of output", "OUT Q"),
        ("pins in package S9", "supply ground output rate strap enable trigger select supply-io"),
        ("supply, rated", "2 V .. 5 V"),
        ("supply, limit", "6 V"),
        ("supply io, limit", "3 V"),
        ("ambient", "-40 degC .. 85 degC"),
        ("startup", "1 ms"),
        ("rate pin voltage", "588 mV .. 612 mV (nominal 600 mV)"),
        ("law", "period * prescale * (at_current / nominal voltage) * voltage / current"),
        ("master period", "1 us"),
        ("error", "+/- 1 % where supply 3 V .. 5 V"),
        ("error", "+/- 2 %"),
        ("temperature coefficient", "50 ppm/K"),
        ("strap levels", "4"),
        ("strap read against", "its own supply"),
        ("strap read", "once"),
        ("strap threshold error", "+/- 0.5 % of full scale"),
        ("code 0", "ratio 0 .. 0.25, centre 0.125: prescale 1, normal, rests low"),
        ("code 1", "ratio 0.25 .. 0.5, centre 0.375: reserved"),
        ("code 2", "ratio 0.5 .. 0.75, centre 0.625: prescale 10, inverted"),
        ("code 3", "ratio 0.75 .. 1, centre 0.875: reserved"),
        ("output", "push-pull, source 5 mA, high drop 400 mV at 2 mA"),
        ("input enable", "low under 0.3 supply, limit supply + 300 mV, pulled up by 100 kohm"),
        ("trigger, edge", "rising"),
        ("trigger, retriggerable", "no"),
        ("trigger, recovery", "1 us"),
    ]


def test_a_bare_part_is_four_lines() -> None:
    """What the file does not give is left out, not printed as a default."""
    assert [label for label, _ in describe(part(""))] == ["part", "function", "defined at", "pins"]


def test_the_window_of_a_code() -> None:
    """The rails bound the end codes, and the centre lies midway between a code's thresholds."""
    strap = StrapPin(3, (0.2, 0.5))
    assert [window(strap, code) for code in range(3)] == [
        "ratio 0 .. 0.2, centre 0.1",
        "ratio 0.2 .. 0.5, centre 0.35",
        "ratio 0.5 .. 1, centre 0.75",
    ]
    assert window(None, 0) == "any ratio"


def test_every_built_in_part_can_be_described() -> None:
    """Labels and values of every built-in part are single lines of printable text."""
    for built_in in load_parts([]).by_name.values():
        lines = describe(built_in)
        assert all(label.isprintable() and value.isprintable() and value for label, value in lines)


def test_a_modulator_and_an_rc_timer() -> None:
    """Duty is told in percent at levels, thresholds as fractions of the supply."""
    text = (
        '[part.M]\nfunction = "pulse-modulator"\npins = ["modulate"]\n'
        'modulate = { points = [["0.1", "0%"], ["0.9", "100%"]], error = "3points", reference = "supply" }\n'
        '[part.T]\nfunction = "rc-timer"\npins = ["trigger"]\nladder = { lower = "1/3", upper = "2/3" }\n'
        'discharge = { resistance = "20ohm" }\nreset = { active = "low" }\n'
    )
    parts = parse_parts(text).by_name
    assert describe(parts["M"])[4:] == [
        ("duty by modulate pin", "0 % at 0.1 of supply, 100 % at 0.9 of supply"),
        ("duty error", "+/- 3 points"),
    ]
    assert describe(parts["T"])[4:] == [
        ("reset", "active low"),
        ("thresholds", "0.33333 and 0.66667 of the supply"),
        ("discharge resistance", "20 ohm"),
    ]
