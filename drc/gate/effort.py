"""How much is done for a run: by how many processes or whose, and what earlier runs may save."""

from typing import NamedTuple

MANY = 16
"""From so many boards all cores are used unless the number of jobs is given, and outcomes are kept."""


class Work(NamedTuple):
    """How the work is done: `jobs` processes, None: as many as the number of boards is worth.

    `scheduler` is the address of a cluster that does it instead. `cached`: what earlier runs over many
    boards left behind may serve.
    """

    jobs: int | None = None
    cached: bool = True
    scheduler: str | None = None
