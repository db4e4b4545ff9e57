"""Mutants run by processes of their own, watched from outside: time, memory, and whether they live."""

import multiprocessing as mp
import os
import resource
import shutil
import tempfile
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path
from time import process_time
from typing import NamedTuple

from tests.fuzz.trial import Outcome, made, remember_built_in, trial

BATCH = 400
"""Mutants that a process does before a fresh one takes over."""

PATIENCE = 90.0
"""Seconds without a word after which a process is given up."""

ADDRESS_SPACE = 2 * 1024**3
"""Bytes that a process may ask for."""


class Done(NamedTuple):
    """What came of mutant `number` of a kind; its processor time, and the most memory it held, in bytes."""

    kind: str
    number: int
    outcome: Outcome
    seconds: float
    bytes: int


def run(work: list[tuple[str, int]], seed: int) -> Iterator[Done]:
    """Runs mutants, given as kind and number, in order; one that ends or blocks its process is wrong."""
    context = mp.get_context("fork")
    remember_built_in()
    while work:
        batch, work = work[:BATCH], work[BATCH:]
        receiver, sender = context.Pipe(duplex=False)
        process = context.Process(target=_work, args=(batch, seed, sender))
        process.start()
        sender.close()
        finished = 0
        while finished < len(batch):
            kind, number = batch[finished]
            try:
                done = receiver.recv() if receiver.poll(PATIENCE) else None
            except EOFError:
                done = Done(kind, number, Outcome(None, None, "the process died"), 0.0, 0)
            if done is None:
                process.kill()
                done = Done(kind, number, Outcome(None, None, "the process did not answer"), PATIENCE, 0)
            finished += 1
            try:
                yield done
            except GeneratorExit:
                process.kill()
                raise
            if done.outcome.wrong.startswith("the process"):
                break
        process.join()
        work = batch[finished:] + work


def _work(batch: list[tuple[str, int]], seed: int, sender: Connection) -> None:
    """A process's share, in a folder of its own."""
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESS_SPACE, ADDRESS_SPACE))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    home = Path(tempfile.mkdtemp(prefix="fuzz-"))
    os.environ["XDG_CACHE_HOME"] = str(home / "cache")
    os.environ["XDG_STATE_HOME"] = str(home / "state")
    try:
        for kind, number in batch:
            folder = home / "project"
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            _forget_peak()
            start = process_time()
            outcome = trial(kind, *made(kind, seed, number), folder)
            sender.send(Done(kind, number, outcome, process_time() - start, _peak()))
    finally:
        os.chdir("/")
        shutil.rmtree(home, ignore_errors=True)


def _forget_peak() -> None:
    """Starts the count of peak memory anew, where the system has a way to (Linux: proc(5), clear_refs)."""
    try:
        Path("/proc/self/clear_refs").write_text("5")
    except OSError:
        return


def _peak() -> int:
    """The most memory that this process held, in bytes."""
    try:
        status = Path("/proc/self/status").read_text()
        return int(status.split("VmHWM:")[1].split()[0]) * 1024
    except (OSError, IndexError):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
