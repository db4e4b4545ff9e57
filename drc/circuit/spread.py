"""How far a quantity moves: extreme value, root-sum-square and Monte Carlo over independent causes.

Known-sign effects (ambient, supply, a tempco of known sign) are biases: they are set to their ends and
never sampled. The other causes follow one convention, shared by root-sum-square and Monte Carlo.
"""

from collections.abc import Callable, Sequence
from hashlib import sha256
from itertools import product
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drc.circuit.network import Array

Law = Callable[[Array], Array]
"""Cause values (draws, causes) to the quantity (draws,); elementwise over draws."""

Convention = Literal["normal", "uniform"]

CONVENTIONS: dict[Convention, str] = {
    "normal": "each tolerance is 3 sigma of a normal distribution cut at the tolerance; "
    "limits at 3 sigma (0.135 % and 99.865 %)",
    "uniform": "each tolerance is a uniform distribution from end to end; "
    "limits at 3 sigma, no wider than all ends together (0.135 % and 99.865 %)",
}
"""What is printed with every root-sum-square and Monte Carlo result."""

ALL_CORNERS = 12
"""Up to so many causes every corner is tried."""

PLACES = np.array([0, 1 / 1024, *(k / 8 for k in range(1, 8)), 1023 / 1024, 1])
"""Shares of a cause's range at which an extreme inside is looked for: an eighth apart, and next to the ends,
where a law that turns round just before its end shows that it does."""

PERCENTILES = (0.00135, 0.99865)
"""The shares that plus and minus 3 sigma of a normal distribution leave outside."""


class Cause(NamedTuple):
    """An independent cause: its nominal value and its ends, in SI. `bias`: of known sign, never sampled."""

    name: str
    nominal: float
    low: float
    high: float
    bias: bool = False


class Sampling(NamedTuple):
    """How to draw: how many, and what the random streams depend on."""

    draws: int = 20_000
    seed: int = 1
    key: str = ""
    convention: Convention = "normal"


class WorstCase(NamedTuple):
    """The extreme values, the cause values that give them, and how they were found.

    `how`: "all corners", "search" (more causes than corners can be tried for: from the corner that the
    sensitivities name, one cause at a time), or either with ", then inside" where an extreme lies between
    the ends. nan where the law is not known somewhere in the range.
    """

    low: float
    nominal: float
    high: float
    how: str
    low_at: tuple[float, ...]
    high_at: tuple[float, ...]


def extreme(law: Law, causes: Sequence[Cause]) -> tuple[float, float, float]:
    """Lowest, nominal and highest value over all causes; see `worst_case`."""
    return worst_case(law, causes)[:3]


def worst_case(law: Law, causes: Sequence[Cause]) -> WorstCase:
    """The extreme values of a law over the whole range of every cause.

    A voltage or current of a linear network is monotonic in each single resistance, so its extremes lie at
    corners: all of them up to ALL_CORNERS causes, beyond that a search. From the worst corner each cause
    is also tried between its ends; where that is worse (junctions, second-order terms) the search goes on
    inside. Source: extreme value analysis, the trade's worst-case circuit analysis handbooks.
    """
    centre = np.array([c.nominal for c in causes], dtype=float)
    ends = np.array([(c.low, c.high) for c in causes], dtype=float).reshape(-1, 2)
    moving = np.flatnonzero(ends[:, 0] != ends[:, 1])
    if not len(moving):
        at, nominal = tuple(centre.tolist()), law(centre[None, :]).item()
        return WorstCase(nominal, nominal, nominal, "all corners", at, at)
    corners, how = _corners(law, centre, ends, moving)
    points = np.vstack([corners, centre])
    values = law(points)
    nominal = float(values[-1])
    if np.isnan(values).any():
        unknown = tuple(centre.tolist())
        return WorstCase(np.nan, nominal, np.nan, how, unknown, unknown)
    least, most = int(np.argmin(values)), int(np.argmax(values))
    # Both first looks inside in one call: on a small board calls cost more than draws.
    looks = np.vstack([_along(points[least], ends, moving), _along(points[most], ends, moving)])
    below, above = np.split(law(looks), 2)
    low, low_at, low_inside = _inside(law, _Start(points[least], float(values[least]), below), ends, -1)
    high, high_at, high_inside = _inside(law, _Start(points[most], float(values[most]), above), ends, 1)
    if low_inside or high_inside or len(values) - 1 in (least, most):
        how += ", then inside"
    return WorstCase(low, nominal, high, how, tuple(low_at.tolist()), tuple(high_at.tolist()))


def rss(law: Law, causes: Sequence[Cause], convention: Convention = "normal") -> tuple[float, float, float]:
    """Low, nominal and high at 3 sigma by root-sum-square of each cause's own effect.

    At every corner of the biases: the effect of each other cause from its nominal to its ends, up and down
    apart, squared, summed, rooted; with the uniform convention times sqrt(3), no wider than their plain sum.
    Where a value has no bound, neither has the result.
    Source: root-sum-square analysis, the trade's worst-case circuit analysis handbooks; the standard
    deviation of a uniform distribution, half width / sqrt(3), JCGM 100:2008 4.3.7.
    """
    centre = np.array([c.nominal for c in causes], dtype=float)
    nominal = law(centre[None, :]).item()
    random = [k for k, c in enumerate(causes) if not c.bias and c.low != c.high]
    low, high = np.inf, -np.inf
    for corner in _bias_corners(law, causes):
        rows = np.repeat(corner[None, :], 2 * len(random) + 1, axis=0)
        for k, cause in enumerate(random):
            rows[2 * k + 1, cause] = causes[cause].low
            rows[2 * k + 2, cause] = causes[cause].high
        values = law(rows)
        if np.isnan(values).any():
            return np.nan, nominal, np.nan
        if np.isinf(values).any():
            low, high = min(low, float(values.min())), max(high, float(values.max()))
            continue
        shifts = (values[1:] - values[0]).reshape(-1, 2)
        up = _together(np.maximum(shifts.max(axis=1), 0.0), convention)
        down = _together(np.maximum(-shifts.min(axis=1), 0.0), convention)
        low, high = min(low, values[0] - down), max(high, values[0] + up)
    return float(low), nominal, float(high)


def monte_carlo(  # noqa: PLR0917 (each is what a user sets, in the order of asking)
    law: Law,
    causes: Sequence[Cause],
    draws: int = 20_000,
    seed: int = 1,
    key: str = "",
    convention: Convention = "normal",
) -> tuple[float, float, float]:
    """Low (0.135 %), nominal and high (99.865 %) of random draws, at the worst corner of the biases.

    The same draws serve every corner. Streams depend on (seed, key, position of the cause) only.
    """
    nominal = law(np.array([[c.nominal for c in causes]], dtype=float)).item()
    low, high = np.inf, -np.inf
    for values in samples(law, causes, Sampling(draws, seed, key, convention)):
        if np.isnan(values).any():
            return np.nan, nominal, np.nan
        ordered = np.sort(values)
        low = min(low, float(ordered[int(np.floor(PERCENTILES[0] * (draws - 1)))]))
        high = max(high, float(ordered[int(np.ceil(PERCENTILES[1] * (draws - 1)))]))
    return low, nominal, high


def samples(law: Law, causes: Sequence[Cause], sampling: Sampling) -> list[Array]:
    """The law's values (draws,) at each corner of the biases, the causes that are none drawn at random."""
    drawn = {
        k: _draw(cause, sampling, k)
        for k, cause in enumerate(causes)
        if not cause.bias and cause.low != cause.high
    }
    results = []
    for corner in _bias_corners(law, causes):
        rows = np.repeat(corner[None, :], sampling.draws, axis=0)
        for k, column in drawn.items():
            rows[:, k] = column
        results.append(law(rows))
    return results


def share_interval(hits: int, draws: int, confidence: float = 0.95) -> tuple[float, float]:
    """Confidence interval of a probability of which `hits` in `draws` were seen, as ratios.

    Clopper and Pearson's exact interval; with no hits at all, or nothing else, all the doubt is put on the
    one side: 0 of 20,000 is below 0.015 %. Raises ValueError unless 0 <= hits <= draws and draws > 0.
    """
    if not 0 <= hits <= draws or draws <= 0:
        raise ValueError(f"{hits} of {draws} is no share")
    doubt = 1 - confidence
    if hits == 0:
        return 0.0, 1 - doubt ** (1 / draws)
    if hits == draws:
        return doubt ** (1 / draws), 1.0
    return _solve_tail(hits - 1, draws, 1 - doubt / 2), _solve_tail(hits, draws, doubt / 2)


def _corners(law: Law, centre: Array, ends: Array, moving: NDArray[np.intp]) -> tuple[Array, str]:
    """The corners worth comparing, and how they were chosen."""
    if len(moving) <= ALL_CORNERS:
        upper = np.arange(2 ** len(moving))[:, None] >> np.arange(len(moving)) & 1
        points = np.repeat(centre[None, :], len(upper), axis=0)
        points[:, moving] = np.where(upper, ends[moving, 1], ends[moving, 0])
        return points, "all corners"
    single = np.repeat(centre[None, :], 2 * len(moving), axis=0)
    for k, cause in enumerate(moving):
        single[2 * k, cause], single[2 * k + 1, cause] = ends[cause]
    values = law(single).reshape(-1, 2)
    rising = values[:, 1] >= values[:, 0]
    found = []
    for sign in (-1, 1):
        start = centre.copy()
        start[moving] = np.where(rising == (sign > 0), ends[moving, 1], ends[moving, 0])
        found.append(_climb(law, start, ends, moving, sign))
    return np.array(found), "search"


def _climb(law: Law, start: Array, ends: Array, moving: NDArray[np.intp], sign: int) -> Array:
    """From a corner, causes whose other end is worse are flipped, until no single one makes it worse.

    All of them at once where that is worse than the worst of them alone, else that one.
    """
    here, value = start, sign * law(start[None, :]).item()
    while True:
        other = np.where(here[moving] == ends[moving, 1], ends[moving, 0], ends[moving, 1])
        trials = np.repeat(here[None, :], len(moving), axis=0)
        trials[np.arange(len(moving)), moving] = other
        values = sign * law(trials)
        best = int(np.argmax(values))
        if not values[best] > value + 1e-13 * abs(value):
            return here
        together = here.copy()
        worse = values > value
        together[moving[worse]] = other[worse]
        joint = sign * law(together[None, :]).item()
        here, value = (together, joint) if joint > values[best] else (trials[best], float(values[best]))


def _along(start: Array, ends: Array, moving: NDArray[np.intp]) -> Array:
    """Points from `start` with one cause after the other at PLACES from end to end."""
    looks = len(PLACES)
    trials = np.repeat(start[None, :], looks * len(moving), axis=0)
    for k, cause in enumerate(moving):
        low, high = ends[cause]
        trials[looks * k : looks * (k + 1), cause] = low * (1 - PLACES) + high * PLACES
    return trials


class _Start(NamedTuple):
    """Where a look inside begins: the point, the law's value there, and its values `_along` from there."""

    at: Array
    value: float
    looks: Array


def _inside(law: Law, start: _Start, ends: Array, sign: int) -> tuple[float, Array, bool]:
    """The worst value from a point on, one cause at a time tried along its range, and where it lies.

    The last item says whether anything inside was worse than the start. nan if the law is not known there.
    """
    moving = np.flatnonzero(ends[:, 0] != ends[:, 1])
    here, value, inside = start.at, start.value, False
    values = sign * start.looks
    for _ in range(40 * len(moving)):
        if np.isnan(values).any():
            return np.nan, start.at, inside
        best = int(np.argmax(values))
        if not values[best] > sign * value + 1e-9 * abs(value):
            break
        trial = _along(here, ends, moving)[best]
        here = _zoom(lambda x: sign * law(x), trial, int(moving[best // len(PLACES)]), ends)
        value, inside = law(here[None, :]).item(), True
        values = sign * law(_along(here, ends, moving))
    return value, here, inside


def _zoom(law: Law, here: Array, cause: int, ends: Array) -> Array:
    """The point of the greatest value near another along one cause, to a millionth of its range."""
    low, high = ends[cause]
    step = (high - low) / 8
    for _ in range(10):
        trials = np.repeat(here[None, :], 9, axis=0)
        trials[:, cause] = np.clip(here[cause] + np.linspace(-step, step, 9), low, high)
        here = trials[int(np.argmax(law(trials)))]
        step /= 4
    return here


def _bias_corners(law: Law, causes: Sequence[Cause]) -> list[Array]:
    """Cause values with the others at their nominal and the biases at every corner, and at their nominal."""
    centre = np.array([c.nominal for c in causes], dtype=float)
    biased = [k for k, c in enumerate(causes) if c.bias and c.low != c.high]
    if len(biased) > ALL_CORNERS:
        fixed = [c if c.bias else Cause(c.name, c.nominal, c.nominal, c.nominal) for c in causes]
        found = worst_case(law, fixed)
        return [centre, np.array(found.low_at), np.array(found.high_at)]
    corners = [centre]
    for choice in product(*((causes[k].low, causes[k].high) for k in biased)):
        if choice:
            corner = centre.copy()
            corner[biased] = choice
            corners.append(corner)
    return corners


def _together(shifts: Array, convention: Convention) -> float:
    """Effects of independent causes taken together at 3 sigma."""
    root = float(np.sqrt(np.sum(shifts**2)))
    return root if convention == "normal" else min(np.sqrt(3.0) * root, float(np.sum(shifts)))


def _draw(cause: Cause, sampling: Sampling, position: int) -> Array:
    """Values of one cause, (draws,): the same on every machine and in any order of asking.

    With unequal sides the normal's halves are stretched each to its own.
    """
    entropy = int.from_bytes(sha256(f"{sampling.seed}/{sampling.key}".encode()).digest(), "big")
    stream = np.random.Generator(np.random.PCG64(np.random.SeedSequence(entropy, spawn_key=(position,))))
    if sampling.convention == "uniform":
        return stream.uniform(cause.low, cause.high, sampling.draws)
    z = stream.standard_normal(sampling.draws)
    while len(beyond := np.flatnonzero(np.abs(z) > 3)):
        z[beyond] = stream.standard_normal(len(beyond))
    return cause.nominal + z / 3 * np.where(z > 0, cause.high - cause.nominal, cause.nominal - cause.low)


def _solve_tail(hits: int, draws: int, tail: float) -> float:
    """The probability p at which so many hits or fewer have the probability `tail`; by bisection."""
    k = np.arange(hits + 1)
    ways = np.concatenate([[0.0], np.cumsum(np.log((draws - k[:-1]) / (k[:-1] + 1)))])
    low, high = 0.0, 1.0
    for _ in range(60):
        p = (low + high) / 2
        terms = ways + k * np.log(p) + (draws - k) * np.log1p(-p)
        if np.exp(terms).sum() > tail:
            low = p
        else:
            high = p
    return (low + high) / 2
