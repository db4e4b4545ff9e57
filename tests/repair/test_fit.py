"""The search of values: it finds what trying all of them finds."""

from functools import partial
from math import log

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts import rc_timer
from drc.facts.dependence import Dependence
from drc.quantity.span import Span
from drc.repair.change import Change
from drc.repair.fit import Target, choice, fits
from drc.repair.pool import Pool
from drc.repair.sweep import adjustables
from tests.repair.bench import bench
from tests.repair.by_hand import VALUES

TIMER = (
    "timer\n*@ supply VDD 4.9V .. 5.1V\nV1 VDD 0 5\nC1 VDD 0 1u tol=10%\nR1 VDD D 22k\nR2 D T 47k\n"
    "C2 T 0 10n\nC3 CTL 0 10n\nXU1 VDD OUT D T CTL T VDD 0 QC12\n.end\n"
)
BOOK = bench(TIMER).book()
BLOCK = BOOK.board.blocks[0]


def _quantity(name: str) -> Dependence:
    found = {"period": rc_timer.period, "duty": rc_timer.duty}[name](BOOK, BLOCK)
    assert isinstance(found, Dependence)
    return found


def _any(elements: object, rows: np.ndarray) -> np.ndarray:
    return np.ones(len(rows), dtype=bool)


@settings(max_examples=25, deadline=None)
@given(st.floats(2e-4, 5e-3), st.floats(0.02, 0.1))
def test_one_value_is_the_best_that_there_is(seconds: float, width: float) -> None:
    """The first of the values of R2 is the one whose period, ln 2 (R1 + 2 R2) C by hand, is nearest."""
    period = _quantity("period")
    element = adjustables(BOOK, ["R2"], period)
    target = Target(period, Span(seconds * (1 - width), seconds, seconds * (1 + width)))
    found = [fit for fit in fits([target], element, partial(choice, Pool()), _any) if fit.changes]
    # 40 ohm of the discharge switch lie in series with R2 while the capacitor empties
    away = {v: abs(log(log(2) * (22e3 + 2 * v + 40) * 10e-9 / seconds)) for v in VALUES}
    least = min(away.values())
    if found:
        assert found[0].off <= least + 0.003
    else:
        assert least > log(1 + width) - 0.003 or away[47e3] <= least


@settings(max_examples=15, deadline=None)
@given(st.floats(5e-4, 2e-3), st.floats(56, 85))
def test_two_values_are_found_for_two_wishes(seconds: float, points: float) -> None:
    """Period and duty together: both within a per cent, by hand from the values that are found."""
    period, duty = _quantity("period"), _quantity("duty")
    elements = adjustables(BOOK, ["R1", "R2"], period)
    targets = [
        Target(period, Span(seconds * 0.98, seconds, seconds * 1.02)),
        Target(duty, Span(points - 1, points, points + 1), 100.0),
    ]
    fit = fits(targets, elements, partial(choice, Pool()), _any)[0]
    changes = [change for change in fit.changes if isinstance(change, Change)]
    values = {"R1": 22e3, "R2": 47e3} | {change.element.path: change.value for change in changes}
    upper, lower = values["R1"], values["R2"]
    assert abs(log(log(2) * (upper + 2 * lower) * 10e-9 / seconds)) < 0.021
    assert abs((upper + lower) / (upper + 2 * lower) - points / 100) < 0.013
