"""RC timers against worked examples printed in textbooks, through real netlists.

All the examples are of the ideal case: thresholds at 1/3 and 2/3 of the supply, no discharge resistance, no
leakage. `exact` is recomputed with ln 2 and ln 3; `printed` is the book's own rounding, held to the width
that ln 3 taken as 1.1 (+0.13 %), ln 2 as 0.69 (-0.45 %) or 0.7 (+1 %), 1 / ln 2 as 1.44 (-0.19 %) explain.
"""

from math import log
from typing import NamedTuple

import pytest

from drc.facts.book import Book
from tests.facts.timing_boards import book, span

PARTS = """
[part.T13]
title = "test part"
source = "this test"
function = "rc-timer"
pins = ["trigger", "threshold", "discharge", "supply", "ground", "output", "control"]
ladder = { lower = "1/3", upper = "2/3", error = "0%", resistance = "10kohm" }
discharge = { resistance = "0ohm" }
"""


class Astable(NamedTuple):
    """A worked example: resistors (ohm), capacitor (F), and what the source prints of a quantity."""

    source: str
    upper: float
    lower: float
    farad: float
    quantity: str
    printed: float
    width: float


FLOYD = "Floyd, Digital Fundamentals, Example 7-14"
KAKANI = "Kakani and Bhandari, Electronic Devices and Circuits, Example 21.2"
WORKED = "a published worked example, 10 kohm, 100 kohm, 0.1 uF"
SEDRA = "Sedra and Smith, Microelectronic Circuits, Problem 18.47 (C = 680 pF from memory)"
SLIDES = "slides of Floyd, figures 8-49 to 8-54"

EXAMPLES = (
    Astable(FLOYD, 2.2e3, 4.7e3, 22e-9, "timing.frequency", 5.64e3, 0.003),
    Astable(FLOYD, 2.2e3, 4.7e3, 22e-9, "timing.duty", 59.5, 0.003),
    Astable(SEDRA, 63.93e3, 21.31e3, 680e-12, "timing.frequency", 20e3, 0.005),
    Astable(SEDRA, 63.93e3, 21.31e3, 680e-12, "timing.duty", 80.0, 0.005),
    Astable(KAKANI, 20e3, 20e3, 0.1e-6, "timing.high", 2.76e-3, 0.005),
    Astable(WORKED, 10e3, 100e3, 0.1e-6, "timing.high", 7.62e-3, 0.02),
    Astable(WORKED, 10e3, 100e3, 0.1e-6, "timing.low", 6.93e-3, 0.02),
    Astable(WORKED, 10e3, 100e3, 0.1e-6, "timing.frequency", 70.0, 0.02),
    Astable(SLIDES, 1e3, 1e3, 1e-6, "timing.low", 0.7e-3, 0.011),
)


def astable(upper: float, lower: float, farad: float) -> Book:
    """An astable of two resistors and a capacitor."""
    return book(
        f"V1 vdd 0 9\nXU1 t t d vdd 0 out cv T13\nRA vdd d {upper}\nRB d t {lower}\nC1 t 0 {farad}", PARTS
    )


@pytest.mark.parametrize("example", EXAMPLES)
def test_astable(example: Astable) -> None:
    """Printed results within the books' rounding, exact ones of ln 2 to a part in a billion."""
    board = astable(example.upper, example.lower, example.farad)
    found = span(board, example.quantity).nominal
    high = log(2) * (example.upper + example.lower) * example.farad
    low = log(2) * example.lower * example.farad
    exact = {
        "timing.high": high,
        "timing.low": low,
        "timing.frequency": 1 / (high + low),
        "timing.duty": 100 * high / (high + low),
    }
    assert found == pytest.approx(exact[example.quantity], rel=1e-9)
    assert found == pytest.approx(example.printed, rel=example.width), example.source


def test_first_high_time_is_longer() -> None:
    """From an empty capacitor the first high time is ln 3 (RA + RB) C (any general text)."""
    first = span(astable(10e3, 10e3, 1e-6), "timing.first_high").nominal
    assert first == pytest.approx(log(3) * 20e3 * 1e-6, rel=1e-9)


@pytest.mark.parametrize(
    ("source", "ohm", "farad", "printed", "width"),
    [
        ("Neamen, Microelectronics, Example 15.10", 7.5e3, 12e-9, 99e-6, 0.002),
        ("Neamen, Microelectronics, Example 15.10", 6.06e3, 15e-9, 100e-6, 0.002),
        ("a Floyd text, Example 10.7", 10e3, 0.1e-6, 1.1e-3, 0.002),
        ("slides of Floyd, figures 8-49 to 8-54", 2e3, 1e-6, 2.2e-3, 0.011),
        ("an examination item, 3.3 kohm, 0.02 uF", 3.3e3, 0.02e-6, 73e-6, 0.007),
        ("a teaching handbook's answers, 120 kohm for 1 s", 120e3, 7.5e-6, 1.0, 0.012),
        ("a teaching handbook's answers, 10 uF for 0.5 s", 45.5e3, 10e-6, 0.5, 0.012),
    ],
)
def test_one_shot(source: str, ohm: float, farad: float, printed: float, width: float) -> None:
    """Printed results within the books' rounding, exact ones of ln 3 to a part in a billion."""
    board = book(f"V1 vdd 0 9\nXU1 trg t t vdd 0 out cv T13\nR1 vdd t {ohm}\nC1 t 0 {farad}", PARTS)
    found = span(board, "timing.pulse_width").nominal
    assert found == pytest.approx(log(3) * ohm * farad, rel=1e-9)
    assert found == pytest.approx(printed, rel=width), source
