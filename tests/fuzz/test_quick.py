"""Some mutants of every kind at each run of the tests; many more with `python -m tests.fuzz`."""

import subprocess
import sys
from random import Random

import pytest

from drc.resources import data_root
from tests.fuzz.mutate import mutant
from tests.fuzz.seeds import KINDS, SHARES, seeds


def test_some_mutants_of_every_kind_break_nothing() -> None:
    """No traceback, no bug told, no hang, no memory beyond the bound."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz", "--mutants", "200", "--seed", "1"],
        cwd=data_root(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert all(kind in done.stdout for kind in KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_mutant_is_the_same_for_the_same_random_numbers(kind: str) -> None:
    """So that what broke can be made again; and mutants are no copies of their seeds."""
    one, other = ([mutant(seeds(kind), Random(n)) for n in range(20)] for _ in range(2))
    assert one == other
    assert len({*one, *seeds(kind)}) > len(set(seeds(kind))) + 10
    assert kind in SHARES
