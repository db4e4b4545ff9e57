"""Settings of trimmers: whose span counts, what is one potentiometer, what is ganged; by hand."""

import numpy as np
import pytest

from drc.facts.dependence import Dependence
from drc.facts.travel import halves, setting
from drc.intent.model import Adjust, Assume
from drc.quantity.unit import FARAD, OHM
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book


def turned(lines: str, intent: str, path: str = "RV1") -> Dependence | None:
    """The setting of an element."""
    of = book(f"{CENTRED}{lines}\n", PLAIN, intent)
    element = of.board.circuit.element(path)
    assert element is not None
    return setting(of, element)


@pytest.mark.parametrize(
    ("intent", "ends"),
    [
        ("adjust RV1 0ohm .. 10kohm", (0, 5e3, 10e3)),
        ("adjust rv1 0ohm .. 10kohm", (0, 5e3, 10e3)),
        ("assume RV1 value 2kohm .. 10kohm", (2e3, 6e3, 10e3)),
        ("adjust RV1 0ohm .. 10kohm\nassume RV1 value 1kohm .. 2kohm", (1e3, 1.5e3, 2e3)),
        ("assume RV1 tolerance 1%\nadjust RV1 0ohm .. 10kohm", (0, 5e3, 10e3)),
        ("assume RV1 tolerance 1%\nassume RV1 value 1kohm .. 3kohm", (1e3, 2e3, 3e3)),
        ("adjust RV2 0ohm .. 10kohm", None),
        ("assume RV1 tolerance 1%", None),
        ("", None),
    ],
)
def test_whose_span_a_trimmer_runs_over(intent: str, ends: tuple[float, float, float] | None) -> None:
    """`assume ... value` before `adjust`, wherever they stand; without a value neither says anything."""
    found = turned("RV1 out 0 10k\nRV2 out 0 10k", intent)
    if ends is None:
        assert found is None
        return
    assert found is not None
    (cause,) = found.causes
    assert (cause.name, cause.bias) == ("RV1 setting", True)
    assert (cause.low, cause.nominal, cause.high) == pytest.approx(ends)
    assert found.unit == OHM
    (evidence,) = found.inputs
    assert (evidence.label, evidence.origin) == ("RV1", "statement")
    assert evidence.place is not None
    assert evidence.place.line == len(intent.splitlines())


@pytest.mark.parametrize("word", ["adjust RV1 {}", "assume RV1 value {}"])
def test_one_value_is_no_travel(word: str) -> None:
    """4.7 kohm and nothing else: a constant without a cause."""
    found = turned("RV1 out 0 10k", word.format("4.7kohm .. 4.7kohm"))
    assert found is not None
    assert found.causes == ()
    assert (found.nominal, found.unit, found.text) == (4.7e3, OHM, "RV1")
    assert [each.value for each in found.inputs] == ["4.7 kohm"]


def test_a_capacitor_may_be_a_trimmer_too() -> None:
    """In the unit of its span."""
    found = turned("C9 out 0 10p", "assume C9 value 5pF .. 30pF", "C9")
    assert found is not None
    assert found.unit == FARAD
    assert found.causes[0][1:4] == pytest.approx((17.5e-12, 5e-12, 30e-12))


POT = "RV1A top wiper 10k\nRV1B wiper bottom 10k"


@pytest.mark.parametrize(
    ("lines", "pattern", "pair"),
    [
        (POT, "RV1*", ("RV1A", "RV1B")),
        (POT, "rv1*", ("RV1A", "RV1B")),
        (POT.replace("RV1A", "RV1_1").replace("RV1B", "RV1_2"), "RV1*", ("RV1_1", "RV1_2")),
        (POT.replace("RV1A", "RV1-A").replace("RV1B", "RV1.B"), "RV1*", None),
        (POT.replace("RV1A", "RV1-A").replace("RV1B", "RV1-B"), "RV1*", ("RV1-A", "RV1-B")),
        (POT.replace("RV1B", "RV2B"), "RV*", None),
        (POT.replace("RV1A", "RV1").replace("RV1B", "RV12"), "RV*", None),
        (POT.replace("RV1A", "RVA").replace("RV1B", "RVB"), "RV*", None),
        (POT.replace("wiper bottom", "other bottom"), "RV1*", None),
        (POT.replace("wiper bottom", "wiper top"), "RV1*", None),
        (POT + "\nRV1C wiper x 10k", "RV1*", None),
        ("RV1A top wiper 10k", "RV1*", None),
        (POT.replace("RV1B", "LV1B"), "*V1*", None),
        ("CV1A top wiper 1n\nCV1B wiper bottom 1n", "CV1*", None),
        (POT, "RV1A", None),
        (POT, '"RV1*"', None),
    ],
)
def test_what_is_one_potentiometer(lines: str, pattern: str, pair: tuple[str, str] | None) -> None:
    """Two resistors of one statement, a wiper in common, alike in name but for the mark of a half."""
    for text in (f"adjust {pattern} 0ohm .. 10kohm", f"assume {pattern} value 0ohm .. 10kohm"):
        of = book(f"{CENTRED}{lines}\n", PLAIN, text)
        (statement,) = (s for s in of.intent.statements if isinstance(s, Adjust | Assume))
        assert halves(of, statement) == pair


@pytest.mark.parametrize("word", ["adjust RV1* {}", "assume RV1* value {}"])
def test_what_one_half_gains_the_other_loses(word: str) -> None:
    """Of 1 kohm to 9 kohm each: the first at x, the second at 10 kohm - x, one cause for both."""
    intent = word.format("1kohm .. 9kohm")
    first, second = (turned(POT, intent, path) for path in ("RV1A", "RV1B"))
    assert first is not None
    assert second is not None
    assert [cause.name for cause in first.causes] == ["RV1* setting"]
    assert second.causes == first.causes
    for ohm in (1e3, 4e3, 9e3):
        assert first.law(np.array([[ohm]]))[0] == ohm
        assert second.law(np.array([[ohm]]))[0] == pytest.approx(10e3 - ohm)
    assert second.unit == OHM
    assert [each.label for each in second.inputs] == ["RV1B"]


TWO = "RV1 out a 10k\nRV2 b 0 10k"


@pytest.mark.parametrize(
    ("intent", "names"),
    [
        ("adjust RV* 0ohm .. 10kohm", ("RV* setting", "RV* setting")),
        ("assume RV* value 0ohm .. 10kohm", ("RV1 setting", "RV2 setting")),
        ("adjust RV1 0ohm .. 10kohm\nadjust RV2 0ohm .. 10kohm", ("RV1 setting", "RV2 setting")),
    ],
)
def test_what_one_adjust_speaks_of_is_ganged(intent: str, names: tuple[str, str]) -> None:
    """`adjust` turns all of them together, `assume` lets each be at its own."""
    found = [turned(TWO, intent, path) for path in ("RV1", "RV2")]
    assert tuple(each.causes[0].name for each in found if each is not None) == names
    for each in found:
        assert each is not None
        assert each.causes[0][1:4] == (5e3, 0, 10e3)
