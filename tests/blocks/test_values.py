"""What the values of a part file mean in SI units, and what is unknown when nothing is given."""

import pytest

from drc.blocks.model import Drive, InputPin, Part, Relative
from drc.blocks.parts import parse_parts
from drc.quantity.unit import AMPERE, CELSIUS, OHM, SECOND, VOLT

PINS = ["supply", "ground", "output", "rate", "strap", "enable", "trigger", "select", "supply-io"]


def part(text: str) -> Part:
    """A part with all pins and these keys besides."""
    pins = ", ".join(f'"{role}"' for role in PINS)
    return parse_parts(f'[part.P]\nfunction = "one-shot"\npins = [{pins}]\n{text}\n').by_name["P"]


def test_what_is_not_given_is_unknown() -> None:
    """A part of which only function and pins are given has no rating at all."""
    bare = part("")
    given = {"name", "place", "function", "pins"}
    empty = {name: value for name, value in bare._asdict().items() if name not in given}
    assert bare.supply.rated is None
    assert bare.supply.limit is None
    del empty["supply"]
    assert not any(empty.values())


def test_quantities_are_si() -> None:
    """Prefixes, percentages of the nominal value and ranges come out in SI base units."""
    rate = part('rate = { voltage = "0.60V +/- 2%", current = "1.5uA .. 30uA", capacitance = "20pF" }').rate
    assert rate is not None
    assert rate.voltage is not None
    assert rate.current is not None
    assert (rate.voltage.low, rate.voltage.nominal, rate.voltage.high) == pytest.approx((0.588, 0.6, 0.612))
    assert (rate.current.low, rate.current.nominal, rate.current.high) == (1.5e-6, None, 30e-6)
    assert (rate.voltage.unit, rate.current.unit, rate.capacitance) == (VOLT, AMPERE, 20e-12)
    assert rate.law is None


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("0.8V", Relative(0.0, 0.8)),
        ("-300mV", Relative(0.0, -0.3)),
        ("0.3 supply", Relative(0.3)),
        (".3supply", Relative(0.3)),
        ("supply", Relative(1.0)),
        ("supply + 0.3V", Relative(1.0, 0.3)),
        ("0.5 supply - 100mV", Relative(0.5, -0.1)),
    ],
)
def test_levels_by_the_supply(text: str, wanted: Relative) -> None:
    """An input level is a voltage, a share of the supply, or a share of it and a voltage."""
    assert part(f'input.enable = {{ low = "{text}" }}').inputs["enable"].low == wanted


@pytest.mark.parametrize(
    ("text", "tempco", "signed"),
    [
        ("50ppm", 50e-6, True),
        ("-50ppm/K", -50e-6, True),
        ("+/- 0.01%", 1e-4, False),
        ("±50ppm", 50e-6, False),
    ],
)
def test_tempco_with_and_without_a_known_sign(text: str, tempco: float, signed: bool) -> None:
    """A temperature coefficient with +/- is of unknown sign; without it, its sign is known."""
    timing = part(f'timing = {{ tempco = "{text}" }}').timing
    assert timing is not None
    assert timing.tempco == pytest.approx(tempco)
    assert timing.tempco_signed == signed


def test_error_rows_keep_their_order_and_conditions() -> None:
    """Rows of `error` come out in the order written, with numbers and spans as conditions."""
    timing = part(
        'timing.error = [{ error = "1%", prescale = 1, ambient = "0degC .. 50degC" },'
        ' { error = "+/- 200ppm", code = "2 .. 5", current = "at most 1mA" }, { error = "3%" }]'
    ).timing
    assert timing is not None
    first, second, last = timing.errors
    assert first.error == pytest.approx(0.01)
    assert first.prescale is not None
    assert first.ambient is not None
    assert (first.prescale.low, first.prescale.high, first.ambient.unit) == (1.0, 1.0, CELSIUS)
    assert second.error == pytest.approx(200e-6)
    assert second.code is not None
    assert (second.code.low, second.code.high) == (2.0, 5.0)
    assert last.error == pytest.approx(0.03)
    assert (last.current, last.code) == (None, None)


def test_an_edge_has_what_is_given_for_both_and_its_own() -> None:
    """Rising and falling each lie over what the timing gives for both edges."""
    timing = part(
        'timing = { period = "1us", error = "2%", falling = {},'
        ' rising = { error = "1%", offset = "10ns .. 20ns" } }'
    ).timing
    assert timing is not None
    assert timing.rising is not None
    assert timing.falling is not None
    assert timing.rising.period == timing.falling.period == 1e-6
    assert timing.rising.errors[0].error == pytest.approx(0.01)
    assert timing.falling.errors == timing.errors
    assert timing.rising.offset is not None
    assert timing.rising.offset.unit == SECOND
    assert timing.falling.offset is None


def test_levels_put_thresholds_evenly() -> None:
    """N levels have N - 1 thresholds at i/N; fractions of any spelling are thresholds as they stand."""
    even, own = (
        part("strap = { levels = 4 }").strap,
        part('strap = { thresholds = ["1/3", 0.5, "75%"] }').strap,
    )
    assert even is not None
    assert own is not None
    assert even.thresholds == (0.25, 0.5, 0.75)
    assert own.levels == 4
    assert own.thresholds == pytest.approx((1 / 3, 0.5, 0.75))


def test_a_strap_may_be_read_against_a_voltage_of_its_own() -> None:
    """`reference` is the supply where it says so or says nothing, else a voltage."""
    assert part('strap = { levels = 4, reference = "supply" }').strap == part("strap = { levels = 4 }").strap
    strap = part('strap = { levels = 4, reference = "1.2V +/- 2%", read = "continuous" }').strap
    assert strap is not None
    assert strap.reference is not None
    assert (strap.reference.nominal, strap.read) == (1.2, "continuous")


def test_code_rows_by_the_level_of_another_pin() -> None:
    """A code may be listed twice where `when` keeps the rows apart; `rest` and polarity come with each."""
    rows = part(
        'codes = [{ code = 3, prescale = 10, when = { select = "low" } },'
        ' { code = 3, prescale = 20, inverted = true, rest = "high", when = { select = "high" } }]'
    ).codes
    assert [(r.code, r.prescale, r.inverted, r.rest, r.when) for r in rows] == [
        (3, 10, False, None, {"select": "low"}),
        (3, 20, True, "high", {"select": "high"}),
    ]


def test_outputs_by_supply() -> None:
    """An output may be a list by supply, with drops at a current; one table is a list of one."""
    drives = part(
        'output = [{ kind = "three-state", high_drop = "0.4V at 10mA", at_supply = "3V .. 5V",'
        ' disabled = "open" }, { kind = "open-drain", sink = "5mA" }]'
    ).outputs
    assert drives[0].high_drop == (0.4, 0.01)
    assert drives[0].at_supply is not None
    assert drives[0].disabled == "open"
    assert drives[1] == Drive("open-drain", sink=0.005)
    assert part('output = { kind = "open-drain", sink = "5mA" }').outputs == drives[1:]


def test_one_leakage_for_all_inputs() -> None:
    """`inputs.leakage` holds for every input pin of the part that gives none of its own."""
    inputs = part('inputs.leakage = "2nA"\ninput.enable = { leakage = "5nA", pull = "up 100kohm" }').inputs
    assert inputs == {
        "enable": InputPin(leakage=5e-9, pull=("up", 100e3)),
        "trigger": InputPin(leakage=2e-9),
        "select": InputPin(leakage=2e-9),
    }


def test_modulation_by_ends_or_points() -> None:
    """Full scale and duty are two points; against the supply or the rate pin levels are plain fractions."""
    ends = part('modulate = { full_scale = "0V .. 0.8V", duty = "5% .. 95%", error = "3.5points" }').modulate
    assert ends is not None
    assert ends.points == ((0.0, 0.05), (0.8, 0.95))
    assert ends.error == pytest.approx(0.035)
    assert ends.reference == "absolute"
    share = part('modulate = { points = [["0.1", "100%"], ["0.9", "0%"]], reference = "supply" }').modulate
    assert share is not None
    assert share.points == ((0.1, 1.0), (0.9, 0.0))


def test_an_rc_timer() -> None:
    """The ladder's thresholds are fractions, its resistance a span of ohms; the discharge has ratings."""
    timer = part(
        'ladder = { lower = "1/3", upper = "2/3", error = "1%", resistance = "5kohm +/- 30%" }\n'
        'discharge = { resistance = "20ohm", current = "50mA" }\nreset = { active = "low" }\n'
        'supplies.io = { rated = "1V .. 2V", limit = "3V" }'
    )
    assert timer.ladder is not None
    assert timer.ladder.resistance is not None
    assert (timer.ladder.lower, timer.ladder.upper) == pytest.approx((1 / 3, 2 / 3))
    assert (timer.ladder.resistance.low, timer.ladder.resistance.unit) == (3500.0, OHM)
    assert timer.discharge is not None
    assert (timer.discharge.resistance, timer.discharge.current, timer.reset_active) == (20.0, 0.05, "low")
    assert timer.supplies["io"].limit == 3.0


def test_helpers() -> None:
    """Regulators, gates and transistor switches have tables of their own."""
    text = (
        '[part.R]\nfunction = "regulator"\npins = ["supply", "ground", "output"]\n'
        'regulator = { output = "3.3V +/- 2%", dropout = "0.3V", current = "0.1A" }\n'
        '[part.G]\nfunction = "gate"\npins = ["input", "input", "output", "supply", "ground"]\n'
        'gate = { logic = "nand", inverts = true, delay = "5ns .. 20ns" }\n'
        '[part.S]\nfunction = "transistor-switch"\npins = ["input", "output", "ground"]\n'
        'switch = { side = "low", inverts = true, resistance = "5ohm", current = "200mA" }\n'
    )
    parts = parse_parts(text).by_name
    regulator, gate, switch = parts["R"].regulator, parts["G"].gate, parts["S"].switch
    assert regulator is not None
    assert regulator.output is not None
    assert (regulator.output.nominal, regulator.dropout, regulator.current) == (3.3, 0.3, 0.1)
    assert gate is not None
    assert (gate.logic, gate.inverts) == ("nand", True)
    assert switch is not None
    assert (switch.side, switch.inverts, switch.resistance, switch.current) == ("low", True, 5.0, 0.2)
