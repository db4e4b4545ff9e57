"""Another seed moves Monte Carlo limits within what order statistics allow, and nothing else.

Of n independent draws the k-th smallest has a share U below it that follows Beta(k, n - k + 1) (H. A. David
and H. N. Nagaraja, Order Statistics, section 2.3; from memory). The limits of 20,000 draws at 0.135 % and
99.865 % are the 27th smallest and the 27th greatest, floor(0.00135 * 19999) + 1 = 27. U then lies within
CONFIDENT's two quantiles but once in a million times.
"""

from functools import cache
from typing import Any

import pytest
from scipy.stats import beta, norm, truncnorm

from tests.metamorphic.account import Account, Told, account_of, differences, reviewed
from tests.metamorphic.boards import SAMPLES, Board, board

DRAWS, PLACE = 20_000, 27
CONFIDENT = tuple(beta(PLACE, DRAWS - PLACE + 1).ppf([5e-7, 1 - 5e-7]))
SEEDS = (1, 2, 3)

COUNTED = Told(without=frozenset({"seed", "monte_carlo", "misread"}))
"""What draws are counted in: Monte Carlo limits, and the share of draws that reads another code."""


@cache
def drawn(name: str, seed: int) -> Any:  # noqa: ANN401  (a Review; cached by its arguments)
    """The review of a board with a seed."""
    return reviewed(board(name), seed=seed, draws=DRAWS)


def limits(found: Account) -> dict[str, tuple[float, list[float]]]:
    """The nominal value and the Monte Carlo limits of every time of every block."""
    return {
        f"{block['path']} {name}": (time["nominal"], time["monte_carlo"])
        for block in found["board"]["blocks"]
        for name, time in block["timing"].items()
        if time["monte_carlo"] is not None
    }


@pytest.mark.parametrize("name", SAMPLES)
def test_another_seed_changes_nothing_but_what_is_drawn(name: str) -> None:
    """All else that is said of a board is the same for every seed."""
    one, two = (without_draws(account_of(drawn(name, seed), COUNTED)) for seed in SEEDS[:2])
    assert differences(one, two) == []


def without_draws(found: Account) -> Account:
    """The account without the facts that are drawn."""
    for facts in found["facts"].values():
        for name in [name for name in facts if name.endswith(".monte_carlo") or name == "strap.misread"]:
            del facts[name]
    return found


@pytest.mark.parametrize("name", SAMPLES)
def test_the_limits_of_two_seeds_lie_as_near_as_order_statistics_say(name: str) -> None:
    """The half-widths of two seeds differ by no more than the normal's own two quantiles do.

    A distribution with lighter tails than the normal's, as sums of cut normals have, has its quantiles
    nearer together; the limits lie within the widest of the corners, the same one for each seed.
    """
    most = norm.ppf(CONFIDENT[0]) / norm.ppf(CONFIDENT[1])
    assert 1 < most < 1.35
    first = limits(account_of(drawn(name, SEEDS[0])))
    for seed in SEEDS[1:]:
        other = limits(account_of(drawn(name, seed)))
        assert other.keys() == first.keys()
        for key, (nominal, (low, high)) in first.items():
            _, (other_low, other_high) = other[key]
            for end, other_end in ((low, other_low), (high, other_high)):
                assert 1 / most <= (end - nominal) / (other_end - nominal) <= most, (seed, key)


ONE_CAUSE = """One cause alone moves the period
*@ supply VCC 3.3V .. 3.3V
*@ ambient 25degC .. 25degC
*@ assume R* tolerance 9%, tempco 0ppm
V1  VCC 0 3.3
C1  VCC 0 100n
R1  VCC CFG 20k 0.01%
R2  CFG 0   13.7k 0.01%
R3  RT  0   100k
XU1 VCC CFG OUT 0 RT ZZONE
R4  OUT 0   10k
.end
"""
EXACT_PART = """[part.ZZONE]
source = "invented: a part without an error of its own"
function = "oscillator"
pins = ["supply", "strap", "output", "ground", "rate"]
supply = { rated = "2V .. 5V", limit = "6V" }
rate = { voltage = "0.6V", current = "1uA .. 40uA", law = "ratio" }
timing = { period = "1us", at_current = "30uA", at_supply = "3.3V", error = "0%", tempco = "0ppm", \
supply_error = "0%/V" }
strap = { levels = 16, threshold_error = "0.5%", read = "once" }
codes = [{ code = 6, prescale = 10 }]
output = { kind = "push-pull", source = "10mA", sink = "10mA", resistance = "25ohm" }
"""


@pytest.mark.parametrize("seed", range(1, 13))
def test_the_limits_of_one_cause_are_where_its_own_distribution_has_them(seed: int) -> None:
    """With one cause the period's distribution is known: a normal of a third of 9 %, cut at 9 %.

    Its limits lie between the quantiles that order statistics leave for the 27th of 20,000 draws.
    """
    found = account_of(reviewed(Board(ONE_CAUSE, EXACT_PART), seed=seed, draws=DRAWS))
    ((nominal, (low, high)),) = (v for k, v in limits(found).items() if k == "XU1 period")
    assert nominal == pytest.approx(1e-6 * (100e3 / 20e3) * 10)
    near, far = (nominal * 0.03 * -truncnorm(-3, 3).ppf(share) for share in reversed(CONFIDENT))
    assert nominal - far <= low <= nominal - near
    assert nominal + near <= high <= nominal + far
