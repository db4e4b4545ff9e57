"""Which elements of a network are thought of changing, by hand."""

from random import Random

import pytest

from drc.facts.dependence import Dependence
from drc.facts.equivalent import Equivalent
from drc.facts.rate import rate_current, rate_network
from drc.repair.sweep import MOST, TOO_MANY, adjustables
from tests.contract.running import CLEAN
from tests.repair.bench import bench


def found(ohms: list[int]) -> list[str]:
    """The paths on a board whose rate pin stands on so many resistors to ground."""
    lines = "".join(f"RT{number} RT 0 {ohm}\n" for number, ohm in enumerate(ohms))
    book = bench(CLEAN.replace("R3  RT  0   100k\n", lines)).book()
    (block,) = book.board.blocks
    current, network = rate_current(book, block), rate_network(book, block)
    assert isinstance(current, Dependence)
    assert isinstance(network, Equivalent)
    return [each.path for each in adjustables(book, network.elements, current)]


def test_all_resistors_of_a_small_network_are_thought_of() -> None:
    """As many as are looked at."""
    assert found([1_000_000] * MOST) == [f"RT{number}" for number in range(MOST)]


@pytest.mark.parametrize("seed", range(5))
def test_of_many_resistors_those_that_move_the_current_most_are_thought_of(seed: int) -> None:
    """In parallel the smallest carry the most current, and doubling one takes half of its own away."""
    ohms = [500_000 * (2 + number) for number in range(3 * MOST)]
    Random(seed).shuffle(ohms)
    least = sorted(ohms)[:MOST]
    assert found(ohms) == [f"RT{number}" for number, ohm in enumerate(ohms) if ohm in least]


def test_of_too_many_resistors_none_is_thought_of() -> None:
    """As many as that are no timing resistor that one value mends; one less still is."""
    assert len(found([1_000_000] * TOO_MANY)) == MOST
    assert found([1_000_000] * (TOO_MANY + 1)) == []
