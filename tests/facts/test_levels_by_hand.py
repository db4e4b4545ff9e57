"""Levels that arrive, what a pin wants and stands, and how slowly: law, evidence and gaps; by hand."""

from math import inf, log

import pytest

from drc.facts.book import Book
from drc.facts.chain_filter import series, settling
from drc.facts.chain_levels import (
    SATURATION,
    Level,
    level,
    limit,
    limit_margin,
    margin,
    on_voltage,
    pulls_up,
    wanted,
    while_at,
)
from drc.facts.chains import Chain, chain_of, chains
from drc.facts.conduction import Stage
from drc.facts.dependence import Dependence, Quantity, States, constant, spread
from drc.facts.model import Unknown
from drc.facts.options import FactOptions
from drc.quantity.unit import OHM, SECOND, VOLT
from tests.facts.chain_boards import block, chained, parts
from tests.facts.test_chain_details import with_timer
from tests.facts.test_rc_timer import parts as rc_parts

FIRST = block("U1", "TO1", "tick", "vdd")
STEP = 'low = "0.3 supply", high = "0.7 supply"'


def between(
    way: str = "", pin: str = "t", *, supply: str = "vdd", part_file: str = "", intent: str = ""
) -> Book:
    """An oscillator at 3 V behind 20 ohm, a one-shot, and a way between."""
    second = block("U2", "TS1", "out", pin, supply=supply)
    return chained(f"{FIRST}{second}V2 v5 0 5\n{way}\n", intent, part_file or parts())


def the_chain(of: Book) -> Chain:
    """The only one."""
    (chain,) = chains(of)
    return chain


def at(found: Quantity) -> float:
    """The nominal value of what must be one quantity."""
    assert isinstance(found, Dependence), found
    return found.nominal


def ends(found: Quantity) -> tuple[float, float]:
    """The extremes of what must be one quantity."""
    assert isinstance(found, Dependence), found
    span = spread(found, "extreme", FactOptions(), "x")
    return span.low, span.high


def gap(found: Quantity) -> tuple[str, tuple[str, ...]]:
    """Why nothing is known, and what is missing."""
    assert isinstance(found, Unknown), found
    return found.because, found.missing


def test_levels_and_what_is_wanted_are_told_with_their_law() -> None:
    """3 V and 0 V at a trigger that wants 2.1 V and 0.9 V, and stands 3.3 V."""
    of = between(pin="tick")
    chain = the_chain(of)
    for state, volts, wants in (("high", 3.0, 2.1), ("low", 0.0, 0.9)):
        known: Level = "high" if state == "high" else "low"
        found, needed = level(of, chain, known), wanted(of, chain, known)
        assert at(found) == pytest.approx(volts)
        assert at(needed) == pytest.approx(wants)
        assert at(margin(of, chain, known)) == pytest.approx(0.9)
        assert isinstance(found, Dependence)
        assert isinstance(needed, Dependence)
        assert (found.unit, found.text) == (VOLT, f"voltage of tick while {state}, by nodal analysis")
        assert (needed.unit, needed.text) == (
            VOLT,
            f"the part file's trigger {state} level at the supply of XU2",
        )
        left = margin(of, chain, known)
        assert isinstance(left, Dependence)
        assert (left.unit, left.text) == (VOLT, f"{state} level, less what the trigger pin wants")
    room, most = limit_margin(of, chain), limit(of, chain)
    assert isinstance(room, Dependence)
    assert isinstance(most, Dependence)
    assert (at(room), at(most)) == pytest.approx((0.3, 3.3))
    assert room.text == "what the trigger pin stands, less the high level"
    assert most.text == "the part file's trigger limit level at the supply of XU2"
    assert (room.unit, most.unit) == (VOLT, VOLT)


def test_a_level_counts_from_the_driven_block_s_ground() -> None:
    """3 V and 0 V against a ground of 0.5 V; what it wants counts from there too, of 2.5 V."""
    of = chained(FIRST + block("U2", "TS1", "out", "tick").replace("out 0 rt", "out g rt") + "V9 g 0 0.5\n")
    chain = the_chain(of)
    assert (at(level(of, chain, "high")), at(level(of, chain, "low"))) == pytest.approx((2.5, -0.5))
    assert (at(wanted(of, chain, "high")), at(wanted(of, chain, "low"))) == pytest.approx((1.75, 0.75))
    assert (at(margin(of, chain, "high")), at(margin(of, chain, "low"))) == pytest.approx((0.75, 1.25))


def test_levels_that_do_not_depend_on_the_supply() -> None:
    """2 V and 0.8 V and a limit of 5.5 V, whatever the supply: constants of the part file."""
    fixed = parts().replace(STEP, 'low = "0.8V", high = "2V"').replace('"supply + 0.3V"', '"5.5V"')
    for supply in ("vdd", "v5"):
        of = between(pin="tick", supply=supply, part_file=fixed)
        chain = the_chain(of)
        high = wanted(of, chain, "high")
        assert (at(high), at(wanted(of, chain, "low")), at(limit(of, chain))) == (2.0, 0.8, 5.5)
        assert isinstance(high, Dependence)
        assert (high.text, high.causes, high.unit) == ("the part file's trigger high level", (), VOLT)


def test_what_a_part_file_does_not_say_of_a_pin_is_named() -> None:
    """Its levels, one by one, and its limit."""
    levels: tuple[tuple[Level, Level, str], ...] = (
        ("low", "high", 'low = "0.3 supply", '),
        ("high", "low", 'high = "0.7 supply", '),
    )
    for missing, other, old in levels:
        of = between(pin="tick", part_file=parts().replace(old, ""))
        chain = the_chain(of)
        assert gap(wanted(of, chain, missing)) == (
            f"part TS1 gives no {missing} level of its trigger pin",
            (f"TS1 input.trigger.{missing}",),
        )
        assert isinstance(wanted(of, chain, other), Dependence)
    of = between(pin="tick", part_file=parts().replace(', limit = "supply + 0.3V"', ""))
    assert gap(limit(of, the_chain(of))) == (
        "part TS1 does not say what voltage its trigger pin stands",
        ("TS1 input.trigger.limit",),
    )
    strap = chained(FIRST + block("U2", "TS1", "out", "kick") + "R1 tick cfgU2 100k\n")
    chain = chain_of(strap, "XU1 -> XU2 strap")
    assert gap(limit(strap, chain))[1] == ("TS1 input.strap.limit",)
    assert gap(wanted(strap, chain, "low"))[1] == ("TS1 input.strap.low",)


@pytest.mark.parametrize(
    ("error", "role", "high", "low"),
    [("2%", "trigger", 1.02, 0.98), ("0%", "trigger", 1.0, 1.0), ("2%", "threshold", 2.04, 1.96)],
)
def test_an_rc_timer_s_inputs_want_its_ladder_s_taps(error: str, role: str, high: float, low: float) -> None:
    """A third of 3 V, and two thirds; a high must be above it by its error, a low below."""
    file = parts() + rc_parts(error).replace("TR1", "TR9")
    netlist = with_timer("tick") if role == "trigger" else FIRST + (
        "XU2 vdd out2 dis tick cv trg vdd 0 TR1\nRA vdd dis 10k 0%\n"
    )  # fmt: skip
    of = chained(netlist.replace("TR1", "TR9"), part_file=file)
    chain = chain_of(of, f"XU1 -> XU2 {role}")
    assert at(wanted(of, chain, "high")) == pytest.approx(high)
    assert at(wanted(of, chain, "low")) == pytest.approx(low)


def test_a_ladder_says_nothing_of_other_inputs() -> None:
    """An RC timer's reset has no tap."""
    netlist = FIRST + "XU2 vdd out2 dis th cv trg tick 0 TR9\nRA vdd dis 10k 0%\n"
    of = chained(netlist, part_file=parts() + rc_parts("2%").replace("TR1", "TR9"))
    assert gap(wanted(of, chain_of(of, "XU1 -> XU2 reset"), "low")) == (
        "part TR9 gives no low level of its reset pin",
        ("TR9 input.reset.low",),
    )


@pytest.mark.parametrize(
    ("more", "known"),
    [
        ("", True),
        ("C5 cv 0 10n", True),
        ("R5 cv 0 10k", False),
        ("R5 x cv 10k", False),
        ("J5 cv PLUG", True),
        ("XU3 vdd o3 d3 th3 cv tr3 vdd 0 TR1", False),
    ],
)
def test_a_load_on_the_control_pin_moves_the_ladder(more: str, known: bool) -> None:
    """Anything but a capacitor and what carries nothing; then the pin's own name is what is missing."""
    file = parts() + rc_parts("2%").replace("TR1", "TR9")
    of = chained(with_timer("tick", more + "\n").replace("TR1", "TR9"), part_file=file)
    found = wanted(of, chain_of(of, "XU1 -> XU2 trigger"), "high")
    assert isinstance(found, Dependence) is known
    if not known:
        assert gap(found) == ("the load on the control pin of XU2 moves its thresholds", ("control",))


def test_a_ladder_without_an_error_gives_no_levels() -> None:
    """Where the taps are is known, how exactly is not."""
    file = parts() + rc_parts("2%").replace("TR1", "TR9").replace(', error = "2%"', "")
    of = chained(with_timer("tick").replace("TR1", "TR9"), part_file=file)
    assert gap(wanted(of, chain_of(of, "XU1 -> XU2 trigger"), "high")) == (
        "part TR9 gives no high level of its trigger pin",
        ("TR9 input.trigger.high",),
    )


def test_a_ladder_without_a_control_pin_is_loaded_by_nothing() -> None:
    """A part without the pin."""
    text = rc_parts("2%").replace("TR1", "TR9").replace('"control", ', "")
    netlist = FIRST + "XU2 vdd out2 dis th tick vdd 0 TR9\nRA vdd dis 10k 0%\n"
    of = chained(netlist, part_file=parts() + text)
    assert at(wanted(of, chain_of(of, "XU1 -> XU2 trigger"), "high")) == pytest.approx(1.02)


@pytest.mark.parametrize(
    ("way", "high", "low"),
    [
        # Off, a transistor leaves the pin to what hangs on it; on, it stands at its rail less 0 V to 0.3 V.
        ("R1 tick b 10k\nQ1 t b 0 NS\nR2 v5 t 10k 0%", (5.0, 5.0), (0.0, 0.3)),
        ("M1 t tick v5 v5 MP\nR2 t 0 10k 0%", (4.7, 5.0), (0.0, 0.0)),
        # Behind a resistor: on, 2.9 V in the middle over 1k and 1k.
        ("M1 c tick vdd vdd MP\nR2 c t 1k 0%\nR3 t 0 1k 0%", (1.35, 1.5), (0.0, 0.0)),
        ("R1 tick b 1k\nQ1 c b 0 NS\nR2 c t 1k 0%\nR3 vdd t 1k 0%", (3.0, 3.0), (1.5, 1.65)),
        # A switch of a part file likewise.
        ("XW1 v5 tick t 0 TW1\nR2 t 0 10k 0%", (4.7, 5.0), (0.0, 0.0)),
        # A gate drives through its own 40 ohm.
        ("XG1 tick g vdd 0 TG1\nR2 g t 1k 0%\nR3 t 0 1k 0%", (3e3 / 2040, 3e3 / 2040), (0.0, 0.0)),
    ],
)
def test_levels_behind_what_drives_anew(
    way: str, high: tuple[float, float], low: tuple[float, float]
) -> None:
    """Their extremes, V."""
    of = between(way)
    chain = the_chain(of)
    assert ends(level(of, chain, "high")) == pytest.approx(high, abs=1e-9)
    assert ends(level(of, chain, "low")) == pytest.approx(low, abs=1e-9)


def test_a_transistor_that_is_on_is_said_to_saturate() -> None:
    """0 V to 0.3 V, 0.1 V nominal, off its rail: an assumption, under a cause of its own."""
    of = between("M1 t tick v5 v5 MP\nR2 t 0 10k")
    stage = the_chain(of).stage
    assert stage is not None
    on = on_voltage(of, stage)
    assert isinstance(on, Dependence)
    assert (on.unit, on.text) == (VOLT, "M1 on")
    assert on.nominal == pytest.approx(4.9)
    assert on.causes[0] == ("M1 saturation", 0.1, 0.0, 0.3, False)
    assert on.assumptions == ("M1 pulls to within 0 mV .. 300 mV (nominal 100 mV) of its rail",)
    assert SATURATION[:3] == (0.0, 0.1, 0.3)
    assert pulls_up(of, stage)
    low = the_chain(between("R1 tick b 1k\nQ1 t b 0 NS\nR2 vdd t 1k")).stage
    assert low is not None
    assert not pulls_up(of, low)


def test_a_rail_that_nobody_knows_or_that_moves_gives_no_level() -> None:
    """Its name is what is missing; a rail of several levels is said to be one."""
    of = between("R1 tick b 1k\nQ1 t b e NS\nR3 e 0 47\nR2 vdd t 1k")
    chain = the_chain(of)
    wanting = ("what Q1 pulls to is not known", ("Q1 rail",))
    assert gap(level(of, chain, "low")) == wanting
    assert gap(level(of, chain, "high")) == wanting
    moving = between("V9 sq 0 PULSE(-1 3 0 1u 1u 1m 2m)\nM1 t tick sq sq MP\nR2 t 0 1k")
    assert gap(level(moving, the_chain(moving), "high"))[0] == "the rail of M1 takes several levels"
    square = moving.board.circuit.net("sq")
    output = moving.board.circuit.net("t")
    assert square is not None
    assert output is not None
    assert pulls_up(moving, Stage("M1", "transistor", output, square))
    assert not pulls_up(moving, Stage("M1", "transistor", output))


@pytest.mark.parametrize(
    ("lines", "volts", "up"),
    [
        ("R8 e v5 0", 5.0, True),
        ("V8 e 0 0.5", 0.5, True),
        ("V8 e 0 -0.5", -0.5, False),
        ("R8 e 0 0", 0.0, False),
        # A net that is fed through a filter, and feeds a block of its own.
        (f"R8 v5 e 0.001\n{block('U3', 'TO1', 'x', 'e', supply='e')}", 5.0, True),
    ],
)
def test_the_rail_that_a_transistor_pulls_to(lines: str, volts: float, up: bool) -> None:
    """Held, joined to what is held, or fed: its output comes within 0.1 V of it, from inside."""
    of = between(f"M1 t tick vdd vdd MP\nR2 t 0 1k\n{lines}")
    output, toward = of.board.circuit.net("t"), of.board.circuit.net("e")
    assert output is not None
    stage = Stage("M1", "transistor", output, toward)
    assert pulls_up(of, stage) is up
    assert at(on_voltage(of, stage)) == pytest.approx(volts + (-0.1 if up else 0.1), abs=1e-4)


def test_followers_and_capacitors_leave_the_level_unknown() -> None:
    """A follower's drop is not known; a capacitor passes edges alone."""
    of = between("R1 tick b 1k\nQ1 vdd b t NS\nR2 t 0 1k")
    for state in ("high", "low"):
        known: Level = "high" if state == "high" else "low"
        assert gap(level(of, the_chain(of), known)) == ("the level behind Q1 is not known", ("level of t",))
    for tolerance in ("0%", "10%"):
        coupled = between(f"C1 tick t 1n {tolerance}\nR2 t 0 1k")
        passes = ("a capacitor on the way to t passes edges and no level", ())
        assert gap(level(coupled, the_chain(coupled), "high")) == passes
        assert gap(settling(coupled, the_chain(coupled))) == passes


def test_a_pin_that_nothing_holds_while_its_driver_lets_go() -> None:
    """An open-drain output without a pull-up; with one it is high."""
    drain = parts().replace('kind = "push-pull", source', 'kind = "open-drain", source')
    bare = between(pin="tick", part_file=drain)
    assert gap(level(bare, the_chain(bare), "high")) == (
        "nothing holds tick while its driver lets it go",
        ("voltage of tick",),
    )
    assert at(level(bare, the_chain(bare), "low")) == 0
    pulled = between("R9 vdd tick 10k 0%", pin="tick", part_file=drain)
    assert at(level(pulled, the_chain(pulled), "high")) == pytest.approx(3.0)


def test_two_open_drains_without_a_pull_up_leave_the_pin_open_in_one_state() -> None:
    """While one lets go the other may pull low or let go as well: then nothing holds it."""
    drain = parts().replace('kind = "push-pull", source', 'kind = "open-drain", source')
    both = block("U3", "TO1", "tick", "vdd") + block("U2", "TS1", "out", "tick")
    for pull, known in (("", False), ("R9 vdd tick 10k 0%\n", True)):
        of = chained(f"{FIRST}{both}{pull}", part_file=drain)
        found = level(of, chain_of(of, "XU1 -> XU2 trigger"), "high")
        assert isinstance(found, States) is known
        if not known:
            assert gap(found) == ("nothing holds tick while its driver lets it go", ("voltage of tick",))


def test_a_drop_is_taken_off_a_high_and_added_to_a_low() -> None:
    """All of 1.7 V and of 0.2 V may be there, from nothing, told as the part file's."""
    new = 'high_drop = "1.7V at 50mA", low_drop = "0.2V at 10mA"'
    of = between(pin="tick", part_file=parts().replace('resistance = "20ohm"', new))
    chain = the_chain(of)
    high, low = level(of, chain, "high"), level(of, chain, "low")
    assert ends(high) == pytest.approx((1.3, 3.0))
    assert ends(low) == pytest.approx((0.0, 0.2))
    for found, name, most in ((high, "high", 1.7), (low, "low", 0.2)):
        assert isinstance(found, Dependence)
        assert (f"XU1 {name} drop", 0.0, 0.0, most, False) in found.causes
        told = next(each for each in found.inputs if each.label == f"XU1 {name} drop")
        assert (told.origin, told.place) == ("part file", chain.driver.part.place)
    # Behind a gate the gate's level counts, and the output's drop no more.
    gated = between("XG1 tick t vdd 0 TG1", part_file=parts().replace('resistance = "20ohm"', new))
    assert ends(level(gated, the_chain(gated), "high")) == pytest.approx((3.0, 3.0))


def test_states_are_kept_by_the_level_of_an_output() -> None:
    """Those in which it is high, without saying so again; others' conditions stay."""
    volts = {name: constant(float(k), VOLT) for k, name in enumerate("abcd")}
    high, low, other = ("XU1", "high"), ("XU1", "low"), ("sq", "3 V")
    both = States((((high,), volts["a"]), ((low,), volts["b"])))
    assert while_at(both, "XU1", "high") is volts["a"]
    assert while_at(both, "XU1", "low") is volts["b"]
    assert while_at(both, "XU9", "low") is both
    assert while_at(volts["a"], "XU1", "high") is volts["a"]
    more = States((((high,), volts["a"]), ((other, high), volts["b"]), ((low,), volts["c"])))
    assert while_at(more, "XU1", "high") == States((((), volts["a"]), ((other,), volts["b"])))
    unknown = Unknown("x")
    assert while_at(unknown, "XU1", "high") is unknown


def filtered(way: str, part_file: str = "") -> tuple[Quantity, Quantity]:
    """Resistance in the way, and the time that it costs."""
    of = between(way, part_file=part_file)
    return series(of, the_chain(of)), settling(of, the_chain(of))


@pytest.mark.parametrize(
    ("low", "high", "slower"),
    [("0.3", "0.7", log(1 / 0.3)), ("0.2", "0.7", log(5)), ("0.3", "0.9", log(10))],
)
def test_the_slower_edge_counts(low: str, high: str, slower: float) -> None:
    """10 kohm and 1 nF between 3 V and 0 V: to 0.9 of it ln 10, down to 0.2 of it ln 5."""
    file = parts().replace(STEP, f'low = "{low} supply", high = "{high} supply"')
    ohm, time = filtered("R1 tick t 10k 0%\nC1 t 0 1n 0%", file)
    assert at(ohm) == pytest.approx(10e3)
    assert at(time) == pytest.approx(10e-6 * slower)
    assert isinstance(time, Dependence)
    assert (time.unit, time.text) == (SECOND, "tau ln(swing / distance to the level wanted), the slower edge")
    assert isinstance(ohm, Dependence)
    assert (ohm.unit, ohm.text) == (OHM, "resistors in a row")


@pytest.mark.parametrize("ohm", ["10k", "1k"])
@pytest.mark.parametrize("rail", ["0", "vdd"])
def test_a_swing_that_never_gets_there_takes_for_ever(rail: str, ohm: str) -> None:
    """Over 10 kohm and 10 kohm a high is 1.5 V, of 2.1 V wanted; or a low 1.5 V of 0.9 V; or far from it."""
    _, time = filtered(f"R1 tick t 10k 0%\nR2 t {rail} {ohm} 0%\nC1 t 0 1n 0%")
    assert at(time) == inf


def test_capacitors_count_by_the_resistance_before_them() -> None:
    """1k 1n + (1k + 2k) 3n = 10 us of tau, on whichever side of a bead or link the first of them stands.

    One at the output itself counts by nothing, and so do coils in the way.
    """
    way = "C9 tick 0 5n 0%\nR1 tick a 1k 0%\nC1 {} 0 1n 0%\n{}\nR2 b t 2k 0%\nC2 t 0 3n 0%"
    for net, between_them in (
        ("a", "L5 a b 1u"),
        ("b", "L5 a b 1u"),
        ("a", "R5 a b 0"),
        ("b", "R5 a b 0"),
    ):
        _, time = filtered(way.format(net, between_them))
        assert at(time) == pytest.approx(10e-6 * log(1 / 0.3))
    ohm, none = filtered("R1 tick a 1k 0%\nL5 a b 1u\nR2 b t 2k 0%")
    assert at(ohm) == pytest.approx(3e3)
    assert isinstance(none, Dependence)
    assert (none.nominal, none.causes, none.unit) == (0.0, (), SECOND)
    assert none.text == "no capacitor behind a resistance"
    for tolerance in ("0%", "10%"):
        at_output, nothing = filtered(f"C9 tick 0 5n {tolerance}\nL5 tick t 1u")
        assert (at(at_output), at(nothing)) == (0.0, 0.0)
        assert isinstance(nothing, Dependence)
        assert nothing.causes == ()


def test_a_capacitor_at_the_output_costs_no_time_where_the_level_is_out_of_reach() -> None:
    """Nothing, and not nothing times for ever: the levels say what is wrong."""
    _, time = filtered("C9 tick 0 5n\nR1 tick t 10k\nR2 t 0 1k")
    assert at(time) == 0


def test_nets_that_are_joined_elsewhere_are_one_on_the_way() -> None:
    """A statement joins a and b: 1 kohm before both, 1 nF on either."""
    of = between("R1 tick a 1k 0%\nC1 a 0 1n 0%\nR2 b t 1k 0%\nC2 t 0 1n 0%", intent="same a b")
    chain = the_chain(of)
    assert at(series(of, chain)) == pytest.approx(2e3)
    assert at(settling(of, chain)) == pytest.approx(3e-6 * log(1 / 0.3))


def test_behind_a_transistor_its_pull_up_is_what_charges() -> None:
    """Pull-up 10k and 1k of the way with 1 nF at the pin: 11 us of tau; what comes before counts nothing."""
    way = "R1 tick b 47k 0%\nC8 b 0 1u 0%\nQ1 c b 0 NS\nR2 vdd c 10k 0%\nR3 c t 1k 0%\nC1 t 0 1n 0%"
    ohm, time = filtered(way)
    assert at(ohm) == pytest.approx(11e3)
    # High 3 V, low 0.1 V: swing 2.9 V, 0.9 V short of 3 V, or 0.8 V above 0.1 V.
    assert at(time) == pytest.approx(11e-6 * log(2.9 / 0.8))
    gate, late = filtered("R1 tick g 47k 0%\nC8 g 0 1u 0%\nXG1 g c vdd 0 TG1\nR3 c t 1k 0%\nC1 t 0 1n 0%")
    assert at(gate) == pytest.approx(1e3)
    assert at(late) == pytest.approx(1e-6 * log(1 / 0.3))


def test_what_is_unknown_on_the_way_leaves_its_sums_unknown() -> None:
    """A resistor or capacitor without a value is named."""
    ohm, time = filtered("R1 tick t ?\nC1 t 0 1n")
    assert gap(ohm)[1] == ("R1 value",)
    assert "R1 value" in gap(time)[1]
    ohm, time = filtered("R1 tick t 1k 0%\nC1 t 0 ?")
    assert at(ohm) == pytest.approx(1e3)
    assert gap(time)[1] == ("C1 value",)


def test_a_level_that_is_wanted_where_the_swing_begins_costs_no_time() -> None:
    """Never less than nothing: at its end, and beyond it, where the swing from 1.5 V to 3 V is inside."""
    for low, high, way in (("1.0", "0", ""), ("1.1", "0.3", "R2 t vdd 10k 0%\n")):
        file = parts().replace(STEP, f'low = "{low} supply", high = "{high} supply"')
        _, time = filtered(f"R1 tick t 10k 0%\n{way}C1 t 0 1n 0%", file)
        assert at(time) == 0
