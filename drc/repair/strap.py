"""Changes of strap resistors that make a block read a wanted code, well inside it."""

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block, StrapPin
from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.model import Unknown
from drc.facts.strap import strap_network, strap_ratio
from drc.repair.change import Candidate
from drc.repair.pool import Pool
from drc.repair.sweep import Adjustable, adjustables, sweep

if TYPE_CHECKING:
    from drc.circuit.network import Array

CLEAR = 0.25
"""Steps that a candidate keeps from the nearest threshold at nominal; the trial then judges its spans."""

DECADE = 1
"""The kind of a candidate that takes ten times or a tenth of a value: a slip of a hand undone."""

_PAIRS = 4
_SINGLES = 2


def strap_candidates(book: Book, block: Block, code: int, pool: Pool) -> Iterator[Candidate]:
    """Exchange of two resistors, one other value, or another pair, so that the strap reads `code`."""
    pin, ratio, network = block.part.strap, strap_ratio(book, block), strap_network(book, block)
    if pin is None or isinstance(ratio, Unknown) or isinstance(network, Unknown):
        return
    found = adjustables(book, network.elements, ratio)
    yield from _exchanges(ratio, pin, code, found)
    for element in found:
        yield from _singles(ratio, pin, code, element, pool)
    for upper, lower in combinations(found, 2):
        yield from _pairs(ratio, pin, code, (upper, lower), pool)


def clearance(pin: StrapPin, ratio: "Array", code: int) -> "Array":
    """Steps from the nearest threshold of a code, negative outside it; rails are none. Shapes: (draws,)."""
    low = pin.thresholds[code - 1] if code > 0 else -np.inf
    high = pin.thresholds[code] if code < len(pin.thresholds) else np.inf
    return np.minimum(ratio - low, high - ratio) * pin.levels


def _exchanges(ratio: Dependence, pin: StrapPin, code: int, found: list[Adjustable]) -> Iterator[Candidate]:
    """Two resistors of the divider exchanged."""
    for one, other in combinations(found, 2):
        first, second = one.value, other.value
        if first != second:
            clear = clearance(pin, sweep(ratio, (one, other), np.array([[second, first]])), code)
            if clear[0] > 0:
                why = f"{one.path} and {other.path} are exchanged"
                yield Candidate((one.changed(second), other.changed(first)), why, 1, 0)


def _singles(
    ratio: Dependence, pin: StrapPin, code: int, element: Adjustable, pool: Pool
) -> Iterator[Candidate]:
    """One resistor: ten times or a tenth, else the preferred values that do it, nearest first."""
    old = element.value
    for factor in (10.0, 0.1):
        clear = clearance(pin, sweep(ratio, (element,), np.array([[old * factor]])), code)
        if clear[0] > CLEAR / 2 and pool.has(old * factor):
            why = f"{element.path} is {'a tenth of' if factor > 1 else 'ten times'} what reads code {code}"
            yield Candidate((element.changed(old * factor),), why, 1, DECADE)
    choice = np.array(pool.between(old / 30, old * 30))
    if not choice.size:
        return
    clear = clearance(pin, sweep(ratio, (element,), choice[:, None]), code)
    good = choice[clear > CLEAR]
    for value in good[np.argsort(np.abs(np.log(good / old)), kind="stable")][:_SINGLES]:
        why = f"the nearest value of {element.path} that reads code {code} with room"
        yield Candidate((element.changed(float(value)),), why, 1, 2)
    if clear.max() > CLEAR:
        why = f"{element.path} moved to the middle of code {code}"
        yield Candidate((element.changed(float(choice[clear.argmax()])),), why, 1, 3)


def _pairs(
    ratio: Dependence, pin: StrapPin, code: int, pair: tuple[Adjustable, Adjustable], pool: Pool
) -> Iterator[Candidate]:
    """Both resistors anew, near the old sum, in the middle of the code."""
    total = sum(element.value for element in pair)
    choice = np.array(pool.between(total / 12, total * 1.2))
    grid = np.stack(np.meshgrid(choice, choice), axis=-1).reshape(-1, 2)
    near = grid[np.abs(np.log((grid / total).sum(axis=1))) < 0.25]
    if not len(near):
        return
    clear = clearance(pin, sweep(ratio, pair, near), code)
    for row in np.argsort(-clear, kind="stable")[:_PAIRS]:
        if clear[row] > CLEAR:
            changes = tuple(e.changed(float(v)) for e, v in zip(pair, near[row], strict=True))
            yield Candidate(changes, f"a pair in the middle of code {code}", 2, 4)
