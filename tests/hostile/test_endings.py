"""Runs that are cut short: a full disk, a reader that is gone, an interrupt at any moment."""

import os
import re
import resource
import signal
import subprocess
from collections.abc import Callable
from functools import partial
from pathlib import Path
from random import Random
from time import monotonic, sleep

import pytest

from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, lay

pytestmark = pytest.mark.skipif(os.name != "posix", reason="limits and signals are those of POSIX")

OURS = re.compile(r'File ".*(?:/bin/tickproof|/drc/|/multiprocessing/|/concurrent/)', re.ASCII)
"""A line of a traceback out of this command.

An interrupt that comes while the interpreter itself starts, before any line of ours has run, is the
interpreter's to tell: it ends by the signal or with an error of its own.
"""


def small_files(size: int = 2000) -> None:
    """No file of this process may grow beyond that many bytes: writing fails there, as on a full disk."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def run(folder: Path, arguments: list[str], before: Callable[[], None] | None = None) -> tuple[int, str]:
    """The command's code and what it said on both streams, through pipes."""
    done = subprocess.run(
        [str(COMMAND), *arguments], cwd=folder, preexec_fn=before, capture_output=True, text=True,
        check=False, timeout=120,
    )  # fmt: skip
    return done.returncode, done.stdout + done.stderr


@pytest.mark.parametrize("form", ["json", "html", "sarif", "junit", "csv"])
def test_a_full_disk_leaves_the_old_report_whole(tmp_path: Path, form: str) -> None:
    """A report that cannot be written is told, the one before it stays, and no half of it is left behind."""
    lay(tmp_path, {"bell.cir": WRONG_RATE, "r": "old"})
    code, told = run(tmp_path, ["review", "bell.cir", "--report", f"{form}=r"], small_files)
    size = len((tmp_path / "r").read_bytes())
    if form in ("csv", "junit") and code == 1:
        assert 3 < size <= 2000
    else:
        assert code == 2
        assert "could not be written" in told
        assert (tmp_path / "r").read_bytes() == b"old"
    assert "Traceback" not in told
    assert "this is a bug" not in told
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bell.cir", "r"]


def test_a_full_disk_leaves_boards_and_known_findings_whole(tmp_path: Path) -> None:
    """Mending and taking down findings write whole files or none."""
    board = WRONG_RATE.replace(".end", "* " + "x" * 2500 + "\n.end")
    lay(tmp_path, {"bell.cir": board})
    code, told = run(tmp_path, ["mend", "bell.cir", "--write"], small_files)
    assert code == 2
    assert "Traceback" not in told
    assert (tmp_path / "bell.cir").read_bytes() == board.encode()
    assert [path.name for path in tmp_path.iterdir()] == ["bell.cir"]


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_full_temporary_folder_is_told_and_leaves_no_report(tmp_path: Path, jobs: str) -> None:
    """Where outcomes of many boards are put aside and there is no room, that ends the run: code 2 and a line.

    What was found before is printed; no report speaks of some of the boards as if they were all.
    """
    lay(tmp_path, {f"{n:02}.cir": WRONG_RATE for n in range(40)} | {"r.json": "old", "temporary/x": ""})
    home = {name: str(tmp_path / "home") for name in ("XDG_CACHE_HOME", "XDG_STATE_HOME")}
    done = subprocess.run(
        [str(COMMAND), "review", ".", "--jobs", jobs, "--report", "json=r.json"], cwd=tmp_path, text=True,
        env=os.environ | home | {"TMPDIR": str(tmp_path / "temporary")}, capture_output=True, check=False,
        preexec_fn=partial(small_files, 60_000), timeout=120,
    )  # fmt: skip
    assert done.returncode == 2, done
    assert "temporary: error: could not be written to: File too large: make room there" in done.stderr
    assert "00.cir:5:4: error: XU1" in done.stdout
    assert (tmp_path / "r.json").read_bytes() == b"old"
    assert [path.name for path in (tmp_path / "temporary").iterdir()] == ["x"]
    for word in ("Traceback", "this is a bug", "gate passed"):
        assert word not in done.stdout + done.stderr


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("review . --jobs 1", "temporary file: error: could not be made: "),
        ("review . --jobs 2", "temporary file: error: could not be made: "),
        ("swap . . --jobs 2", "--jobs: error: no process could be started: "),
    ],
)
def test_where_nothing_can_be_written_at_all_that_is_told(tmp_path: Path, line: str, word: str) -> None:
    """With no room for a byte anywhere, many boards end in code 2 and a line; one board needs none."""
    lay(tmp_path, {"a.cir": WRONG_RATE} | {f"b{n}.cir": CLEAN for n in range(20)})
    code, told = run(tmp_path, line.split(), partial(small_files, 0))
    assert code == 2, told
    assert word in told
    assert "make room" in told
    assert "Traceback" not in told
    assert run(tmp_path, ["review", "a.cir"], partial(small_files, 0))[0] == 1


@pytest.mark.parametrize("line", ["review bell.cir", "review bell.cir --report json=-", "parts"])
def test_a_full_standard_output_is_told_in_a_line(tmp_path: Path, line: str) -> None:
    """Nobody reads what was to be read: code 2 and a line, never a traceback nor a bug."""
    if not Path("/dev/full").exists():
        pytest.skip("there is no /dev/full here")
    lay(tmp_path, {"bell.cir": CLEAN})
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [str(COMMAND), *line.split()], cwd=tmp_path, stdout=full, stderr=subprocess.PIPE, text=True,
            check=False, timeout=120,
        )  # fmt: skip
    assert done.returncode == 2
    assert "standard output: error: could not be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert "this is a bug" not in done.stderr
    assert "Exception ignored" not in done.stderr


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_an_interrupt_at_any_moment_ends_the_run_alone(tmp_path: Path, jobs: str) -> None:
    """130, or the code of a run that was done: no traceback, no half-written file, no process left behind."""
    lay(tmp_path, {f"{n}.cir": WRONG_RATE for n in range(6)})
    whole = monotonic()
    assert run(tmp_path, ["review", ".", "--jobs", jobs, "--report", "json=r.json"])[0] == 1
    whole = monotonic() - whole
    finished = (tmp_path / "r.json").read_bytes()
    random = Random(jobs)
    for _ in range(8):
        (tmp_path / "r.json").write_bytes(b"old")
        child = subprocess.Popen(
            [str(COMMAND), "review", ".", "--jobs", jobs, "--report", "json=r.json"], cwd=tmp_path, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        )  # fmt: skip
        sleep(random.uniform(0.0, 1.1 * whole))
        os.killpg(child.pid, signal.SIGINT)
        out, err = child.communicate(timeout=120)
        assert child.returncode in (130, 1, -signal.SIGINT)
        assert child.returncode == -signal.SIGINT or not OURS.search(out + err)
        assert (tmp_path / "r.json").read_bytes() in (b"old", finished)
        assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]
        with pytest.raises(ProcessLookupError):
            os.killpg(child.pid, 0)
