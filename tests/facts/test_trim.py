"""Trimmers set on each board built: small laws whose best setting is solved for by hand.

A board's tolerances are known when its trimmer is set, and are taken up as far as the travel goes; what comes
later is left, and the setting leaves room for it on both sides.
"""

import math
from collections.abc import Callable

import numpy as np
import pytest

from drc.circuit.spread import Cause
from drc.facts.dependence import Dependence, spread
from drc.facts.options import FactOptions
from drc.facts.trim import Aim, Trim
from drc.quantity.span import Span
from drc.quantity.unit import OHM, SECOND

RV = Cause("RV1 setting", 50.0, 0.0, 100.0, True)
RV2 = Cause("RV2 setting", 50.0, 0.0, 100.0, True)
BUILT = Cause("RT", 100.0, 90.0, 110.0)
DRIFT = Cause("RT tempco", 0.0, -2.0, 2.0)
RISE = Cause("supply", 0.0, 0.0, 4.0, True)
OPTIONS = FactOptions()


def total(*causes: Cause) -> Dependence:
    """The sum of its causes."""
    return Dependence(SECOND, causes, lambda x: x.sum(axis=1), "sum")


def known(*names: str) -> Callable[[Cause], bool]:
    """Whether a cause is among those that are built in."""
    return lambda cause: cause.name in names


def ends(quantity: Dependence) -> tuple[float, float, float]:
    """Its extremes and nominal."""
    return spread(quantity, "extreme", OPTIONS, "x")[:3]  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("value", "wanted", "margin"),
    [
        (150.0, Span(140, 150, 160, SECOND), 1.0),
        (145.0, Span(140, 150, 160, SECOND), 0.5),
        (155.0, Span(140, 150, 160, SECOND), 0.5),
        (140.0, Span(140, 150, 160, SECOND), 0.0),
        (180.0, Span(140, 150, 160, SECOND), -2.0),
        (150.0, Span(100, None, math.inf, SECOND), 0.5),
        (50.0, Span(-math.inf, None, 100, SECOND), 0.5),
        (-1.0, Span(0.0, None, math.inf, SECOND), -1.0),
        (3.0, Span(5.0, 5.0, 5.0, SECOND), -0.4),
        (-3.0, Span(-5.0, -5.0, -5.0, SECOND), -0.4),
        (3.0, Span(0.0, 0.0, 0.0, SECOND), -3.0),
        (math.nan, Span(140, 150, 160, SECOND), -math.inf),
    ],
)
def test_how_far_inside_a_value_lies(value: float, wanted: Span, margin: float) -> None:
    """In half of what is wanted; of one side or of one value, in its size; what has no value, never."""
    found = Aim(total(RV), wanted).margin(np.array([value, value]))
    assert found.tolist() == pytest.approx([margin, margin])


@pytest.mark.parametrize(
    ("wanted", "setting"),
    [
        (Span(145, 150, 155, SECOND), 50.0),
        (Span(120, 130, 140, SECOND), 30.0),
        (Span(90, 100, 110, SECOND), 0.0),
        (Span(200, 210, 220, SECOND), 100.0),
        (Span(170, 180, 190, SECOND), 80.0),
    ],
)
def test_one_board_is_set_to_the_middle_of_what_is_wanted(wanted: Span, setting: float) -> None:
    """RT = 100 and the trimmer make it; where the travel is too short it stands at an end."""
    trim = Trim([Aim(total(BUILT, RV), wanted)], [RV], known("RT"))
    assert trim.settings(np.array([[100.0]])).tolist() == [[pytest.approx(setting, abs=0.02)]]


def test_each_board_is_set_by_what_it_was_built_with() -> None:
    """RT of 90, 100 and 110, twice and in any order: 150 less each."""
    trim = Trim([Aim(total(BUILT, RV), Span(140, 150, 160, SECOND))], [RV], known("RT"))
    rows = np.array([[110.0], [90.0], [100.0], [90.0]])
    assert trim.settings(rows)[:, 0].tolist() == pytest.approx([40, 60, 50, 60], abs=0.02)
    assert trim.settings(rows[:2])[:, 0].tolist() == pytest.approx([40, 60], abs=0.02)
    assert trim.settings(rows)[:, 0].tolist() == pytest.approx([40, 60, 50, 60], abs=0.02)


def test_what_comes_later_does_not_move_the_setting() -> None:
    """The drift of a board is not known when it is set: the same setting, and the drift is left."""
    trim = Trim([Aim(total(BUILT, DRIFT, RV), Span(140, 150, 160, SECOND))], [RV], known("RT"))
    rows = np.array([[100.0, -2.0], [100.0, 2.0], [90.0, 2.0]])
    assert trim.settings(rows)[:, 0].tolist() == pytest.approx([50, 50, 60], abs=0.02)
    left = trim.trimmed(total(BUILT, DRIFT, RV))
    assert [cause.name for cause in left.causes] == ["RT", "RT tempco"]
    assert ends(left) == pytest.approx((148, 150, 152), abs=0.05)


def test_causes_may_stand_in_any_order() -> None:
    """The trimmer first, between or last among a law's causes: each gets its own value."""
    for causes in ((RV, BUILT, DRIFT), (BUILT, RV, DRIFT), (BUILT, DRIFT, RV)):
        weights = np.array([{"RT": 1.0, "RV1 setting": 2.0, "RT tempco": 10.0}[c.name] for c in causes])
        law = Dependence(SECOND, causes, lambda x, each=weights: x @ each)  # type: ignore[misc]
        trim = Trim([Aim(law, Span(190, 200, 210, SECOND))], [RV], known("RT"))
        assert ends(trim.trimmed(law)) == pytest.approx((180, 200, 220), abs=0.1)


def test_a_falling_law_is_set_as_well() -> None:
    """1 / (RT + RV): 1/150 is wanted, and RV goes to 50 whatever the sign of its effect."""
    law = Dependence(SECOND, (BUILT, RV), lambda x: 1 / x.sum(axis=1))
    trim = Trim([Aim(law, Span(1 / 151, 1 / 150, 1 / 149, SECOND))], [RV], known("RT"))
    assert trim.settings(np.array([[100.0], [110.0]]))[:, 0].tolist() == pytest.approx([50, 40], abs=0.05)


def test_two_aims_share_one_setting() -> None:
    """RT + RV at 150 +/- 10 and RT + RV at 160 +/- 10: 155 is best for both."""
    aims = [
        Aim(total(BUILT, RV), Span(140, 150, 160, SECOND)),
        Aim(total(BUILT, RV), Span(150, 160, 170, SECOND)),
    ]
    trim = Trim(aims, [RV], known("RT"))
    assert trim.settings(np.array([[100.0]]))[0, 0] == pytest.approx(55, abs=0.05)


def test_aims_of_different_causes_keep_them_apart() -> None:
    """RA + RV at 150 and RB + 2 RV at 200: both are met at 50, with RA = 100 and RB = 100."""
    one, two = Cause("RA", 100.0, 90.0, 110.0), Cause("RB", 100.0, 80.0, 120.0)
    first = total(one, RV)
    second = Dependence(SECOND, (RV, two), lambda x: 2 * x[:, 0] + x[:, 1])
    trim = Trim(
        [Aim(first, Span(140, 150, 160, SECOND)), Aim(second, Span(180, 200, 220, SECOND))],
        [RV],
        known("RA", "RB"),
    )
    assert trim.settings(np.array([[100.0, 100.0]]))[0, 0] == pytest.approx(50, abs=0.05)
    # RA 10 high asks for 40, RB 20 high for 40; RA 10 high and RB 20 low for 40 and 60: it stands between.
    assert trim.settings(np.array([[110.0, 120.0]]))[0, 0] == pytest.approx(40, abs=0.05)
    assert trim.settings(np.array([[110.0, 80.0]]))[0, 0] == pytest.approx(50, abs=0.05)


def test_two_trimmers_that_bear_on_two_quantities_are_both_set() -> None:
    """RV1 makes the one, RV2 the other."""
    first = total(BUILT, RV)
    second = Dependence(SECOND, (RV2,), lambda x: 3 * x[:, 0])
    aims = [Aim(first, Span(120, 130, 140, SECOND)), Aim(second, Span(200, 210, 220, SECOND))]
    trim = Trim(aims, [RV, RV2], known("RT"))
    assert trim.settings(np.array([[100.0]]))[0].tolist() == pytest.approx([30, 70], abs=0.05)


def test_a_second_pass_takes_up_what_the_first_trimmer_left() -> None:
    """RV1 + RV2 = 170 of two travels to 100: neither does it alone."""
    law = total(RV, RV2)
    trim = Trim([Aim(law, Span(169, 170, 171, SECOND))], [RV, RV2], known())
    assert trim.settings(np.empty((1, 0))).sum() == pytest.approx(170, abs=0.05)


def test_the_setting_leaves_room_for_what_comes_later() -> None:
    """A supply that only ever adds 0 to 4: the board is set 2 low, so that it ends 2 low to 2 high."""
    law = total(BUILT, RISE, RV)
    trim = Trim([Aim(law, Span(140, 150, 160, SECOND))], [RV], known("RT"))
    assert ends(trim.trimmed(law)) == pytest.approx((150, 150, 154), abs=0.05)
    centred = trim.allowing(OPTIONS)
    assert ends(centred.trimmed(law)) == pytest.approx((148, 148, 152), abs=0.05)
    assert centred.settings(np.array([[90.0, 0.0], [110.0, 4.0]]))[:, 0].tolist() == pytest.approx(
        [58, 38], abs=0.05
    )


def test_room_is_left_where_the_setting_is_not_the_middle_of_the_travel() -> None:
    """RV near 30 of 0 to 100, its effect squared: what is still to come is counted at that setting."""
    law = Dependence(SECOND, (BUILT, RISE, RV), lambda x: x[:, 0] + x[:, 2] ** 2 / 100 + x[:, 1])
    trim = Trim([Aim(law, Span(99, 109, 119, SECOND))], [RV], known("RT")).allowing(OPTIONS)
    assert trim.settings(np.array([[100.0, 0.0]]))[0, 0] == pytest.approx(math.sqrt(700), abs=0.1)
    assert ends(trim.trimmed(law)) == pytest.approx((107, 107, 111), abs=3.1)
    one_sided = Trim([Aim(law, Span(-math.inf, None, 109, SECOND))], [RV], known("RT")).allowing(OPTIONS)
    assert one_sided.settings(np.array([[100.0, 0.0]]))[0, 0] == pytest.approx(0, abs=0.1)


def test_what_takes_the_board_beyond_all_bounds_narrows_nothing() -> None:
    """Where the drift has no end, what is wanted is aimed at as it stands."""
    law = Dependence(
        SECOND, (BUILT, RISE, RV), lambda x: x[:, 0] + x[:, 2] + np.where(x[:, 1] > 3, np.inf, 0.0)
    )
    trim = Trim([Aim(law, Span(140, 150, 160, SECOND))], [RV], known("RT")).allowing(OPTIONS)
    assert trim.settings(np.array([[100.0, 0.0]]))[0, 0] == pytest.approx(50, abs=0.05)


def test_the_settings_that_the_tolerances_ask_for() -> None:
    """150 less 90 to 110: from 40 to 60, at 50 nominally; the later drift asks for none of it."""
    trim = Trim([Aim(total(BUILT, DRIFT, RV), Span(140, 150, 160, SECOND))], [RV], known("RT"))
    (found,) = trim.turned(OPTIONS)
    assert found.unit == OHM
    assert (found.low, found.nominal, found.high) == pytest.approx((40, 50, 60), abs=0.05)
    both = Trim(
        [
            Aim(total(BUILT, RV), Span(120, 130, 140, SECOND)),
            Aim(Dependence(SECOND, (RV2,), lambda x: 3 * x[:, 0]), Span(200, 210, 220, SECOND)),
        ],
        [RV, RV2],
        known("RT"),
    )
    one, two = both.turned(OPTIONS)
    assert (one.low, one.high) == pytest.approx((20, 40), abs=0.05)
    assert (two.low, two.high) == pytest.approx((70, 70), abs=0.05)


def test_where_a_setting_has_no_value_another_is_taken() -> None:
    """1 / (RV - 50) has none at 50, where the search looks first; 1/20 is at 70."""
    law = Dependence(SECOND, (RV,), lambda x: 1 / (x[:, 0] - 50))
    trim = Trim([Aim(law, Span(1 / 21, 1 / 20, 1 / 19, SECOND))], [RV], known())
    assert trim.settings(np.empty((1, 0)))[0, 0] == pytest.approx(70, abs=0.1)


def test_what_is_tied_stays_tied() -> None:
    """A tempco that follows its resistor's tolerance follows it behind the setting as well."""
    law = total(BUILT, DRIFT, RV)._replace(ties=(("RT tempco", "RT"),))
    other = total(BUILT, RV)._replace(ties=(("x", "y"),))
    aims = [Aim(law, Span(140, 150, 160, SECOND)), Aim(other, Span(140, 150, 160, SECOND))]
    assert Trim(aims, [RV], known("RT")).trimmed(law).ties == (("RT tempco", "RT"), ("x", "y"))
