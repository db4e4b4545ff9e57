import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.circuit import spread
from drc.circuit.dc import thevenin, voltages
from drc.circuit.network import Array, Junction, Network
from drc.circuit.spread import Cause, Law, extreme, monte_carlo, rss, samples, share_interval, worst_case
from tests.circuit.networks import divider, networks, ohms_of


def parts(tolerance: float, *nominals: float) -> list[Cause]:
    """Causes of equal relative tolerance."""
    return [Cause(f"R{k}", v, v * (1 - tolerance), v * (1 + tolerance)) for k, v in enumerate(nominals)]


def ratio(x: Array) -> Array:
    """A divider's fraction."""
    return np.asarray(x[:, 1] / (x[:, 0] + x[:, 1]))


def node_law(network: Network, node: str) -> Law:
    """A node's voltage as a law of the network's resistances."""
    at = network.nodes.index(node)
    return lambda x: voltages(network, x)[:, at]


def test_a_divider_is_worst_where_its_resistors_part() -> None:
    """The extremes of a divider lie where one resistor is high and the other low."""
    found = worst_case(ratio, parts(0.01, 1e3, 2e3))
    assert found.low == pytest.approx(1980 / 2990)
    assert found.high == pytest.approx(2020 / 3010)
    assert (found.low_at, found.high_at) == ((1010.0, 1980.0), (990.0, 2020.0))
    assert found.how == "all corners"


def test_a_quantity_that_nothing_moves_has_no_width() -> None:
    """Without causes, or with causes of no width, all three methods give the nominal value."""
    still = [Cause("R", 2.0, 2.0, 2.0)]
    for causes in ([], still):
        law: Law = lambda x: np.full(len(x), 3.0)  # noqa: E731
        assert extreme(law, causes) == (3.0, 3.0, 3.0)
        assert rss(law, causes) == (3.0, 3.0, 3.0)
        assert monte_carlo(law, causes) == (3.0, 3.0, 3.0)


def test_an_extreme_between_the_ends_is_found_and_said() -> None:
    """A law that turns round inside the range has its peak there, not at a corner."""

    def law(x: Array) -> Array:
        return np.asarray(5 - (x[:, 0] - 0.123) ** 2 + x[:, 1])

    found = worst_case(law, [Cause("a", 0, -1, 1), Cause("b", 0, 0, 1)])
    assert found.how == "all corners, then inside"
    assert found.high == pytest.approx(6.0, abs=1e-9)
    assert found.high_at[0] == pytest.approx(0.123, abs=1e-4)
    assert found.low == pytest.approx(5 - 1.123**2, abs=1e-12)


def test_what_is_not_known_at_one_corner_has_no_extremes() -> None:
    """A nan anywhere makes both ends nan; an infinity is a value like another."""
    low, nominal, high = extreme(lambda x: np.where(x[:, 0] > 1.05, np.nan, x[:, 0]), parts(0.1, 1.0))
    assert nominal == 1.0
    assert np.isnan([low, high]).all()
    assert extreme(lambda x: np.where(x[:, 0] > 1.05, np.inf, x[:, 0]), parts(0.1, 1.0)) == (0.9, 1.0, np.inf)


@settings(max_examples=25)
@given(networks(nodes=7, extra=5, decades=(1, 5)), st.data())
def test_the_search_agrees_with_all_corners(network: Network, data: st.DataObject) -> None:
    """On random networks of up to 11 resistors the search beyond 12 causes finds what all corners find."""
    node = data.draw(st.sampled_from(network.nodes))
    law = node_law(network, node)
    causes = parts(data.draw(st.sampled_from([0.01, 0.05, 0.2])), *ohms_of(network))
    every = worst_case(law, causes)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spread, "ALL_CORNERS", 2)
        searched = worst_case(law, causes)
    assert searched.how.startswith("search") or len(causes) <= 2
    assert (searched.low, searched.high) == pytest.approx((every.low, every.high), rel=1e-9, abs=1e-9)


def test_more_causes_than_corners_are_searched_and_said() -> None:
    """Twenty equal resistors, ten to a side: the search finds the corner that symmetry names."""

    def law(x: Array) -> Array:
        return np.asarray(x[:, :10].sum(axis=1) / x.sum(axis=1))

    found = worst_case(law, parts(0.1, *([1.0] * 20)))
    assert found.how == "search"
    assert (found.low, found.high) == pytest.approx((0.45, 0.55))


@settings(max_examples=25)
@given(networks(nodes=6, extra=4, decades=(1, 5)), st.data())
def test_every_draw_lies_between_the_extremes(network: Network, data: st.DataObject) -> None:
    """Root-sum-square and Monte Carlo lie inside the extreme values, nominal between them all."""
    law = node_law(network, data.draw(st.sampled_from(network.nodes)))
    causes = parts(0.05, *ohms_of(network))
    low, nominal, high = extreme(law, causes)
    slack = 1e-9 * (1 + abs(high - low))
    for convention in spread.CONVENTIONS:
        mc_low, mc_nominal, mc_high = monte_carlo(law, causes, 500, 7, "v", convention)
        assert mc_nominal == nominal
        assert low - slack <= mc_low <= mc_high <= high + slack


@given(st.permutations(range(5)), st.sampled_from([0.01, 0.1]))
def test_the_order_of_the_causes_does_not_matter(order: list[int], tolerance: float) -> None:
    """Extreme value and root-sum-square are the same for the same causes in another order."""
    causes = parts(tolerance, 1.0, 2.0, 3.0, 4.0, 5.0)
    turned = [causes[k] for k in order]

    def law(x: Array) -> Array:
        return np.asarray(x[:, 0] * x[:, 1] / (x[:, 2] + x[:, 3] * x[:, 4]))

    def other(x: Array) -> Array:
        return law(x[:, np.argsort(order)])

    assert extreme(other, turned) == pytest.approx(extreme(law, causes), rel=1e-12)
    assert rss(other, turned) == pytest.approx(rss(law, causes), rel=1e-12)


@given(st.floats(0.001, 0.1), st.floats(1.01, 3.0))
def test_a_wider_tolerance_never_narrows_a_span(tolerance: float, wider: float) -> None:
    """All three methods grow with the tolerance, and hold the nominal value."""
    for method in (extreme, rss, lambda law, causes: monte_carlo(law, causes, 400)):
        near, far = (method(ratio, parts(t, 1e3, 3e3)) for t in (tolerance, tolerance * wider))
        assert far[0] <= near[0] <= near[1] <= near[2] <= far[2]


def test_biases_are_set_to_their_ends_and_never_sampled() -> None:
    """A bias moves both ends of every method by all it has, whatever the convention."""
    causes = [Cause("R", 0.0, -0.3, 0.3), Cause("ambient", 25.0, -40.0, 85.0, bias=True)]

    def law(x: Array) -> Array:
        return np.asarray(x[:, 0] + x[:, 1])

    assert extreme(law, causes) == pytest.approx((-40.3, 25.0, 85.3))
    assert rss(law, causes) == pytest.approx((-40.3, 25.0, 85.3))
    low, _, high = monte_carlo(law, causes)
    assert (low, high) == pytest.approx((-40.3, 85.3), abs=0.03)
    assert [s.min() > 84.6 for s in samples(law, causes, spread.Sampling())].count(True) == 1


def test_root_sum_square_adds_squares_and_keeps_the_sides_apart() -> None:
    """3 and 4 make 5; unequal sides stay unequal; a uniform tolerance counts sqrt(3) times, to its sum."""

    def law(x: Array) -> Array:
        return np.asarray(x.sum(axis=1))

    equal = [Cause("a", 0.0, -3.0, 3.0), Cause("b", 0.0, -4.0, 4.0)]
    assert rss(law, equal) == pytest.approx((-5.0, 0.0, 5.0))
    assert rss(law, equal, "uniform") == pytest.approx((-7.0, 0.0, 7.0))
    assert rss(law, [*equal, Cause("c", 0.0, -0.0, 12.0)]) == pytest.approx((-5.0, 0.0, 13.0))
    many = [Cause(str(k), 0.0, -1.0, 1.0) for k in range(12)]
    assert rss(law, many, "uniform") == pytest.approx((-6.0, 0.0, 6.0))


def test_the_same_seed_and_key_give_the_same_draws() -> None:
    """Streams depend on seed, key and the cause's position, and on nothing else."""
    causes = parts(0.05, 1e3, 2e3)
    first = monte_carlo(ratio, causes, 2000, 1, "frequency")
    assert monte_carlo(ratio, causes, 2000, 1, "frequency") == first
    assert monte_carlo(ratio, causes, 2000, 2, "frequency") != first
    assert monte_carlo(ratio, causes, 2000, 1, "duty") != first
    more = [*causes, Cause("unused", 0.0, -1.0, 1.0)]
    assert monte_carlo(ratio, more, 2000, 1, "frequency") == first


def test_draws_stay_within_the_tolerance() -> None:
    """The normal distribution is cut at the tolerance, also with unequal sides."""
    cause = Cause("C", 1.0, 0.8, 1.8)
    for convention in spread.CONVENTIONS:
        (values,) = samples(lambda x: x[:, 0], [cause], spread.Sampling(convention=convention))
        assert 0.8 <= values.min() < 0.82
        assert 1.7 < values.max() <= 1.8


def test_an_unknown_draw_makes_the_limits_unknown() -> None:
    """One nan among the draws, and Monte Carlo and root-sum-square say nothing."""

    def law(x: Array) -> Array:
        return np.where(x[:, 0] > 1.04, np.nan, x[:, 0])

    assert np.isnan(monte_carlo(law, parts(0.05, 1.0))[0])
    assert np.isnan(rss(law, parts(0.05, 1.0))[2])


def test_a_share_never_seen_is_bounded_from_above() -> None:
    """0 of 20,000 is below 0.015 %, all of them above 99.985 %, and no share is impossible."""
    low, high = share_interval(0, 20_000)
    assert (low, high < 0.00015) == (0.0, True)
    assert share_interval(20_000, 20_000) == pytest.approx((1 - high, 1.0))
    with pytest.raises(ValueError, match="no share"):
        share_interval(3, 2)


@given(st.integers(1, 400), st.integers(0, 400))
def test_an_interval_holds_the_share_that_was_seen(draws: int, hits: int) -> None:
    """The interval holds hits / draws, and turns round with hits and misses exchanged."""
    hits = min(hits, draws)
    low, high = share_interval(hits, draws)
    assert 0 <= low <= hits / draws <= high <= 1
    mirrored = share_interval(draws - hits, draws)
    assert (1 - mirrored[1], 1 - mirrored[0]) == pytest.approx((low, high), abs=1e-9)


def test_many_draws_of_a_network_are_solved_in_one_go() -> None:
    """A Monte Carlo of a bridged network gives the spread that its sensitivities promise."""
    network = divider(10e3, 10e3)
    low, nominal, high = monte_carlo(lambda x: thevenin(network, "m", x)[0], parts(0.01, 10e3, 10e3))
    width = 3 * 5 * 0.25 * np.sqrt(2) * 0.01 / 3
    assert (nominal - low, high - nominal) == pytest.approx((width, width), rel=0.05)


@settings(max_examples=25)
@given(networks(nodes=6, extra=4, decades=(2, 4)), st.floats(0.2, 2.0), st.data())
def test_no_draw_of_a_diode_network_leaves_the_extremes(
    network: Network, drop_v: float, data: st.DataObject
) -> None:
    """With junctions extremes may lie inside; whatever 300 draws from the whole range give lies within."""
    a, b, node = (data.draw(st.sampled_from(network.nodes)) for _ in range(3))
    if a == b:
        return
    law = node_law(network._replace(junctions=(Junction("D1", a, b, drop_v, 10.0),)), node)
    causes = parts(0.3, *ohms_of(network))
    low, _, high = extreme(law, causes)
    rng = np.random.default_rng(data.draw(st.integers(0, 1000)))
    draws = ohms_of(network) * (1 + 0.3 * rng.uniform(-1, 1, (300, len(causes))))
    values = law(draws)
    slack = 1e-9 * 15
    assert low - slack <= values.min() <= values.max() <= high + slack


def test_root_sum_square_of_what_never_ends_is_unbounded() -> None:
    """A law that is infinite at an end of a cause, or everywhere, has no bound; never low above high."""
    causes = [Cause("i", 0.0, -1.0, 1.0, False)]

    def period(x: Array) -> Array:
        with np.errstate(divide="ignore"):
            return np.where(x[:, 0] > 0, 1 / x[:, 0], np.inf)

    assert rss(period, causes) == (1.0, np.inf, np.inf)
    assert rss(lambda x: np.full(len(x), np.inf), causes) == (np.inf, np.inf, np.inf)
