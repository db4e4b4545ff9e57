"""Remedies: one slip is planted on a right board, and the first remedy undoes it or does as well.

The right values are worked out here from the wanted answer, with the resistor ratio and T = k R alone.
"""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import drc
from drc.judge.model import Edit
from drc.netlist.edit import edited
from drc.outcome import Ruling
from drc.quantity.preferred import values

PARTS = """
[part.ZZ1]
title    = "oscillator of this test"
source   = "made up for the test"
function = "oscillator"
pins     = ["supply", "ground", "rate", "strap", "output"]
supply   = { rated = "2V .. 6V", limit = "7V" }
ambient  = "-40degC .. 125degC"
rate     = { voltage = "0.5V +/- 1%", current = "1uA .. 25uA", resistance = "20kohm .. 500kohm", law = "ratio" }
timing   = { period = "2us", at_current = "25uA", at_supply = "5V", error = "1%", tempco = "+/- 20ppm", supply_error = "0%/V" }
strap    = { levels = 8, threshold_error = "0.3%", leakage = "1nA", source_resistance = "1Mohm", read_after = "5ms", read = "once" }
codes    = [
    { code = 0, prescale = 1 }, { code = 1, prescale = 30 }, { code = 2, prescale = 900 },
    { code = 3, prescale = 27000 }, { code = 4, prescale = 810000 }, { code = 5, prescale = 24300000 },
    { code = 6, prescale = 729000000 }, { code = 7, prescale = 21870000000 },
]
output   = { kind = "push-pull", source = "10mA", sink = "10mA", resistance = "20ohm" }
"""  # noqa: E501
PAIRS = {
    1: ("357k", "82.5k"),
    2: ("220k", "100k"),
    3: ("127k", "100k"),
    4: ("100k", "127k"),
    5: ("100k", "220k"),
    6: ("82.5k", "357k"),
}
"""Upper and lower resistor for the middle of each code: ratio (2 code + 1) / 16 within 0.8 %."""

PRESCALE = {1: 30, 2: 900, 3: 27_000, 4: 810_000, 5: 24_300_000, 6: 729_000_000}


def _board(code: int, timing_kohm: float, upper: str, lower: str, rate: str) -> str:
    period = 2e-6 * PRESCALE[code] * timing_kohm / 20.0
    return (
        "one oscillator\n*@ supply vdd 4.75V .. 5.25V\n*@ ambient 0degC .. 50degC\n"
        "*@ assume R* tolerance 1%, tempco 100ppm\n"
        f"*@ expect XU1 period {period:.9g}s +/- 5%\n"
        "V1 vdd 0 5\nC1 vdd 0 1u tol=10%\n"
        f"R1 vdd cfg {upper}\nR2 cfg 0 {lower}\nR3 rt 0 {rate}\nR4 out 0 47k\n"
        "XU1 vdd 0 rt cfg out ZZ1\n.end\n"
    )


def _errors(folder: Path, text: str) -> list[Ruling]:
    (folder / "board.cir").write_text(text)
    (folder / "zz.toml").write_text(PARTS)
    review = drc.review(folder / "board.cir", parts=[folder / "zz.toml"])
    assert review.boards[0].error is None
    return [ruling for ruling in review.boards[0].rulings if ruling.finding.level != "note"]


def _made(text: str, edits: tuple[Edit, ...]) -> str:
    return edited(text.encode(), [(edit.token, edit.new) for edit in edits]).decode()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for all boards of this page."""
    return tmp_path_factory.mktemp("boards")


SLIPS = st.sampled_from(["exchange", "timing tenth", "timing ten times", "upper tenth", "lower ten times"])


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.sampled_from(sorted(PAIRS)), st.sampled_from([v for v in values(50, 450, (96,)) if v != 200]), SLIPS
)
def test_first_remedy_undoes_the_slip(folder: Path, code: int, kohm: float, slip: str) -> None:
    """Whatever single slip is planted, the first remedy brings back a board without error or warning."""
    upper, lower = PAIRS[code]
    right = _board(code, kohm, upper, lower, f"{kohm:g}k")
    assert _errors(folder, right) == []
    rate = {"timing tenth": f"{kohm / 10:g}k", "timing ten times": f"{kohm / 100:g}meg"}.get(
        slip, f"{kohm:g}k"
    )
    if slip == "exchange":
        upper, lower = lower, upper
    upper = f"{float(upper[:-1]) / 10:g}k" if slip == "upper tenth" else upper
    lower = f"{float(lower[:-1]) * 10:g}k" if slip == "lower ten times" else lower
    wrong = _board(code, kohm, upper, lower, rate)
    found = _errors(folder, wrong)
    assert found
    first = next(ruling.finding.remedies for ruling in found if ruling.finding.remedies)[0]
    assert _errors(folder, _made(wrong, first.edits)) == []


@pytest.mark.parametrize(
    ("wrong", "why", "edits"),
    [
        (("220k", "100k", "150k", 5), "R1 and R2 are exchanged", {"R1": "100k", "R2": "220k"}),
        (("100k", "220k", "15k", 5), "R3 is a tenth of what gives the wanted time", {"R3": "150k"}),
        (("100k", "220k", "1.5meg", 5), "R3 is ten times what gives the wanted time", {"R3": "150k"}),
        (("1meg", "220k", "150k", 5), "R1 is ten times what reads code 5", {"R1": "100k"}),
    ],
)
def test_the_likely_cause_comes_first(
    folder: Path, wrong: tuple[str, str, str, int], why: str, edits: dict[str, str]
) -> None:
    """A slip that people make is named as what it is, before any other value that would do as well."""
    upper, lower, rate, code = wrong
    found = _errors(folder, _board(code, 150.0, upper, lower, rate))
    first = next(ruling.finding.remedies for ruling in found if ruling.finding.remedies)[0]
    assert first.why == why
    assert {edit.element: edit.new for edit in first.edits} == edits


def test_shared_subcircuit_is_edited_once_or_not_at_all(folder: Path) -> None:
    """A resistor shared by two instances is only changed where both are the better for it."""
    right = _board(5, 150.0, "100k", "220k", "150k")
    shared = right.replace("R3 rt 0 150k\n", "X9 rt 0 RES\nX8 other 0 RES\nRX other vdd 1k\n").replace(
        ".end\n", ".subckt RES a b\nR1 a b 15k\n.ends\n.end\n"
    )
    found = _errors(folder, shared)
    first = next(ruling.finding.remedies for ruling in found if ruling.finding.remedies)[0]
    assert [(edit.element, edit.token.text, edit.new) for edit in first.edits] == [("X9.R1", "15k", "150k")]
    assert _errors(folder, _made(shared, first.edits)) == []


def test_no_remedy_is_offered_that_makes_another_rule_worse(folder: Path) -> None:
    """A timing resistor shared by two blocks is left alone where the change would spoil the other."""
    right = _board(5, 150.0, "100k", "220k", "150k")
    twin = (
        "R11 vdd cfg2 100k\nR12 cfg2 0 220k\nR13 rt2 0 {RT}\nXU2 vdd 0 rt2 cfg2 out2 ZZ1\n"
        ".param RT=150k\n*@ expect XU2 period 3.6450s +/- 5%\n.end\n"
    )
    period = 2e-6 * PRESCALE[5] * 150 / 20
    board = right.replace("R3 rt 0 150k", "R3 rt 0 {RT}").replace(
        f"XU1 period {period:.9g}s", f"XU1 period {period / 3:.9g}s"
    )
    board = board.replace(".end\n", twin.replace("3.6450s", f"{period:.9g}s"))
    timing = [r for r in _errors(folder, board) if "XU1" in r.finding.message]
    assert timing
    for remedy in timing[0].finding.remedies:
        assert all("RT" not in edit.element and edit.token.text != "150k" for edit in remedy.edits)


def _pins(order: str) -> str:
    return _board(5, 150.0, "100k", "220k", "150k").replace("XU1 vdd 0 rt cfg out", f"XU1 {order}")


@pytest.mark.parametrize(
    ("order", "why"),
    [
        ("vdd 0 cfg rt out", "pins 3 and 4 of XU1 are crossed"),
        ("vdd 0 rt out cfg", "pins 4 and 5 of XU1 are crossed"),
        ("vdd rt 0 cfg out", "pins 2 and 3 of XU1 are crossed"),
    ],
)
def test_crossed_pins_are_named(folder: Path, order: str, why: str) -> None:
    """Two pins of a block exchanged on its line are found, and exchanging them back mends the board."""
    wrong = _pins(order)
    remedies = [remedy for ruling in _errors(folder, wrong) for remedy in ruling.finding.remedies]
    assert why in {remedy.why for remedy in remedies}
    mended = next(remedy for remedy in remedies if remedy.why == why)
    assert _errors(folder, _made(wrong, mended.edits)) == []


def test_divider_on_a_foreign_rail_is_moved(folder: Path) -> None:
    """A strap whose upper end is on another rail is moved to the block's own supply."""
    wrong = _board(5, 150.0, "100k", "220k", "150k").replace("R1 vdd cfg", "V2 other 0 3.3\nR1 other cfg")
    remedies = [remedy for ruling in _errors(folder, wrong) for remedy in ruling.finding.remedies]
    assert remedies[0].why == "R1 ends on other in place of the block's own supply"
    assert _errors(folder, _made(wrong, remedies[0].edits)) == []


def test_wrong_variant_is_named(folder: Path) -> None:
    """Where another part of the same pins does what is wanted, it is offered."""
    parts = PARTS + '[part.ZZ2]\nlike = "ZZ1"\nsupply = { rated = "2V .. 4V", limit = "4.5V" }\n'
    (folder / "variant.toml").write_text(parts)
    text = _board(5, 150.0, "100k", "220k", "150k").replace("ZZ1", "ZZ2")
    (folder / "variant.cir").write_text(text)
    review = drc.review(folder / "variant.cir", parts=[folder / "variant.toml"])
    remedies = [r for ruling in review.boards[0].rulings for r in ruling.finding.remedies]
    assert remedies[0].why == "ZZ1 in place of ZZ2"


def test_a_duty_that_is_turned_round_gets_the_other_polarity(folder: Path) -> None:
    """HA30 reads code 4, inverted; code 3 is the same prescale, normal: a strap value, no crossed pins."""
    text = """turned
*@ ambient 0degC .. 50degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 duty 21points +/- 5points when mod = 0.4V
*@ expect XU1 duty 62points +/- 5points when mod = 0.9V
V1 vdd 0 3.3
C1 vdd 0 100n
R1 vdd cfg 130k
R2 cfg 0 51.1k
R3 rt 0 100k
R4 vdd mod 40.2k
R5 mod 0 10k
R6 out 0 10k
XU1 vdd cfg out 0 rt mod HA30
.end
"""
    path = folder / "turned.cir"
    path.write_text(text, encoding="utf-8")
    (board,) = drc.review(path).boards
    assert {r.finding.rule for r in board.rulings if r.finding.level == "error"} == {
        "timing-outside-intent",
        "steering-turned-round",
    }
    for ruling in board.rulings:
        if ruling.finding.level == "error":
            assert [edit.element for edit in ruling.finding.remedies[0].edits] in (["R1"], ["R2"])
