"""How many processes serve how many boards."""

import pytest

from drc.gate.effort import MANY
from drc.gate.jobs import jobs_for


@pytest.mark.parametrize(
    ("boards", "asked", "jobs"),
    [(1, None, 1), (MANY - 1, None, 1), (5, 2, 2), (5, 9, 5), (0, 4, 1)],
)
def test_jobs_follow_the_boards(boards: int, asked: int | None, jobs: int) -> None:
    """One process for few boards; never more than there are boards; what is asked for otherwise."""
    assert jobs_for(boards, asked) == jobs


def test_many_boards_use_what_there_is() -> None:
    """An archive is worth every core."""
    assert 1 <= jobs_for(1000, None) <= 1000
