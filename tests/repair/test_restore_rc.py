"""RC timers swapped: for their like, and for blocks that count, both ways.

By hand, between taps at 1/3 and 2/3 of the supply (any circuit-theory text, t = RC ln(...)): an astable
T = ln 2 (R1 + 2 R2) C, high for ln 2 (R1 + R2) C; a one-shot t = ln 3 R C, charged from empty.
"""

import re
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.repair.bench import faults, made, restored, want
from tests.repair.by_hand import SHEETS, VALUES, value

HEAD = (
    "board\n*@ supply VDD 4.9V .. 5.1V\n*@ ambient 0degC .. 50degC\n"
    "*@ assume R* tolerance 1%, tempco 100ppm\nV1 VDD 0 5\nC1 VDD 0 1u tol=10%\n"
)
ASTABLE = (
    f"{HEAD}R1 VDD D 10k\nR2 D T 47k\nC2 T 0 10n tol=2%\nC3 CTL 0 10n\n"
    "XU1 VDD OUT D T CTL T VDD 0 QB12\n.end\n"
)
"""ln 2 * (10 + 94) kohm * 10 nF = 720.9 us, high for 395 us: 54.8 %."""

TRIGGER = "*@ signal TRG period 20ms .. 30ms, low 5us .. 10us\n"
ONE_SHOT = (
    f"{HEAD}{TRIGGER}R1 VDD T 91k\nC2 T 0 100n tol=2%\nC3 CTL 0 10n\nR9 VDD TRG 10k\n"
    "XU1 VDD OUT T T CTL TRG VDD 0 QB12\n.end\n"
)
"""ln 3 * 91 kohm * 100 nF = 9.997 ms."""


def _new(text: str, old: str, kind: str) -> list[float]:
    """The values of the elements of a kind that a board has and the old one had not."""
    lines = [line for line in text.splitlines() if line not in old.splitlines()]
    names = [line.split()[0] for line in lines if re.match(rf"{kind}\d", line)]
    return [value(text, name) for name in names]


@pytest.mark.parametrize(("old", "new"), [("QB12", "QC12"), ("QC12", "QB12")])
@pytest.mark.parametrize(
    ("board", "wanted"),
    [(ASTABLE, ("period", "720.9us +/- 13%")), (ONE_SHOT, ("pulse-width", "10ms +/- 13%"))],
)
def test_values_that_still_do_are_left(old: str, new: str, board: str, wanted: tuple[str, str]) -> None:
    """Bipolar and CMOS timers of the same pins: where the time still holds, nothing is edited."""
    before = board.replace("QB12", old)
    found = restored(before, before.replace(old, new), want("XU1", *wanted))
    assert (found.edits, found.lacking) == ((), ())


def test_astable_is_brought_to_a_wanted_period_and_duty() -> None:
    """Both resistors are chosen anew where the period and the duty that are wanted need both."""
    after = ASTABLE.replace("QB12", "QC12")
    found = restored(ASTABLE, after, want("XU1", "period", "1ms +/- 14%"), want("XU1", "duty", "60% .. 74%"))
    text = made(after, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    upper, lower, farad = value(text, "R1"), value(text, "R2"), value(text, "C2")
    assert log(2) * (upper + 2 * lower) * farad == pytest.approx(1e-3, rel=0.02)
    assert (upper + lower) / (upper + 2 * lower) == pytest.approx(0.67, abs=0.01)


def test_how_often_a_one_shot_comes_is_left_to_its_trigger() -> None:
    """A wanted period does not stand in the way of the pulse width, by hand ln 3 R C."""
    wants = (want("XU1", "pulse-width", "12ms +/- 13%"), want("XU1", "period", "19ms .. 31ms"))
    found = restored(ONE_SHOT, ONE_SHOT.replace("QB12", "QC12"), *wants)
    text = made(ONE_SHOT.replace("QB12", "QC12"), found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    assert log(3) * value(text, "R1") * value(text, "C2") == pytest.approx(12e-3, rel=0.02)


def test_bipolar_drops_nothing_that_the_cmos_kind_cannot_stand() -> None:
    """A supply above the CMOS kind's limit is lacking, whatever the resistors are."""
    board = ASTABLE.replace("4.9V .. 5.1V", "14.4V .. 15V").replace("V1 VDD 0 5", "V1 VDD 0 14.7")
    found = restored(board, board.replace("QB12", "QC12"), want("XU1", "period", "720.9us +/- 14%"))
    assert [reason.rpartition("[")[2] for reason in found.lacking] == ["supply-over-limit]"]


@pytest.mark.parametrize("part", ["HA10", "HA20"])
def test_astable_becomes_a_counting_oscillator(part: str) -> None:
    """The line takes the new pins, strap and timing resistor are added, and the idle elements are named."""
    after = ASTABLE.replace("QB12", part)
    found = restored(ASTABLE, after, want("XU1", "period", "720.9us +/- 6%"))
    text = made(after, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    assert "C2, C3, R1, R2 no longer time it and may be taken off" in found.why[0]
    *pair, rate = _new(text, after, "R")
    sheet = SHEETS[part]
    code = sheet.code(*pair) if pair else 0  # no pair: the strap is tied to ground
    assert sheet.seconds(sheet.rows[code][0], rate) == pytest.approx(720.9e-6, rel=0.02)


def test_one_shot_becomes_a_counting_one_shot() -> None:
    """The trigger's net stays the trigger's, and the pulse is as long as it was."""
    after = ONE_SHOT.replace("QB12", "HA40F")
    found = restored(
        ONE_SHOT, after, want("XU1", "pulse-width", "9.997ms +/- 6%"), want("XU1", "rest", "low")
    )
    text = made(after, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    assert "XU1 VDD XU1_strap OUT 0 XU1_rate TRG HA40F\n" in text
    upper, lower, rate = _new(text, after, "R")
    sheet = SHEETS["HA40F"]
    assert sheet.seconds(sheet.rows[sheet.code(upper, lower)][0], rate) == pytest.approx(9.997e-3, rel=0.02)


def test_duty_that_a_counting_oscillator_has_not_is_named_and_the_period_comes_back() -> None:
    """Nothing is known of an oscillator's duty: that is lacking, and what else is wanted is restored."""
    after = ASTABLE.replace("QB12", "HA10")
    wants = (want("XU1", "period", "720.9us +/- 6%"), want("XU1", "duty", "50% .. 60%"))
    found = restored(ASTABLE, after, *wants)
    assert found.lacking == ("XU1: HA10 is of kind oscillator, of which no duty is known",)
    assert faults(made(after, found.edits)) == []


@pytest.mark.parametrize("part", ["QB12", "QC12"])
def test_counting_oscillator_becomes_an_astable(part: str) -> None:
    """Two resistors and a capacitor are added, the tightest no tighter than the width that is wanted asks."""
    board = SHEETS["HA10"].board("HA10", "130k", "68.1k", "100k")
    board = board.replace("3.2V .. 3.4V", "4.9V .. 5.1V").replace("V1 VDD 0 3.3", "V1 VDD 0 5")
    after = board.replace(" HA10\n", f" {part}\n")
    found = restored(board, after, want("XU1", "frequency", "16kHz +/- 13%"))
    text = made(after, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    upper, lower = _new(text, after, "R")
    farad = _new(text, after, "C")[0]
    assert log(2) * (upper + 2 * lower) * farad == pytest.approx(62.5e-6, rel=0.02)
    assert "tol=5%" in text
    tighter = restored(board, after, want("XU1", "frequency", "16kHz +/- 11%"))
    assert "tol=2%" in made(after, tighter.edits) or "tol=1%" in made(after, tighter.edits)


@pytest.mark.parametrize("part", ["QB12", "QC12"])
def test_counting_one_shot_becomes_an_rc_one_shot(part: str) -> None:
    """A resistor and a capacitor from empty to two thirds of the supply."""
    board = SHEETS["HA40F"].board("HA40F", "68.1k", "37.4k", "200k")
    board = board.replace("3.2V .. 3.4V", "4.9V .. 5.1V").replace("V1 VDD 0 3.3", "V1 VDD 0 5")
    after = board.replace(" HA40F\n", f" {part}\n")
    found = restored(board, after, want("XU1", "pulse-width", "10ms +/- 13%"))
    text = made(after, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    assert f" TRG VDD 0 {part}\n" in text
    assert log(3) * _new(text, after, "R")[0] * _new(text, after, "C")[0] == pytest.approx(10e-3, rel=0.02)


@pytest.mark.parametrize(
    ("board", "old", "new", "lacking"),
    [
        (ONE_SHOT, "QB12", "HA10", "QB12 ran as a one-shot, HA10 is of kind oscillator"),
        (ASTABLE, "QB12", "HA40F", "QB12 ran as an astable, HA40F is of kind one-shot"),
        (
            SHEETS["HA50B"].board("HA50B", "107k", "73.2k", "61.9k"),
            "HA50B",
            "QC12",
            "QC12, an RC timer, does not do the work of HA50B, of kind edge-delay",
        ),
    ],
)
def test_a_part_of_another_kind_of_work_is_no_replacement(
    board: str, old: str, new: str, lacking: str
) -> None:
    """A one-shot is no oscillator, and no RC timer delays edges: said, and the line is left alone."""
    found = restored(board, board.replace(old, new), want("XU1", "period", "1ms +/- 10%"))
    assert (found.edits, found.lacking) == ((), (lacking,))


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from(["QB12", "QC12"]),
    st.sampled_from([v for v in VALUES if 5e3 <= v <= 40e3]),
    st.sampled_from([v for v in VALUES if 15e3 <= v <= 70e3]),
    st.sampled_from([1e-9, 10e-9, 100e-9]),
    st.floats(0.7, 1.5),
)
def test_any_period_of_an_astable_comes_about(
    part: str, upper: float, lower: float, farad: float, factor: float
) -> None:
    """Whatever the resistors are and whatever period near theirs is wanted, it is made, by hand to 2 %."""
    board = ASTABLE.replace("R1 VDD D 10k", f"R1 VDD D {upper / 1e3:g}k")
    board = board.replace("R2 D T 47k", f"R2 D T {lower / 1e3:g}k")
    board = board.replace("C2 T 0 10n", f"C2 T 0 {farad * 1e9:g}n").replace("QB12", part)
    seconds = log(2) * (upper + 2 * lower) * farad * factor
    found = restored(board, board, want("XU1", "period", f"{seconds:.6g}s +/- 13.5%"))
    text = made(board, found.edits)
    assert (found.lacking, faults(text)) == ((), [])
    ohms = value(text, "R1") + 2 * value(text, "R2")
    assert log(2) * ohms * value(text, "C2") == pytest.approx(seconds, rel=0.02 if found.edits else 0.08)
