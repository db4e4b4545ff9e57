"""Extreme value, root-sum-square and Monte Carlo of laws whose answers algebra gives; shares."""

import numpy as np
import pytest

from drc.circuit.network import Array
from drc.circuit.spread import (
    CONVENTIONS,
    Cause,
    Sampling,
    extreme,
    monte_carlo,
    rss,
    samples,
    share_interval,
    worst_case,
)


def total(x: Array) -> Array:
    """The sum of all causes."""
    return np.asarray(x.sum(axis=1))


def first(x: Array) -> Array:
    """The first cause alone."""
    return np.asarray(x[:, 0], dtype=float)


def causes(count: int) -> list[Cause]:
    """So many of +/- 1 about 0."""
    return [Cause(f"c{k}", 0.0, -1.0, 1.0) for k in range(count)]


@pytest.mark.parametrize(("count", "how"), [(1, "all corners"), (12, "all corners"), (13, "search")])
def test_up_to_twelve_causes_every_corner_is_tried(count: int, how: str) -> None:
    """Causes of no width do not count, and stay where they are."""
    still = [Cause("s", 7.0, 7.0, 7.0)]
    found = worst_case(total, [*still, *causes(count), *still])
    assert (found.low, found.nominal, found.high) == (14 - count, 14, 14 + count)
    assert found.how == how
    assert found.low_at == (7.0, *[-1.0] * count, 7.0)
    assert found.high_at == (7.0, *[1.0] * count, 7.0)


def test_nothing_that_moves_is_its_nominal() -> None:
    """No causes, and causes of no width: one value thrice, at the nominal point."""
    for given in ([], [Cause("s", 7.0, 7.0, 7.0)]):
        found = worst_case(lambda x: x.sum(axis=1) + 1.0, given)
        wanted = 1.0 + 7.0 * len(given)
        assert found == (wanted, wanted, wanted, "all corners", (7.0,) * len(given), (7.0,) * len(given))


def test_an_extreme_at_the_nominal_is_said_to_lie_inside() -> None:
    """|x| is least at its nominal 0 and greatest at both ends; a flat law has its extremes at a corner."""
    sink = worst_case(lambda x: np.abs(first(x)), causes(1))
    assert (sink.low, sink.high, sink.low_at, sink.how) == (0, 1, (0.0,), "all corners, then inside")
    peak = worst_case(lambda x: -np.abs(first(x)), causes(1))
    assert (peak.low, peak.high, peak.high_at, peak.how) == (-1, 0, (0.0,), "all corners, then inside")
    flat = worst_case(lambda x: np.full(len(x), 2.0), causes(3))
    assert (flat.low, flat.high, flat.how) == (2.0, 2.0, "all corners")


def test_what_is_not_known_at_a_corner_has_no_extremes_and_no_place() -> None:
    """The nominal value stands, and the place is the nominal point; the same of a search."""
    for count in (2, 13):
        found = worst_case(lambda x: np.where(x[:, 1] > 0.5, np.nan, total(x)), causes(count))
        assert np.isnan([found.low, found.high]).all()
        assert (found.nominal, found.low_at, found.high_at) == (0, (0.0,) * count, (0.0,) * count)
        assert found.how == ("all corners" if count == 2 else "search")


def test_what_is_not_known_inside_has_no_extreme_there() -> None:
    """Known at both ends and the middle, unknown between: neither end is certain."""
    found = worst_case(lambda x: np.where(np.abs(np.abs(x[:, 0]) - 0.5) < 0.3, np.nan, first(x)), causes(1))
    assert np.isnan([found.low, found.high]).all()
    assert found.nominal == 0


def test_what_is_not_known_on_the_way_inside_has_no_extreme() -> None:
    """A hump that rises towards a gap: after the first step inside, the other cause meets the gap."""

    def law(x: Array) -> Array:
        hump = 1 - (x[:, 0] - 0.25) ** 2
        return np.where((np.abs(x[:, 0] - 0.25) < 0.1) & (np.abs(x[:, 1]) < 0.3), np.nan, hump + x[:, 1])

    low, nominal, high = extreme(law, [Cause("a", -0.5, -1.0, 1.0), Cause("b", 1.0, -1.0, 1.0)])
    assert np.isnan(high)
    assert nominal == pytest.approx(1 - 0.75**2 + 1)
    assert low == pytest.approx(1 - 1.25**2 - 1)


@pytest.mark.parametrize(
    ("top", "low", "high"),
    [(0.3, -1, 1), (333.3, 0, 1000), (-2.5e-6, -1e-5, 0), (0.93, -2, 1), (0.99, -1, 1), (-0.98, -1, 1)],
)
def test_a_peak_is_found_to_a_millionth_of_the_range(top: float, low: float, high: float) -> None:
    """Wherever it lies and however wide the range; a valley of the mirrored law as well."""
    width = high - low

    def hump(x: Array) -> Array:
        return np.asarray(3 - ((x[:, 0] - top) / width) ** 2)

    given = [Cause("a", low, low, high)]
    found = worst_case(hump, given)
    assert found.high_at[0] == pytest.approx(top, abs=1e-6 * width)
    assert found.high == pytest.approx(3.0, abs=1e-12)
    assert found.how == "all corners, then inside"
    mirrored = worst_case(lambda x: -hump(x), given)
    assert mirrored.low_at[0] == pytest.approx(top, abs=1e-6 * width)
    assert (mirrored.low, mirrored.high) == pytest.approx((-3.0, -found.low))


def test_a_search_follows_where_directions_turn_in_each_of_two_signs() -> None:
    """13 causes: the sum of twelve, times one from -1 to 3: 36 and -36 lie at 3; from 3 to -1 too."""
    for ends in ((-1.0, 3.0), (3.0, -1.0)):
        scale = Cause("scale", 1.0, *ends)
        found = worst_case(lambda x: np.asarray(x[:, :12].sum(axis=1) * x[:, 12]), [*causes(12), scale])
        assert (found.low, found.high) == (-36, 36)
        assert found.high_at[12] == found.low_at[12] == 3.0


def test_a_search_takes_the_better_of_one_flip_and_all() -> None:
    """A sum less its pair products: flips that are each worse may be less so together; by all corners at 13.

    Source of the answer: every corner of +/- 1, counted by how many are up.
    """

    def law(x: Array) -> Array:
        up = total(x)
        return np.asarray(up - 0.3 * up**2)

    sums = np.arange(-13, 14, 2)
    values = sums - 0.3 * sums**2
    found = worst_case(law, causes(13))
    assert found.low == pytest.approx(values.min())
    assert found.high >= values.max()


def test_root_sum_square_keeps_the_sides_apart() -> None:
    """Sides of 1 and 2, and of 2 and 1.5: up sqrt(2^2 + 1.5^2) = 2.5, down sqrt(1 + 4) = sqrt(5); from 13."""
    given = [Cause("a", 10.0, 9.0, 12.0), Cause("b", 3.0, 1.0, 4.5)]
    assert rss(total, given) == pytest.approx((13 - np.sqrt(5), 13, 15.5))
    falling = rss(lambda x: -total(x), given)
    assert falling == pytest.approx((-15.5, -13, -13 + np.sqrt(5)))


def test_a_cause_that_only_raises_widens_one_side() -> None:
    """x^2 about 0 rises at both ends: 4 at the farther, and nothing below the nominal."""
    given = [Cause("a", 0.0, -1.0, 2.0)]
    assert rss(lambda x: first(x) ** 2, given) == (0, 0, 4)
    assert rss(lambda x: -(first(x) ** 2), given) == (-4, 0, 0)
    assert rss(lambda x: first(x) ** 2, given, "uniform") == (0, 0, 4)


def test_biases_are_set_to_their_ends_in_every_pairing() -> None:
    """Two biases of +/- 1 and -2 .. 3 multiplied, and a random +/- 0.5: -3 to 3, half a unit wider."""
    given = [
        Cause("p", 0.5, -1.0, 1.0, bias=True),
        Cause("q", 1.0, -2.0, 3.0, bias=True),
        Cause("r", 0, -0.5, 0.5),
    ]

    def law(x: Array) -> Array:
        return np.asarray(x[:, 0] * x[:, 1] + x[:, 2])

    assert rss(law, given) == pytest.approx((-3.5, 0.5, 3.5))
    low, nominal, high = monte_carlo(law, given, 5_000)
    assert nominal == 0.5
    assert (-3.5 <= low < -3.4, 3.4 < high <= 3.5) == (True, True)
    groups = samples(law, given, Sampling(draws=10))
    middles = [round(float(np.mean(values - groups[0] + 0.5)), 9) for values in groups]
    assert sorted(middles) == [-3.0, -1.0, 0.5, 2.0, 3.0] or sorted(middles) == [-3.0, -2.0, 0.5, 2.0, 3.0]


def test_a_bias_counts_at_its_nominal_too() -> None:
    """|b| about 0: least in the middle, which no corner shows; a bias of no width adds nothing."""
    given = [Cause("b", 0.0, -1.0, 1.0, bias=True), Cause("still", 4.0, 4.0, 4.0, bias=True)]
    assert rss(lambda x: np.abs(first(x)), given) == (0, 0, 1)
    assert monte_carlo(lambda x: np.abs(first(x)), given, 10) == (0, 0, 1)
    assert len(samples(first, given, Sampling(draws=3))) == 3


@pytest.mark.parametrize("count", [12, 13])
def test_many_biases_have_the_extremes_of_their_corners(count: int) -> None:
    """Up to 12 every corner, beyond that a search, the other causes at their nominal meanwhile."""
    given = [cause._replace(bias=True) for cause in causes(count)] + [Cause("r", 1.0, 0.0, 2.0)]
    low, nominal, high = rss(lambda x: total(x[:, :count]) * 2 + x[:, count], given)
    assert (low, nominal, high) == (-2 * count, 1, 2 * count + 2)
    assert len(samples(total, given, Sampling(draws=1))) == (1 + 2**12 if count == 12 else 3)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_law_without_bound_has_none_on_that_side(sign: float) -> None:
    """1/x at 0 from above, and its mirror image: the bounded side is the extreme value, the other endless."""

    def law(x: Array) -> Array:
        with np.errstate(divide="ignore"):
            return np.where(x[:, 0] > 0, sign / x[:, 0], sign * np.inf)

    given = [Cause("a", 1.0, 0.0, 2.0), Cause("b", 0.0, -1.0, 1.0, bias=True)]
    wanted = (0.5, 1, np.inf) if sign > 0 else (-np.inf, -1, -0.5)
    assert rss(law, given) == rss(law, given[:1]) == wanted


def test_an_unbounded_corner_of_a_bias_leaves_the_others_their_ends() -> None:
    """At b = 1 the law is endless; at b = 0 and -1 it is x + b, by root-sum-square of +/- 2."""
    given = [Cause("x", 0.0, -2.0, 2.0), Cause("b", 0.0, -1.0, 1.0, bias=True)]
    found = rss(lambda x: np.where(x[:, 1] > 0.5, np.inf, total(x)), given)
    assert found == (-3, 0, np.inf)


def test_unknown_draws_leave_the_nominal() -> None:
    """One nan among the rows of any corner, and only the nominal value is said."""
    given = [Cause("x", 1.0, 0.0, 2.0), Cause("b", 0.0, -1.0, 1.0, bias=True)]

    def law(x: Array) -> Array:
        return np.where((x[:, 0] > 1.5) & (x[:, 1] > 0.5), np.nan, first(x))

    for found in (rss(law, given), monte_carlo(law, given, 100)):
        assert found[1] == 1.0
        assert np.isnan([found[0], found[2]]).all()


@pytest.mark.parametrize(
    ("draws", "low", "high"), [(1, 0, 0), (742, 1, 740), (1000, 1, 998), (20_000, 26, 19_973)]
)
def test_the_limits_are_draws_themselves(draws: int, low: int, high: int) -> None:
    """Of the draws in order, the last below 0.135 % and the first above 99.865 %, counted from 0.

    floor(0.00135 (n - 1)), ceil(0.99865 (n - 1)): for 742, 1.0004 and 739.9997; for 1000, 1.35 and 997.7.
    """
    (values,) = samples(first, causes(1), Sampling(draws, 3, "k", "uniform"))
    ordered = np.sort(values)
    assert monte_carlo(first, causes(1), draws, 3, "k", "uniform") == (ordered[low], 0, ordered[high])


def test_what_is_left_out_is_twenty_thousand_normal_draws_of_seed_one() -> None:
    """The defaults of a draw, and of the two methods."""
    assert Sampling() == (20_000, 1, "", "normal")
    given = causes(2)
    assert monte_carlo(total, given) == monte_carlo(total, given, 20_000, 1, "", "normal")
    assert rss(total, [Cause("a", 0, -3, 3), Cause("b", 0, -4, 4)]) == pytest.approx((-5, 0, 5))
    assert list(CONVENTIONS) == ["normal", "uniform"]
    assert Cause("a", 0, 0, 0).bias is False


@pytest.mark.parametrize("convention", ["normal", "uniform"])
def test_each_cause_has_draws_of_its_own(convention: str) -> None:
    """By position, seed and key: no two streams alike, and a bias or a still cause takes none away."""
    name = next(known for known in CONVENTIONS if known == convention)

    def drawn(position: int, seed: int, key: str, bias: bool = False) -> list[float]:
        given = [cause._replace(bias=bias) for cause in causes(position)]
        (values,) = samples(lambda x: x[:, -1], [*given, *causes(1)], Sampling(50, seed, key, name))[:1]
        return [float(value) for value in values]

    streams = [drawn(0, 1, "k"), drawn(1, 1, "k"), drawn(2, 1, "k"), drawn(0, 2, "k"), drawn(0, 1, "j")]
    assert len({tuple(stream) for stream in streams}) == 5
    correlated = np.corrcoef(np.array(streams))
    assert np.abs(correlated - np.eye(5)).max() < 0.6
    assert drawn(1, 1, "k", bias=True) == streams[1]


def test_draws_have_the_shape_of_their_convention() -> None:
    """Sigma of a uniform +/- 1 is 1/sqrt(3) (JCGM 100:2008 4.3.7); of a normal one of 3 sigma, cut, 0.3289.

    The cut: variance 1 - 6 phi(3) / (2 Phi(3) - 1) = 0.9733 of sigma^2, standard normal tables.
    """
    for convention, sigma in zip(CONVENTIONS, (np.sqrt(0.9733) / 3, 1 / np.sqrt(3)), strict=True):
        (values,) = samples(first, causes(1), Sampling(20_000, 1, "shape", convention))
        assert values.std() == pytest.approx(sigma, rel=0.02)
        assert values.mean() == pytest.approx(0, abs=0.02)
        assert -1 <= values.min() < -0.98 + (0.05 if convention == "normal" else 0)
        assert 0.93 < values.max() <= 1


@pytest.mark.parametrize(
    ("hits", "draws", "confidence", "low", "high"),
    [
        (1, 10, 0.95, 0.0025285786, 0.4450161170),
        (5, 10, 0.95, 0.1870860284, 0.8129139716),
        (9, 10, 0.95, 0.5549838828, 0.9974714214),
        (3, 20, 0.90, 0.0421694095, 0.3436638043),
        (0, 10, 0.95, 0.0, 0.2588655509),
        (10, 10, 0.95, 0.7411344491, 1.0),
        (0, 1, 0.90, 0.0, 0.9),
        (1, 1, 0.90, 0.1, 1.0),
    ],
)
def test_the_interval_of_a_share(hits: int, draws: int, confidence: float, low: float, high: float) -> None:
    """Clopper and Pearson's exact limits: quantiles of the beta distribution, from a statistics library.

    With no hits all the doubt is on one side: 1 - 0.05^(1/10) = 0.2589.
    """
    assert share_interval(hits, draws, confidence) == pytest.approx((low, high), abs=1e-8)


def test_a_share_s_confidence_is_95_percent_unless_said() -> None:
    """And what is no share at all is refused, on every side."""
    assert share_interval(5, 10) == share_interval(5, 10, 0.95)
    for hits, draws in ((-1, 10), (11, 10), (0, 0), (0, -1), (1, 0)):
        with pytest.raises(ValueError, match=f"{hits} of {draws} is no share"):
            share_interval(hits, draws)
