"""Values of elements that bring quantities to their wanted spans: sweeps of laws, no circuit is read."""

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.facts.dependence import Dependence
from drc.quantity.preferred import values
from drc.quantity.span import Span
from drc.repair.change import Step, distance
from drc.repair.pool import Pool
from drc.repair.sweep import Adjustable, sweep

if TYPE_CHECKING:
    from drc.circuit.network import Array

_KEPT = 3
"""How many values of one element, or pairs of two, are handed on."""

_REACH = 3000.0
"""How far from its old value an element is looked for, as a factor."""

_GRID = 40_000
"""The most pairs that one sweep tries."""


class Target(NamedTuple):
    """A quantity and what is wanted of it. `scale` None: departures are relative; else in that unit."""

    quantity: Dependence
    wanted: Span
    scale: float | None = None

    def off(self, values: "Array") -> "Array":
        """Departure from the middle of what is wanted, (draws,); infinite outside it."""
        middle = self.wanted.middle
        with np.errstate(divide="ignore", invalid="ignore"):
            away = (
                np.abs(np.log(values / middle))
                if self.scale is None
                else np.abs(values - middle) / self.scale
            )
        inside = (values >= self.wanted.low) & (values <= self.wanted.high)
        return np.where(inside, away, np.inf)


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
    """The values of the pool for a resistor; for a capacitor those of E12, which they are made in."""
    low, high = element.value / reach, element.value * reach
    return pool.between(low, high) if element.element.kind == "R" else values(low, high, (12,))


Within = Callable[[tuple[Adjustable, ...], "Array"], "Array"]
"""Which rows of values (rows, elements) of some elements are allowed: (rows,) of bool."""


def fits(
    targets: Sequence[Target], elements: Sequence[Adjustable], chosen: Choice, within: Within
) -> list[Fit]:
    """What brings all targets into their spans: nothing, one element's value, else two elements' values."""
    now = max(float(target.off(np.array([target.quantity.nominal]))[0]) for target in targets)
    if np.isfinite(now) and bool(within((), np.zeros((1, 0)))[0]):
        return [Fit((), now), *_singles(targets, elements, chosen, within)]
    singles = _singles(targets, elements, chosen, within)
    return singles or _pairs(targets, elements, chosen, within)


def _singles(
    targets: Sequence[Target], elements: Sequence[Adjustable], chosen: Choice, within: Within
) -> list[Fit]:
    """The nearest values of each element alone."""
    found: list[Fit] = []
    for element in elements:
        values = np.array(chosen(element, _REACH))
        found += _best(targets, (element,), values[:, None], within)
    return found


def _pairs(
    targets: Sequence[Target], elements: Sequence[Adjustable], chosen: Choice, within: Within
) -> list[Fit]:
    """The nearest values of two elements together, each looked for more coarsely the farther it is."""
    found: list[Fit] = []
    for pair in combinations(elements, 2):
        for reach in (10.0, 100.0, _REACH):
            columns = [np.array(chosen(each, reach)) for each in pair]
            thin = [max(1, int(np.ceil(len(column) / _GRID**0.5))) for column in columns]
            grid = np.stack(
                np.meshgrid(*(column[::step] for column, step in zip(columns, thin, strict=True))), axis=-1
            ).reshape(-1, 2)
            best = _best(targets, pair, grid, within)
            found += best
            if best:
                break
    return found


def _best(
    targets: Sequence[Target], elements: tuple[Adjustable, ...], rows: "Array", within: Within
) -> Iterator[Fit]:
    """The rows of values that leave the worst target nearest to its middle."""
    if not len(rows):
        return
    offs = [target.off(sweep(target.quantity, elements, rows)) for target in targets]
    worst = np.where(within(elements, rows), np.max(offs, axis=0), np.inf)
    for row in np.argsort(worst, kind="stable")[:_KEPT]:
        if np.isfinite(worst[row]):
            pairs = zip(elements, rows[row], strict=True)
            changes = tuple(element.changed(float(value)) for element, value in pairs)
            yield Fit(tuple(c for c in changes if c.value != c.old), float(worst[row]))
