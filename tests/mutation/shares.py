"""What a sample says of all mutants."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import sqrt

from tests.mutation.operators import Mutant
from tests.mutation.trial import Outcome

_Z = 1.96
"""The normal quantile of a 95 % interval."""


def interval(killed: int, tried: int) -> tuple[float, float]:
    """The 95 % interval of a share, by Wilson's score: any text on binomial proportions."""
    if not tried:
        return 0.0, 1.0
    share = killed / tried
    middle = (share + _Z * _Z / (2 * tried)) / (1 + _Z * _Z / tried)
    half = _Z * sqrt(share * (1 - share) / tried + _Z * _Z / (4 * tried * tried)) / (1 + _Z * _Z / tried)
    return middle - half, middle + half


def summary(outcomes: Sequence[Outcome], sites: Sequence[Mutant]) -> Iterator[str]:
    """The share killed of each folder, and of all, each folder weighed by how many mutants it has."""
    total, weighed, variance = 0, 0.0, 0.0
    for folder, group in groupby(sorted(outcomes, key=_folder), key=_folder):
        tried = list(group)
        killed = sum(outcome.killed for outcome in tried)
        low, high = interval(killed, len(tried))
        count = sum(mutant.path.startswith(f"{folder}/") for mutant in sites)
        share = killed / len(tried)
        total += count
        weighed += count * share
        variance += count * count * share * (1 - share) / len(tried)
        yield f"{folder}: {killed} of {len(tried)} killed, {share:.1%} ({low:.1%} .. {high:.1%}) of {count}"
    if total:
        yield f"all: {weighed / total:.1%} +/- {_Z * sqrt(variance) / total:.1%} of {total} mutants"


def _folder(outcome: Outcome) -> str:
    return outcome.mutant.path.rpartition("/")[0]
