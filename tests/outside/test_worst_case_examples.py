"""Extreme value, root-sum-square and Monte Carlo against published examples and the JCGM guides."""

import numpy as np
import pytest

from drc.circuit.dc import thevenin, voltages
from drc.circuit.network import Array, Branch, Network
from drc.circuit.spread import Cause, Law, Sampling, extreme, rss, samples


def part(name: str, nominal: float, percent: float) -> Cause:
    """A cause with a tolerance in percent."""
    return Cause(name, nominal, nominal * (1 - percent / 100), nominal * (1 + percent / 100))


def total(x: Array) -> Array:
    """The sum of all causes."""
    return np.asarray(x.sum(axis=1))


def divider_v(x: Array) -> Array:
    """Voltage of a divider solved as a network: causes are supply, upper, lower."""
    network = Network((Branch("R1", "s", "m", 1.0), Branch("R2", "m", "0", 1.0)), {"0": 0.0, "s": 1.0})
    stiff = np.column_stack([np.zeros(len(x)), x[:, 0]])
    return np.asarray(voltages(network, x[:, 1:], stiff)[:, 2])


def divider_ohm(x: Array) -> Array:
    """Source resistance of the same divider."""
    network = Network((Branch("R1", "s", "m", 1.0), Branch("R2", "m", "0", 1.0)), {"0": 0.0, "s": 1.0})
    return thevenin(network, "m", x[:, 1:])[1]


SUPPLY_3V = Cause("V", 3.0, 3.0, 3.0)


@pytest.mark.parametrize(
    ("law", "causes", "wanted", "rel"),
    [
        # Rizzoni, problems 2.58 and 2.52: 10 V over two equal resistors. Answers computed.
        (divider_v, [Cause("V", 10, 10, 10), part("R1", 5e3, 10), part("R2", 5e3, 10)], (4.5, 5, 5.5), 1e-12),
        (divider_v, [Cause("V", 10, 10, 10), part("R1", 5e3, 5), part("R2", 5e3, 5)], (4.75, 5, 5.25), 1e-12),
        # Sedra/Smith, problem 1.7: 3 V, 1 k over 2 k, 5 %. Extremes computed.
        (divider_v, [SUPPLY_3V, part("R1", 1e3, 5), part("R2", 2e3, 5)], (1.9322, 2.0, 2.0656), 1e-4),
        (divider_ohm, [SUPPLY_3V, part("R1", 1e3, 5), part("R2", 2e3, 5)], (633.3, 666.7, 700.0), 1e-4),
        # Jaeger & Blalock, Microelectronic Circuit Design, chapter 1, worst-case example (from memory):
        # 15 V 10 %, output across 18 k 5 %, with 36 k 5 % above it: 4.20 V .. 5.87 V.
        (divider_v, [part("V", 15, 10), part("R2", 36e3, 5), part("R1", 18e3, 5)], (4.20, 5.0, 5.87), 2e-3),
        (
            lambda x: x[:, 0] / (x[:, 1] + x[:, 2]),
            [part("V", 15, 10), part("R2", 36e3, 5), part("R1", 18e3, 5)],
            (238e-6, 278e-6, 322e-6), 2e-3,
        ),
        # Helfrick & Cooper, Modern Electronic Instrumentation, example 1-13: R1 R2 / R3, 0.1 % each: 0.3 %.
        (
            lambda x: x[:, 0] * x[:, 1] / x[:, 2],
            [part("R1", 1.0, 0.1), part("R2", 1.0, 0.1), part("R3", 1.0, 0.1)],
            (1 - 0.002996, 1.0, 1 + 0.003004), 1e-6,
        ),
        # FOSSEE textbook companion 2096, example 1.45: 500 * 440 / 50, 0.5 % each: 4400 +/- 66 (first order).
        (
            lambda x: x[:, 0] * x[:, 1] / x[:, 2],
            [part("R1", 500, 0.5), part("R2", 440, 0.5), part("R3", 50, 0.5)],
            (4334, 4400, 4466), 2e-4,
        ),
        # FOSSEE textbook companions 2318 example 3.9 and 2195 example 7.5.8: 0.2 % and 0.05 % in all.
        (
            lambda x: x[:, 0] / x[:, 1] * x[:, 2],
            [part("R1", 1000, 0.05), part("R2", 1000, 0.05), part("R3", 3154, 0.1)],
            (3147.7, 3154, 3160.3), 2e-5,
        ),
        (
            lambda x: x[:, 0] / x[:, 1] * x[:, 2],
            [part("R1", 100, 0.02), part("R2", 100, 0.02), part("R3", 230, 0.01)],
            (229.885, 230, 230.115), 2e-6,
        ),
        # "Tutorial 1" (36794748): 330 ohm 5 % alone, and in series with two of 10 %.
        (total, [part("R1", 330, 5)], (313.5, 330, 346.5), 1e-12),
        (total, [part("R1", 330, 10)], (297, 330, 363), 1e-12),
        (total, [part("R1", 330, 5), part("R2", 330, 10), part("R3", 330, 10)], (907.5, 990, 1072.5), 1e-12),
        # A. Taylor, EE Times 2013-12-09: 1 kohm, 100 ppm/K, +/- 60 K: +/- 6 ohm.
        (
            lambda x: 1e3 * (1 + 100e-6 * x[:, 0]),
            [Cause("dT", 0, -60, 60, bias=True)],
            (994, 1000, 1006), 1e-12,
        ),
        # maxgenson.de, RC filter: 10 k 5 %, 100 n 10 %: true corners of 1 / (2 pi R C), computed.
        (
            lambda x: 1 / (2 * np.pi * x[:, 0] * x[:, 1]),
            [part("R", 10e3, 5), part("C", 100e-9, 10)],
            (159.155 * (1 - 0.1342), 159.155, 159.155 * 1.1696), 2e-5,
        ),
    ],
)  # fmt: skip
def test_published_extreme_values(
    law: Law, causes: list[Cause], wanted: tuple[float, float, float], rel: float
) -> None:
    """Each published worst case (low, nominal, high) comes out of the corners."""
    assert extreme(law, causes) == pytest.approx(wanted, rel=rel)


def test_a_shared_temperature_cancels_in_a_ratio() -> None:
    """Two resistors of 1 % each that share 2 % of temperature: the sum moves by both, the ratio by one.

    Source: the manual of the computer-algebra system Maxima, chapter on worst-case analysis: R1 + R2 in
    2910.6 .. 3090.6 (ohm, nominal 3000); R1 / R2 in 0.490099 .. 0.510101.
    """
    causes = [part("R1", 1000, 1), part("R2", 2000, 1), Cause("shared", 1.0, 0.98, 1.02, bias=True)]

    def added(x: Array) -> Array:
        return np.asarray((x[:, 0] + x[:, 1]) * x[:, 2])

    def divided(x: Array) -> Array:
        return np.asarray((x[:, 0] * x[:, 2]) / (x[:, 1] * x[:, 2]))

    assert extreme(added, causes) == pytest.approx((2910.6, 3000, 3090.6), rel=1e-12)
    assert extreme(divided, causes) == pytest.approx((0.490099, 0.5, 0.510101), rel=2e-6)


def test_root_sum_square_of_an_rc_filter() -> None:
    """10 k 5 % with 100 n 10 %: 11.2 % together (maxgenson.de, rc-filter; 11.180 % exactly)."""
    low, nominal, high = rss(lambda x: x[:, 0] * x[:, 1], [part("R", 10e3, 5), part("C", 100e-9, 10)])
    assert (high / nominal - 1, 1 - low / nominal) == pytest.approx((0.11180, 0.11180), rel=1e-4)


def test_a_divider_of_uniform_parts_is_triangular() -> None:
    """Two 5 % parts: the error is triangular, three quarters of it within half the peak, half within 29 %.

    Source: D. Tweed, Circuit Cellar, Engineering Quotient 159, answer 8 (October 2003).
    """
    causes = [part("R1", 1.0, 5), part("R2", 1.0, 5)]
    (values,) = samples(
        lambda x: np.log(x[:, 0] / x[:, 1]), causes, Sampling(200_000, 1, "triangular", "uniform")
    )
    share = np.abs(values) / 0.1
    assert share.max() < 1.002
    assert np.mean(share < 0.5) == pytest.approx(0.75, abs=0.005)
    assert np.median(share) == pytest.approx(1 - 1 / np.sqrt(2), abs=0.005)


def test_rc_with_uniform_parts_has_the_published_deviation() -> None:
    """R 5 %, C 10 %, uniform: relative standard deviation sqrt((0.05^2 + 0.1^2) / 3) = 0.06455.

    Recomputed with `uncertainties` 3.2.3 (0.06455) and by two million draws (0.06456, 95 % 0.8845 .. 1.1212).
    """
    (values,) = samples(
        lambda x: x[:, 0] * x[:, 1],
        [part("R", 1.0, 5), part("C", 1.0, 10)],
        Sampling(200_000, 1, "rc", "uniform"),
    )
    assert np.std(values) == pytest.approx(0.06455, rel=0.01)
    assert np.quantile(values, [0.025, 0.975]) == pytest.approx([0.8845, 1.1212], abs=0.002)


ROOT3 = 3**0.5


@pytest.mark.parametrize(
    ("causes", "convention", "deviation", "half_width", "tolerance"),
    [
        # JCGM 101:2008 9.2.2, table 2: four standard normals; ours are cut at 3 sigma, which takes 1.3 % off.
        ([Cause(f"X{k}", 0, -3, 3) for k in range(4)], "normal", 2.0, 3.92, 0.02),
        # JCGM 101:2008 9.2.3, table 3: four rectangular distributions of unit deviation.
        ([Cause(f"X{k}", 0, -ROOT3, ROOT3) for k in range(4)], "uniform", 2.0, 3.88, 0.01),
        # JCGM 101:2008 9.2.4, table 4 (from memory): as before, the last ten times as wide.
        (
            [*(Cause(f"X{k}", 0, -ROOT3, ROOT3) for k in range(3)), Cause("X4", 0, -10 * ROOT3, 10 * ROOT3)],
            "uniform", 10.1, 17.0, 0.01,
        ),
    ],
)  # fmt: skip
def test_the_additive_models_of_jcgm_101(
    causes: list[Cause], convention: str, deviation: float, half_width: float, tolerance: float
) -> None:
    """Standard deviation and 95 % interval of a sum of four quantities, by Monte Carlo."""
    sampling = Sampling(200_000, 1, "sum", "normal" if convention == "normal" else "uniform")
    (values,) = samples(total, causes, sampling)
    assert np.std(values) == pytest.approx(deviation, rel=tolerance)
    assert np.quantile(values, [0.025, 0.975]) == pytest.approx([-half_width, half_width], rel=tolerance)


def test_a_logarithm_of_a_uniform_input() -> None:
    """y = ln x, x uniform in 0.1 .. 1.1: mean -0.665, deviation 0.606 (NPL DEM-ES-011, 9.2, table 9.2)."""
    (values,) = samples(
        lambda x: np.log(x[:, 0]), [Cause("x", 0.6, 0.1, 1.1)], Sampling(200_000, 1, "ln", "uniform")
    )
    assert np.mean(values) == pytest.approx(-0.665, abs=0.005)
    assert np.std(values) == pytest.approx(0.606, abs=0.005)
    assert np.log(0.6) == pytest.approx(-0.511, abs=0.001)


def test_an_expansion_coefficient_keeps_its_deviation() -> None:
    """(L1 - L0) / (L0 (T1 - T0)) of NIST Technical Note 1900, example 13: 1.7266e-5, deviation 1.76e-6."""
    given = [(1.4999, 1e-4), (1.5021, 2e-4), (288.15, 0.02), (373.10, 0.05)]
    causes = [Cause(str(k), v, v - 3 * u, v + 3 * u) for k, (v, u) in enumerate(given)]

    def law(x: Array) -> Array:
        return np.asarray((x[:, 1] - x[:, 0]) / (x[:, 0] * (x[:, 3] - x[:, 2])))

    low, nominal, high = rss(law, causes)
    assert nominal == pytest.approx(1.7266e-5, rel=2e-4)
    assert (high - low) / 6 == pytest.approx(1.76e-6, rel=0.01)
    (values,) = samples(law, causes, Sampling(50_000))
    assert np.std(values) == pytest.approx(1.76e-6, rel=0.025)  # cut at 3 sigma: 1.3 % less


def test_deviations_add_by_their_squares() -> None:
    """Four causes added with known deviations follow u = sqrt(103) (JCGM 101:2008 9.2.4), root-sum-square."""
    causes = [Cause(str(k), 0.0, -3.0 * u, 3.0 * u) for k, u in enumerate([1.0, 1.0, 1.0, 10.0])]
    assert rss(total, causes)[2] / 3 == pytest.approx(np.sqrt(103), rel=1e-12)
