"""How many processes serve how many boards, and how they end."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from drc.gate.effort import MANY
from drc.gate.jobs import jobs_for
from tests.contract.running import CLEAN, lay


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


CUT_SHORT = """
import os
from pathlib import Path
from random import Random
from threading import Thread
from time import sleep

from drc.gate import jobs
from drc.gate.project import Request, open_project

project = open_project(Request(paths=(".",), date="2026-03-31"), ())
jobs.work_on = lambda board, project: bytes(60_000_000)
random = Random(7)
for _ in range(16):
    engine = jobs.Processes(project, Request(paths=(".",), date="2026-03-31"), 2)
    for board in ("a.cir", "b.cir"):
        engine.submit(Path(board).absolute())
    sleep(random.uniform(0.0, 0.5))
    ending = Thread(target=engine.close, daemon=True)
    ending.start()
    ending.join(30)
    if ending.is_alive():
        print("hangs")
        break
else:
    print("ended")
print(end="", flush=True)
os._exit(0)
"""
"""Answers so long that a process is likely to be in the middle of one when it is told to end."""


@pytest.mark.skipif(os.name != "posix", reason="the stand-in for the work is handed on by a fork")
def test_processes_end_at_once_also_in_the_middle_of_an_answer(tmp_path: Path) -> None:
    """Whoever waits for the rest of what a process was writing when it ended waits for ever: nobody does."""
    lay(tmp_path, {"a.cir": CLEAN, "b.cir": CLEAN})
    done = subprocess.run(
        [sys.executable, "-c", CUT_SHORT],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (done.stdout.strip(), done.stderr) == ("ended", "")
