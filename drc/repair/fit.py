"""Values of elements that bring quantities to their wanted spans: sweeps of laws, no circuit is read."""

from collections.abc import Callable, Sequence
from itertools import combinations, product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.facts.dependence import Dependence
from drc.quantity.preferred import values
from drc.quantity.span import Span
from drc.repair.change import Step, distance
from drc.repair.pool import Pool
from drc.repair.sweep import Adjustable, sweep

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from drc.circuit.network import Array

    Bools = NDArray[np.bool_]

_KEPT = 3
"""How many values of one element, or pairs of two, are handed on."""

_REACH = 3000.0
"""How far from its old value an element is looked for, as a factor."""

_COARSE = {1: 48, 2: 24}
"""How many values of each of so many elements are tried before the search closes in on the best."""

_CLOSER = 5
"""By how much the steps between values shrink each time the search closes in."""

_BEST = 4
"""Around how many points it closes in."""

_LEAST = 1e3
"""Ohms: see `choice`. Common practice, no source."""

_FAR = 1e6
"""Departure of what is beyond all measure, and of values that are not allowed."""


class Target(NamedTuple):
    """A quantity and what is wanted of it. `scale` None: departures are relative; else in that unit."""

    quantity: Dependence
    wanted: Span
    scale: float | None = None

    def away(self, values: "Array") -> "Array":
        """Departure from the middle of what is wanted, (draws,)."""
        middle = self.wanted.middle
        with np.errstate(divide="ignore", invalid="ignore"):
            if self.scale is None:
                return np.abs(np.log(values / middle))
            return np.abs(values - middle) / self.scale

    def inside(self, values: "Array") -> "Bools":
        """Whether it is in the wanted span, (draws,) of bool."""
        return (values >= self.wanted.low) & (values <= self.wanted.high)


class Fit(NamedTuple):
    """Changes that bring the targets about, and how far the worst of them stays from its middle."""

    changes: tuple[Step, ...]
    off: float

    @property
    def rank(self) -> tuple[int, float, float]:
        """Fewest changes first, then nearest to the middle, in steps of half a per cent, then shortest."""
        return len(self.changes), round(self.off / 0.005), sum(distance(change) for change in self.changes)


Choice = Callable[[Adjustable, float], list[float]]
"""Gives the values that an element may take up to a factor away from its old one."""


def choice(pool: Pool, element: Adjustable, reach: float) -> list[float]:
    """The values of the pool for a resistor; for a capacitor those of E12, which they are made in.

    A resistor is not taken below a kilohm where it is not there already: drive and switches would count.
    """
    low, high = element.value / reach, element.value * reach
    if element.element.kind != "R":
        return values(low, high, (12,))
    return pool.between(max(low, min(_LEAST, element.value)), high)


Within = Callable[[tuple[Adjustable, ...], "Array"], "Bools"]
"""Which rows of values (rows, elements) of some elements are allowed: (rows,) of bool."""


def fits(
    targets: Sequence[Target], elements: Sequence[Adjustable], chosen: Choice, within: Within
) -> list[Fit]:
    """What brings all targets into their spans: nothing, one element's value, else two elements' values."""
    away, good = _worth(targets, (), np.zeros((1, 0)), within)
    now = [Fit((), float(away[0]))] if good[0] else []
    singles = [fit for each in elements for fit in _search(targets, (each,), chosen, within, _REACH)]
    if now or singles:
        return [*now, *singles]
    return [fit for pair in combinations(elements, 2) for fit in _pair(targets, pair, chosen, within)]


def _pair(
    targets: Sequence[Target], pair: tuple[Adjustable, ...], chosen: Choice, within: Within
) -> list[Fit]:
    """The best values of two elements together, nearby first."""
    for reach in (10.0, 100.0, _REACH):
        found = _search(targets, pair, chosen, within, reach)
        if found:
            return found
    return []


class _Point(NamedTuple):
    """A choice of values by their numbers, how far the worst target is from its middle, and if it will do."""

    at: tuple[int, ...]
    away: float
    good: bool


def _search(
    targets: Sequence[Target],
    elements: tuple[Adjustable, ...],
    chosen: Choice,
    within: Within,
    reach: float,
) -> list[Fit]:
    """The best values of some elements: a coarse lattice first, then finer ones about its best points.

    Times and duties turn but once along each value, so that the best of a coarse lattice is near the best.
    """
    columns = [np.array(chosen(element, reach)) for element in elements]
    if not all(column.size for column in columns):
        return []
    steps = [max(1, len(column) // _COARSE[len(elements)]) for column in columns]
    wanted = set(product(*(range(0, len(c), s) for c, s in zip(columns, steps, strict=True))))
    met: dict[tuple[int, ...], _Point] = {}
    while True:
        fresh = sorted(wanted - met.keys())
        if fresh:
            rows = np.stack([c[list(at)] for c, at in zip(columns, zip(*fresh, strict=True), strict=True)], 1)
            away, good = _worth(targets, elements, rows, within)
            met |= {at: _Point(at, float(a), bool(g)) for at, a, g in zip(fresh, away, good, strict=True)}
        if max(steps) == 1:
            best = sorted((p for p in met.values() if p.good), key=lambda point: (point.away, point.at))
            return [_fit(elements, columns, point) for point in best[:_KEPT]]
        finer = [max(1, step // _CLOSER) for step in steps]
        wanted = {
            at
            for point in sorted(met.values(), key=lambda point: point.away)[:_BEST]
            for at in product(*(_near(*each) for each in zip(point.at, steps, finer, columns, strict=True)))
        }
        steps = finer


def _fit(elements: tuple[Adjustable, ...], columns: Sequence["Array"], point: _Point) -> Fit:
    """The changes that a point means."""
    values = (float(column[at]) for column, at in zip(columns, point.at, strict=True))
    changes = (each.changed(value) for each, value in zip(elements, values, strict=True))
    return Fit(tuple(change for change in changes if change.value != change.old), point.away)


def _near(at: int, step: int, finer: int, column: "Array") -> range:
    """The numbers of the values around one, as far as the next of the coarser lattice."""
    return range(max(0, at - step), min(len(column), at + step + 1), finer)


def _worth(
    targets: Sequence[Target], elements: tuple[Adjustable, ...], rows: "Array", within: Within
) -> "tuple[Array, Bools]":
    """How far the worst target is from its middle, and whether all are in their spans: (rows,) each."""
    made = [sweep(target.quantity, elements, rows) for target in targets]
    allowed = within(elements, rows)
    away = np.max([target.away(values) for target, values in zip(targets, made, strict=True)], axis=0)
    inside = np.all([target.inside(values) for target, values in zip(targets, made, strict=True)], axis=0)
    away = np.nan_to_num(away, nan=_FAR, posinf=_FAR)
    return np.where(allowed, away, away + _FAR), inside & allowed
