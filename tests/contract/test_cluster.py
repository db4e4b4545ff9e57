"""An archive reviewed by a real cluster on this machine, one of whose two workers is killed on the way."""

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, lay, tickproof

pytest.importorskip("distributed", reason="the optional part for clusters is not installed")

DASK = [sys.executable, "-m", "dask"]
DAY = ["--date", "2026-03-31", "--no-cache"]


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def begin(*arguments: str) -> "subprocess.Popen[bytes]":
    """A process of the cluster, silent."""
    return subprocess.Popen([*DASK, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


class Processes(NamedTuple):
    """A cluster on this machine: where its scheduler listens, the scheduler, two workers."""

    address: str
    scheduler: "subprocess.Popen[bytes]"
    workers: tuple["subprocess.Popen[bytes]", "subprocess.Popen[bytes]"]


@pytest.fixture
def cluster() -> Iterator[Processes]:
    """A cluster that is starting."""
    port = free_port()
    address = f"tcp://127.0.0.1:{port}"
    scheduler = begin("scheduler", "--host", "127.0.0.1", "--port", str(port), "--no-dashboard")
    one = ["worker", address, "--nthreads", "1", "--no-nanny", "--no-dashboard", "--death-timeout", "60"]
    workers = (begin(*one), begin(*one))
    try:
        yield Processes(address, scheduler, workers)
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait(timeout=20)


def begun(folder: Path, address: str) -> tuple["subprocess.Popen[str]", str]:
    """A review of `boards` on the cluster, and its first line; again until a worker has come up."""
    asked = ["review", "boards", *DAY, "--engine", "dask", "--scheduler", address]
    for _ in range(3):
        child = subprocess.Popen(
            [str(COMMAND), *asked], cwd=folder, env=os.environ | {"COLUMNS": "80"}, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        assert child.stdout is not None
        first = child.stdout.readline()
        if first:
            return child, first
        told = child.communicate(timeout=30)[1]
    pytest.fail(f"no review began: {told}")


def boards(count: int) -> dict[str, str]:
    """So many boards, each fourth with a finding."""
    return {f"boards/b{n:03}.cir": WRONG_RATE if n % 4 == 0 else CLEAN for n in range(count)}


def test_a_cluster_gives_the_same_bytes_though_a_worker_is_killed(tmp_path: Path, cluster: Processes) -> None:
    """With one of two workers killed once findings come in, all boards are reviewed as on one machine."""
    lay(tmp_path, boards(32))
    child, first = begun(tmp_path, cluster.address)
    cluster.workers[0].kill()
    out, err = child.communicate(timeout=60)
    alone = tickproof(tmp_path, ["review", "boards", *DAY])
    assert (child.returncode, first + out, err) == alone


def test_a_scheduler_that_dies_is_told_in_a_line(tmp_path: Path, cluster: Processes) -> None:
    """Killed on the way: exit 2 within bounds, what to do, and nothing of what its library logs."""
    lay(tmp_path, boards(400))
    child, _ = begun(tmp_path, cluster.address)
    cluster.scheduler.kill()
    _, err = child.communicate(timeout=60)
    kept = "run again: what was reviewed until now is remembered"
    assert child.returncode == 2
    assert err.splitlines() == [f"--scheduler: error: {cluster.address} went away; {kept}"]


BARE = """
import sys
sys.modules["drc"] = None
from distributed.cli.dask_scheduler import main
main()
"""


def test_a_scheduler_without_tickproof_is_told_with_what_to_do(tmp_path: Path) -> None:
    """A scheduler unpacks the work before it hands it on: one that cannot is exit 2, not a bug of ours."""
    lay(tmp_path, {"a.cir": CLEAN})
    port = free_port()
    listening = ["--host", "127.0.0.1", "--port", str(port), "--no-dashboard"]
    with subprocess.Popen(
        [sys.executable, "-c", BARE, *listening], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as scheduler:
        try:
            address = f"tcp://127.0.0.1:{port}"
            ran = tickproof(tmp_path, ["review", "a.cir", *DAY, "--engine", "dask", "--scheduler", address])
        finally:
            scheduler.kill()
    assert ran.code == 2
    assert "cannot unpack our work" in ran.err
    assert "install the same there" in ran.err


def test_an_unreachable_scheduler_is_told_within_bounds(tmp_path: Path) -> None:
    """Nobody at the address: exit 2, with what to do, and no review is begun."""
    lay(tmp_path, {"a.cir": CLEAN})
    address = f"tcp://127.0.0.1:{free_port()}"
    ran = tickproof(tmp_path, ["review", "a.cir", *DAY, "--engine", "dask", "--scheduler", address])
    assert (ran.code, ran.out) == (2, "")
    assert "cannot be reached" in ran.err
    assert "expected the address of a dask scheduler" in ran.err


MISSING = """
import sys
sys.modules["distributed"] = None
from drc.cli import command
command()
"""


def test_a_missing_extra_is_told_with_what_to_do(tmp_path: Path) -> None:
    """Without the optional part: exit 2, and the command that installs it."""
    lay(tmp_path, {"a.cir": CLEAN})
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            MISSING,
            "review",
            "a.cir",
            "--engine",
            "dask",
            "--scheduler",
            "tcp://bench:1",
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert 'pip install "tickproof[archive]"' in done.stderr


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--engine", "dask"], "found no --scheduler"),
        (["--scheduler", "tcp://bench:1"], "without --engine dask"),
        (
            ["--engine", "dask", "--scheduler", "tcp://bench:1", "--jobs", "2"],
            "--jobs: found with --engine dask",
        ),
    ],
    ids=["no scheduler", "no engine", "jobs"],
)
def test_options_that_do_not_go_together_are_refused(tmp_path: Path, more: list[str], told: str) -> None:
    """What makes no sense together is exit 2 with the reason."""
    lay(tmp_path, {"a.cir": CLEAN})
    ran = tickproof(tmp_path, ["review", "a.cir", *more])
    assert ran.code == 2
    assert told in ran.err
