"""Worst cases of more causes than corners are tried for, of laws whose extremes are known by algebra."""

import numpy as np
import pytest

from drc.circuit.network import Array
from drc.circuit.spread import ALL_CORNERS, Cause, Sampling, monte_carlo, rss, samples, worst_case


def causes(count: int, low: float = -1.0, high: float = 1.0, nominal: float = 0.0) -> list[Cause]:
    """So many causes alike."""
    return [Cause(f"c{k}", nominal, low, high) for k in range(count)]


def pairs(x: Array) -> Array:
    """The sum of the products of neighbours, two by two: -n/2 to n/2 over the corners of +/- 1."""
    return np.asarray((x[:, ::2] * x[:, 1::2]).sum(axis=1))


def test_directions_that_turn_are_followed() -> None:
    """7 pairs: from any corner one flip a pair is enough, both together are none; extremes -7 and 7."""
    found = worst_case(pairs, causes(14))
    assert (found.low, found.nominal, found.high) == (-7, 0, 7)
    assert found.how.startswith("search")
    assert pairs(np.array([found.low_at]))[0] == -7
    assert pairs(np.array([found.high_at]))[0] == 7


def test_a_switch_of_sign_is_followed() -> None:
    """One cause from -1 to 2 scales the sum of 13 others of +/- 1: -26 to 26."""
    scaled = [*causes(13), Cause("scale", 1.0, -1.0, 2.0)]
    found = worst_case(lambda x: np.asarray(x[:, :13].sum(axis=1) * x[:, 13]), scaled)
    assert (found.low, found.high) == (-26, 26)


@pytest.mark.parametrize("count", [ALL_CORNERS - 1, ALL_CORNERS, ALL_CORNERS + 1])
def test_corners_and_search_agree_on_both_sides_of_the_limit(count: int) -> None:
    """A weighted sum with signs in turn: its extremes are plus and minus the sum of the weights' sizes."""
    weights = np.array([(-1) ** k * (k + 1.0) for k in range(count)])
    found = worst_case(lambda x: np.asarray(x @ weights), causes(count))
    assert (found.low, found.high) == pytest.approx((-np.abs(weights).sum(), np.abs(weights).sum()))
    assert found.how == ("all corners" if count <= ALL_CORNERS else "search")
    assert found.high_at == tuple(np.sign(weights))


def test_a_hump_inside_is_found_to_a_millionth() -> None:
    """1 - (x - 0.37)^2 is 1 at x = 0.37 and least at the far end: 1 - 1.37^2 (calculus)."""
    found = worst_case(lambda x: np.asarray(1 - (x[:, 0] - 0.37) ** 2), causes(1))
    assert found.high == pytest.approx(1, abs=1e-11)
    assert found.high_at[0] == pytest.approx(0.37, abs=1e-5)
    assert found.low == pytest.approx(1 - 1.37**2)
    assert found.how == "all corners, then inside"


def test_a_hump_of_two_causes_is_found() -> None:
    """-(x - y - 1)^2 - (x + y)^2 is 0 at x = 0.5, y = -0.5."""
    found = worst_case(
        lambda x: np.asarray(-((x[:, 0] - x[:, 1] - 1) ** 2) - (x[:, 0] + x[:, 1]) ** 2), causes(2)
    )
    assert found.high == pytest.approx(0, abs=1e-8)


def test_root_sum_square_of_many_biases_searches_their_corners() -> None:
    """14 biases in pairs and one random cause of +/- 0.5: -7.5 to 7.5."""
    biased = [cause._replace(bias=True) for cause in causes(14)] + [Cause("r", 0.0, -0.5, 0.5)]
    low, nominal, high = rss(lambda x: pairs(x[:, :14]) + x[:, 14], biased)
    assert (low, nominal, high) == pytest.approx((-7.5, 0, 7.5))


def test_root_sum_square_of_the_uniform_convention() -> None:
    """sqrt(3) sqrt(3^2 + 4^2) = 8.66 is cut at the plain sum of 7 (JCGM 100:2008 4.3.7 for the sqrt(3))."""
    two = [Cause("a", 0, -3, 3), Cause("b", 0, -4, 4)]
    assert rss(lambda x: np.asarray(x.sum(axis=1)), two, "uniform") == pytest.approx((-7, 0, 7))
    many = causes(12)
    low, _, high = rss(lambda x: np.asarray(x.sum(axis=1)), many, "uniform")
    assert (low, high) == pytest.approx((-6, 6))
    assert rss(lambda x: np.asarray(x.sum(axis=1)), two, "normal") == pytest.approx((-5, 0, 5))


def test_sides_that_differ_stay_apart_in_draws() -> None:
    """A tolerance of -1 and +3: each half of the normal is stretched to its own side, none beyond."""
    (values,) = samples(lambda x: x[:, 0], [Cause("a", 10, 9, 13)], Sampling(draws=20_000))
    below, above = values[values < 10], values[values > 10]
    assert abs(len(below) - len(above)) < 600
    assert (below.min() >= 9, above.max() <= 13) == (True, True)
    assert above.std() / below.std() == pytest.approx(3, rel=0.1)
    assert np.sqrt(np.mean((above - 10) ** 2)) == pytest.approx(0.9867, rel=0.03)


def test_limits_of_draws_are_the_three_sigma_points() -> None:
    """0.135 % of a uniform cause lie below -0.9973; of a normal one cut at 3 sigma, below -2.782 sigma.

    Source: the standard normal table, P(z < -2.782) = 0.0027 = 0.00135 + 0.9973 * 0.00135.
    """
    one = [Cause("a", 0, -1, 1)]
    low, nominal, high = monte_carlo(lambda x: x[:, 0], one, 20_000, 7, "k", "uniform")
    assert (low, nominal, high) == pytest.approx((-0.9973, 0, 0.9973), abs=2e-3)
    low, _, high = monte_carlo(lambda x: x[:, 0], one, 20_000, 7, "k")
    assert (low, high) == pytest.approx((-2.782 / 3, 2.782 / 3), abs=0.03)
