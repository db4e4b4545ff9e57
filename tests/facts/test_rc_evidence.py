"""An RC timer's network told: what each figure rests on, whose word it is, and what is named where unknown.

Worked by hand from the charging of a capacitor, Thevenin's theorem and the divider law (any circuit text).
"""

from math import log

import numpy as np
import pytest

from drc.facts.model import Cases, Unknown
from drc.facts.rc_timer import duty_of
from drc.facts.rc_wiring import joined
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.test_rc_timer import BOARD, parts
from tests.facts.timing_boards import book, fact, span, unknown

STILL = "ambient 25degC .. 25degC"
SHOT = "V1 vdd 0 6\nXU1 vdd out th th cv trg vdd 0 TR1\nR1 vdd th 10k 0%\nC1 th 0 100n 0%\n"
RC = ("RA", "RB", "V1")
LEAKS = 'input.threshold = { leakage = "1uA" }\ninput.trigger = { leakage = "2uA" }'


def labels(name: str, more: str = LEAKS, board: str = BOARD, **given: str) -> list[str]:
    """What a fact names as evidence, tolerances left out."""
    found = fact(book(board, parts(more=more, **given), STILL), name)
    assert found.assumptions == ()
    return [each.label for each in found.inputs if not each.label.endswith("tolerance")]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("rc.capacitance", ["C1"]),
        ("rc.upper_threshold", ["V1", "0", "TR1 ladder error"]),
        ("rc.lower_threshold", ["V1", "0", "TR1 ladder error"]),
        ("rc.settles", ["RB", "RA", "V1", "XU1 threshold leakage", "XU1 trigger leakage"]),
        ("rc.leakage", ["TR1 threshold leakage", "TR1 trigger leakage"]),
        (
            "rc.discharge_current",
            ["RA", "RB", "V1", "XU1 threshold leakage", "XU1 trigger leakage", "TR1 discharge", "0"],
        ),
        ("rc.discharge_surge", ["RA", "RB", "V1", "0", "TR1 ladder error", "TR1 discharge"]),
    ],
)
def test_what_a_figure_of_the_network_rests_on(name: str, expected: list[str]) -> None:
    """Resistors, rails, leakages and the part's own figures, in the order of the law."""
    assert labels(name, error="1%", discharge="60ohm") == expected


def test_each_phase_shows_what_was_solved() -> None:
    """Source resistance, where it heads for, start and end of each phase, as a reader would work them out."""
    of = book(BOARD, parts(error="1%", discharge="1kohm", more=LEAKS), STILL)
    shown = {each.label: each.value for each in fact(of, "timing.low").inputs if each.origin == "solved"}
    assert shown == {
        "R_th, output low": "20.91 kohm",
        "V_inf, output low": "545.5 mV",
        "V_0, output low": "4 V",
        "V_1, output low": "2 V",
    }
    high = {each.label: each.value for each in fact(of, "timing.high").inputs if each.origin == "solved"}
    assert high == {
        "R_th, output high": "30 kohm",
        "V_inf, output high": "6 V",
        "V_0, output high": "2 V",
        "V_1, output high": "4 V",
    }
    first = {
        each.label: each.value for each in fact(of, "timing.first_high").inputs if each.origin == "solved"
    }
    assert first == {**high, "V_0, output high": "0 V"}


def test_the_thresholds_err_each_by_themselves() -> None:
    """1 % of 4 V and of 2 V; high time at its corners: up late from below early, and the other way round."""
    of = book(BOARD, parts(error="1%"), STILL)
    upper, lower = span(of, "rc.upper_threshold"), span(of, "rc.lower_threshold")
    assert (upper.low, upper.middle, upper.high) == pytest.approx((3.96, 4, 4.04))
    assert (lower.low, lower.middle, lower.high) == pytest.approx((1.98, 2, 2.02))
    high = span(of, "timing.high")
    assert high.low == pytest.approx(3e-3 * log((6 - 2.02) / (6 - 3.96)))
    assert high.high == pytest.approx(3e-3 * log((6 - 1.98) / (6 - 4.04)))
    evidence = next(i for i in fact(of, "rc.upper_threshold").inputs if "ladder" in i.label)
    assert (evidence.value, evidence.origin) == ("+/- 1 %", "part file")
    assert evidence.place is not None


def test_a_lifted_ground_lifts_the_whole_timer() -> None:
    """Supply at 7 V, ground at 1 V: thresholds 5 V and 3 V, times and currents as from 6 V."""
    lifted = BOARD.replace("V1 vdd 0 6", "V9 g 0 1\nV1 vdd 0 7").replace("vdd 0 TR1", "vdd g TR1")
    of = book(lifted.replace("C1 th 0", "C1 th g"), parts(discharge="1kohm"), STILL)
    plain = book(BOARD, parts(discharge="1kohm"), STILL)
    assert span(of, "rc.upper_threshold").middle == pytest.approx(5)
    assert span(of, "rc.lower_threshold").middle == pytest.approx(3)
    same = ("timing.high", "timing.low", "timing.first_high", "rc.charging_current")
    for name in (*same, "rc.discharge_current", "rc.discharge_surge"):
        assert span(of, name).middle == pytest.approx(span(plain, name).middle), name
    assert span(plain, "rc.discharge_current").middle == pytest.approx(6 / 11e3)
    meeting = 10e3 * 20e3 / 30e3
    surge = (6 / 10e3 + 4 / 20e3) * meeting / (meeting + 1e3)
    assert span(plain, "rc.discharge_surge").middle == pytest.approx(surge)


@pytest.mark.parametrize(
    ("board", "more", "expected"),
    [
        (SHOT, 'input.threshold = { leakage = "1uA" }', 1e-6),
        (BOARD, LEAKS, 3e-6),
        (SHOT, LEAKS, 1e-6),
    ],
)
def test_the_leakage_is_of_the_pins_on_the_capacitor(board: str, more: str, expected: float) -> None:
    """Of an astable threshold and trigger, of a one-shot the threshold alone."""
    assert span(book(board, parts(more=more)), "rc.leakage").middle == pytest.approx(expected)


@pytest.mark.parametrize(
    ("board", "more", "name", "missing"),
    [
        (BOARD, "", "rc.leakage", ("TR1 input.threshold.leakage",)),
        (BOARD, 'input.threshold = { leakage = "1uA" }', "rc.leakage", ("TR1 input.trigger.leakage",)),
        (BOARD, 'input.threshold = { low = "1V" }', "rc.leakage", ("TR1 input.threshold.leakage",)),
        (BOARD, "", "rc.discharge_rated", ("TR1 discharge.current",)),
        (BOARD.replace("RA vdd", "RA x"), "", "rc.settles", ("voltage of th",)),
        (BOARD.replace("RA vdd", "RA x"), "", "rc.charging_current", ("voltage of th",)),
        (BOARD.replace("RA vdd", "RA x"), "", "rc.discharge_current", ("voltage of dis",)),
        (BOARD.replace("dis 10k 0%", "dis ?"), "", "rc.settles", ("RA value",)),
        (BOARD.replace("dis 10k 0%", "dis ?"), "", "rc.charging_current", ("RA value",)),
        (BOARD.replace("dis 10k 0%", "dis ?"), "", "rc.discharge_current", ("RA value",)),
        (BOARD.replace("V1 vdd 0 6", ""), "", "rc.discharge_surge", ("voltage of vdd",)),
        (BOARD.replace("C1 th", "C1 x"), "", "rc.capacitance", ("capacitor",)),
        (BOARD.replace("100n 0%", "?"), "", "rc.capacitance", ("C1 value",)),
        (BOARD.replace("100n 0%", "?"), "", "timing.high", ("C1 value",)),
        (BOARD.replace("100n 0%", "?"), "", "rc.wiring", ("C1 value",)),
        (SHOT.replace("th 10k 0%", "th ?"), "", "timing.pulse_width", ("R1 value",)),
    ],
)  # fmt: skip
def test_what_the_network_lacks_is_named(board: str, more: str, name: str, missing: tuple[str, ...]) -> None:
    """A figure of the part file, a value, or what nothing holds."""
    assert unknown(book(board, parts(more=more)), name).missing == missing


def test_a_switch_of_which_no_resistance_is_given() -> None:
    """Neither its currents nor how far it discharges are known; with one they are."""
    text = parts(discharge="50ohm")
    silent = text.replace('discharge = { resistance = "50ohm" }', 'discharge = { current = "1A" }')
    for name in ("rc.discharge_current", "rc.discharge_surge", "timing.low"):
        assert unknown(book(BOARD, silent), name).missing == ("TR1 discharge.resistance",), name
        assert span(book(BOARD, text), name).nominal is not None


def test_what_a_one_shot_and_an_astable_do_not_have() -> None:
    """No cycles here, no pulse width there: by the wiring, not by a missing value."""
    shot, astable = book(SHOT, parts()), book(BOARD, parts())
    assert (fact(shot, "rc.wiring").value, fact(astable, "rc.wiring").value) == ("one-shot", "astable")
    for name in ("timing.high", "timing.low", "timing.first_high", "timing.duty"):
        assert unknown(shot, name) == Unknown("XU1 is wired as a one-shot: it makes no cycles")
    assert unknown(astable, "timing.pulse_width") == Unknown(
        "XU1 is wired as an astable: it has no pulse width"
    )
    assert fact(astable, "rest.power_up").value == "high"
    assert unknown(shot, "rest.power_up").missing == ("TR1 output as the supply comes up",)
    away = book(BOARD.replace("C1 th", "C1 x"), parts())
    assert unknown(away, "rest.power_up").missing == ("capacitor",)


FROM_OUTPUT = "V1 vdd 0 6\nXU1 vdd out d th cv th vdd 0 TR1\nR1 out th 15k 0%\nC1 th 0 10n 0%\n"
APART = BOARD.replace("th cv th vdd", "th cv tr vdd")


@pytest.mark.parametrize(
    ("board", "kind"),
    [
        (BOARD, "astable"),
        (BOARD.replace("th cv th vdd", "th cv tr vdd") + "R9 th tr 0\n", "astable"),
        (BOARD.replace("th cv th vdd", "th cv tr vdd") + "R9 tr th2 0\nL9 th2 th 1u\n", "astable"),
        (FROM_OUTPUT, "astable from its output"),
        (SHOT, "one-shot"),
        (SHOT.replace("out th th", "out dis th") + "R9 dis th 0\n", "one-shot"),
        (SHOT.replace("out th th", "out dis th") + "R9 dis th 1k\n", "one-shot"),
        (SHOT.replace("cv trg", "cv th"), None),
        (APART.replace("RB dis th", "RB vdd th"), None),
        (FROM_OUTPUT.replace("R1 out", "R1 vdd"), None),
        (FROM_OUTPUT.replace("th cv th", "th cv tr"), None),
    ],
)
def test_which_wiring_it_is(board: str, kind: str | None) -> None:
    """Trigger on threshold or apart; discharge behind a resistor, straight on, or left out.

    With trigger, threshold and discharge all on one net it can neither charge nor run free.
    """
    of = book(board, parts(), STILL)
    if kind is None:
        assert unknown(of, "rc.wiring").missing == ("XU1 wiring",)
    else:
        assert fact(of, "rc.wiring").value == kind


@pytest.mark.parametrize("which", ["threshold", "trigger", "ground"])
def test_a_pin_that_is_not_there_is_named(which: str) -> None:
    """Without threshold, trigger or ground pin there is no wiring to speak of."""
    text = parts().replace(f'"{which}"', '"nc"')
    of = book(BOARD, text, STILL)
    assert f"{which} pin" in unknown(of, "rc.wiring").missing
    assert f"has no {which} pin" in unknown(of, "rc.wiring").because


def test_all_pins_that_are_not_there_are_named() -> None:
    """In the order of the capacitor's way."""
    text = parts().replace('"threshold"', '"nc"').replace('"discharge"', '"nc"')
    assert unknown(book(BOARD, text), "rc.wiring") == Unknown(
        "XU1 has no threshold or discharge pin", ("threshold pin", "discharge pin")
    )


def test_which_nets_are_one() -> None:
    """Through links of 0 ohm, any number; not through a resistor, a capacitor or a battery."""
    lines = "R1 a b 0\nR2 b c 0\nR3 c d 1\nC3 c e 1n\nV3 c f 1\nR4 c a 0\nR5 g h 0\n"
    of = book(f"{CENTRED.replace('R1', 'R11').replace('R2', 'R12').replace('R3', 'R13')}{lines}", PLAIN)
    nets = {name: of.board.circuit.net(name) for name in "abcdefgh"}
    for name in "abcdefgh":
        start, other = nets["a"], nets[name]
        assert start is not None
        assert other is not None
        assert joined(of, start, other) is (name in "abc")
        assert joined(of, other, start) is (name in "abc")


@pytest.mark.parametrize(
    ("more", "missing"),
    [
        ("C2 dis 0 1n", ("C2",)),
        ("C2 dis vdd 1n", ("C2",)),
        ("C2 0 dis 1n", ("C2",)),
        ("R9 th m 1k\nC2 m 0 1n", ("C2",)),
        ("R9 th m 0\nC2 m 0 1n", None),
        ("C2 th 0 1n", None),
        ("C2 vdd 0 1n", None),
        ("C2 dis 0 1n\n*@ fit C2 no", None),
    ],
)
def test_a_second_capacitor_is_one_of_another_node(more: str, missing: tuple[str, ...] | None) -> None:
    """Beside the timing capacitor, or joined to it, it adds; elsewhere it makes a second order."""
    of = book(f"{BOARD}{more}\n", parts(), STILL)
    if missing is None:
        farad = 100e-9 + (1e-9 if more in ("C2 th 0 1n", "R9 th m 0\nC2 m 0 1n") else 0)
        assert span(of, "timing.high").middle == pytest.approx(30e3 * farad * log(2))
    else:
        found = unknown(of, "timing.high")
        assert found.missing == missing
        assert "a second order" in found.because


@pytest.mark.parametrize(
    ("capacitor", "missing"),
    [
        ("C1 th x 100n", ("x",)),
        ("C1 x th 100n", ("x",)),
        ("C1 th vdd 100n 0%", None),
        ("C1 vdd th 100n 0%", None),
        ("C1 th 0 100n 0%\nC8 th x 1n\n*@ fit C8 no", None),
        ("C1 th 0 100n 0%\nC8 th x 1n", ("x",)),
    ],
)
def test_the_far_end_of_the_timing_capacitor_must_stand_still(
    capacitor: str, missing: tuple[str, ...] | None
) -> None:
    """On any rail; one that is not fitted is none."""
    of = book(BOARD.replace("C1 th 0 100n 0%", capacitor), parts(), STILL)
    if missing is None:
        assert span(of, "timing.high").middle == pytest.approx(3e-3 * log(2))
    else:
        assert unknown(of, "timing.high").missing == missing


@pytest.mark.parametrize(
    ("more", "intent", "upper"),
    [
        ("", "", 4.0),
        ("C2 cv 0 10n", "", 4.0),
        ("R9 cv 0 10k 0%", "", 3.0),
        ("R9 cv vdd 5k 0%", "", 6 * 10 / 12.5),
        ("", "signal cv 4.5V", 4.5),
        ("", "supply cv 4.5V", 4.5),
        ("V9 cv 0 4.5", "", 4.5),
        ("R9 cv x 10k 0%", "", 4.0),
    ],
)
def test_what_moves_the_thresholds(more: str, intent: str, upper: float) -> None:
    """A load on the control pin against the ladder of 5 kohm and 2 * 5 kohm, or a voltage that is held."""
    of = book(f"{BOARD}{more}\n", parts(), f"{STILL}\n{intent}")
    assert span(of, "rc.upper_threshold").middle == pytest.approx(upper)
    assert span(of, "rc.lower_threshold").middle == pytest.approx(upper / 2)


def test_a_loaded_ladder_of_unknown_resistance_is_named() -> None:
    """Only where something loads it."""
    text = parts().replace(', resistance = "5kohm"', "")
    assert span(book(BOARD, text), "rc.upper_threshold").middle == pytest.approx(4)
    loaded = book(f"{BOARD}R9 cv 0 10k 0%\n", text)
    assert unknown(loaded, "rc.upper_threshold").missing == ("TR1 ladder resistance",)
    bare = parts().replace(
        'ladder = { lower = "1/3", upper = "2/3", error = "0%", resistance = "5kohm" }', ""
    )
    for name in ("rc.upper_threshold", "rc.lower_threshold"):
        assert unknown(book(BOARD, bare), name).missing == ("TR1 ladder",)


def test_a_control_pin_that_a_square_wave_moves_takes_states() -> None:
    """0 V or 6 V behind 10 kohm: 3 V or 4.5 V; each time is one of two, and no one frequency or surge."""
    of = book(f"{BOARD}V8 sq 0 PULSE(0 6 0 1u 1u 1m 2m)\nRX cv sq 10k 0%\n", parts(), STILL)
    upper = fact(of, "rc.upper_threshold").value
    assert isinstance(upper, Cases)
    assert [case.value.middle for case in upper.cases] == pytest.approx([3, 4.5])
    high = fact(of, "timing.high").value
    assert isinstance(high, Cases)
    by_hand = [3e-3 * log((6 - each / 2) / (6 - each)) for each in (3, 4.5)]
    assert [case.value.middle for case in high.cases] == pytest.approx(by_hand)
    for name in ("timing.frequency", "timing.period", "timing.duty"):
        assert unknown(of, name) == Unknown("the times of XU1 take states")
    assert unknown(of, "rc.discharge_surge") == Unknown("the upper threshold of XU1 takes states")


def test_a_part_s_own_timing_error_widens_every_time() -> None:
    """1 % beside the ladder's nothing: times by 1 % either way, the law tells of it."""
    more = 'timing = { error = "1%", at_supply = "6V", tempco = "+/- 0ppm", supply_error = "0%/V" }'
    of, plain = book(BOARD, parts(more=more), STILL), book(BOARD, parts(), STILL)
    for name in ("timing.high", "timing.low", "timing.first_high"):
        found, exact = span(of, name), span(plain, name).middle
        assert (found.low, found.high) == pytest.approx((0.99 * exact, 1.01 * exact)), name
        assert len(fact(of, name).law) > len(fact(plain, name).law)
        assert fact(of, name).law.startswith(fact(plain, name).law)
    shot = span(book(SHOT, parts(more=more), STILL), "timing.pulse_width")
    assert shot.high / shot.low == pytest.approx(1.01 / 0.99)


def test_a_timer_driven_from_its_output_knows_its_own_levels() -> None:
    """An output of 1 kohm either way adds to 15 kohm; no discharge figure is needed; surge sees nothing."""
    text = parts().replace('resistance = "0ohm" }', 'resistance = "1kohm" }')
    text = text.replace('discharge = { resistance = "1kohm" }', "")
    of = book(FROM_OUTPUT, text, STILL)
    for name in ("timing.high", "timing.low"):
        assert span(of, name).middle == pytest.approx(16e3 * 10e-9 * log(2))
    assert span(of, "timing.duty").middle == pytest.approx(50)
    settles = span(of, "rc.settles")
    assert settles.middle == pytest.approx(6)
    assert span(of, "rc.charging_current").middle == pytest.approx(2 / 16e3)


def test_an_own_output_and_another_s_are_told_apart() -> None:
    """XU2's output through 30 kohm on the capacitor: two cases, by XU2's level alone."""
    lines = f"{FROM_OUTPUT}R9 o2 th 30k 0%\nXU2 vdd o2 d2 t2 cv2 t2 vdd 0 TR1\n"
    of = book(lines, parts(), STILL)
    value = fact(of, "rc.settles").value
    assert isinstance(value, Cases)
    found = {case.label: case.value.middle for case in value.cases}
    assert found == pytest.approx({"XU2 = high": 6.0, "XU2 = low": 6 * 30 / 45})


def test_the_duty_of_a_phase_that_never_ends() -> None:
    """All high where the high time has no end, all low where the low time has none; else its share."""
    inf = float("inf")
    high, low = np.array([1.0, 3.0, inf, 1.0, 2.0]), np.array([1.0, 1.0, 1.0, inf, 0.0])
    assert duty_of(high, low).tolist() == pytest.approx([50, 75, 100, 0, 100])


@pytest.mark.parametrize(
    ("more", "discharge"), [("RX th 0 30k 0%\n", "0ohm"), ("", "10kohm"), ("RX th 0 30k 0%\n", "100kohm")]
)
def test_a_cycle_needs_both_of_its_ends(more: str, discharge: str) -> None:
    """Charged to 3 V it never reaches 4 V; with 10 kohm of switch under 10 kohm it never falls below 3 V."""
    of = book(BOARD + more, parts(discharge=discharge), STILL)
    for name in ("timing.frequency", "timing.period", "timing.duty"):
        assert unknown(of, name).missing == ("XU1 timing network",), name
        assert "settles short of the threshold" in unknown(of, name).because
    for name, ends in (("timing.high", not more), ("timing.low", discharge == "0ohm")):
        assert (fact(of, name).span is not None) is ends, name


@pytest.mark.parametrize("board", [APART.replace("RB dis th", "RB vdd th"), SHOT.replace("cv trg", "cv th")])
def test_a_timer_wired_as_neither_has_no_figures_of_a_wiring(board: str) -> None:
    """Each names the wiring; thresholds, which lean on none, are known."""
    of = book(board, parts(), STILL)
    for name in ("rc.settles", "rc.charging_current", "rc.capacitance", "rest.power_up"):
        assert unknown(of, name).missing == ("XU1 wiring",), name
    for name in ("pulse_width", "high", "low", "first_high", "frequency", "period", "duty"):
        assert unknown(of, f"timing.{name}").missing == ("XU1 wiring",), name
    assert span(of, "rc.upper_threshold").middle == pytest.approx(4)
