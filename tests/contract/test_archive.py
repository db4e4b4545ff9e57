"""Reviews of many boards as real processes: streamed, interrupted, resumed, bereft of a worker, lied to."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, Ran, lay, tickproof

BOARDS = 24
DAY = ["--date", "2026-03-31"]


@pytest.fixture
def user(tmp_path: Path) -> dict[str, str]:
    """The environment of a user with nothing kept yet."""
    home = tmp_path / "home"
    return {"XDG_CACHE_HOME": str(home / "cache"), "XDG_STATE_HOME": str(home / "state")}


@pytest.fixture
def boards(tmp_path: Path) -> Path:
    """A folder of many boards: every third fails, one is empty."""
    files = {f"b{n:02}.cir": WRONG_RATE if n % 3 == 1 else CLEAN for n in range(BOARDS)} | {"b07.cir": ""}
    lay(tmp_path / "boards", files)
    return tmp_path / "boards"


def kept(user: dict[str, str]) -> Path:
    """The file of outcomes of a user."""
    return Path(user["XDG_CACHE_HOME"]) / "tickproof" / "outcomes.sqlite"


def count(user: dict[str, str]) -> int:
    """How many outcomes are kept."""
    with closing(sqlite3.connect(kept(user))) as base:
        return int(base.execute("SELECT count(*) FROM outcomes_1").fetchone()[0])


def scripted(folder: Path, script: str, arguments: Sequence[str], user: dict[str, str]) -> Ran:
    """The command with something of it changed by a script, run as a process."""
    done = subprocess.run(
        [sys.executable, "-c", script + "\nfrom drc.cli import command\ncommand()", *arguments],
        cwd=folder,
        env=os.environ | {"COLUMNS": "80"} | user,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def test_jobs_and_memory_change_no_byte(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """One process, four, and a run that does nothing anew print and write the same, in every format."""
    runs = []
    for number, more in enumerate((["--jobs", "1", "--no-cache"], ["--jobs", "4"], ["--jobs", "2"])):
        reports = [f"{form}=r{number}.{form}" for form in ("json", "sarif", "junit", "csv", "html")]
        fleets = [f"{form}=f{number}.{form}" for form in ("json", "csv", "html")]
        asked = ["review", str(boards), *DAY, *more, "--report", *reports, "--fleet", *fleets]
        ran = tickproof(tmp_path, asked, **user)
        names = [text.partition("=")[2] for text in (*reports, *fleets)]
        runs.append((ran, [(tmp_path / name).read_bytes() for name in names]))
    assert runs[0][0].code == 2
    assert runs[0] == runs[1] == runs[2]


def test_known_findings_are_the_same_over_many(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """What was accepted is known on the next run, whether outcomes are kept or not."""
    known = ["--known", "known.json"]
    tickproof(tmp_path, ["review", str(boards), *DAY, *known, "--accept"], **user)
    one, two = (
        tickproof(tmp_path, ["review", str(boards), *DAY, *known, *more], **user)
        for more in ([], ["--no-cache"])
    )
    assert one == two
    assert f"gate NOT passed: 0 at error, {BOARDS // 3 - 1} known, 1 board not read" in one.out


def test_the_fleet_stands_at_the_end(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """Many boards end in what they come to together; the last line still counts blocks and verdicts."""
    ran = tickproof(tmp_path, ["review", str(boards), *DAY], **user)
    lines = ran.out.splitlines()
    assert "all together: 24 boards, 23 blocks" in lines
    assert [line.split()[:2] for line in lines if line.startswith(("  passed", "  failed", "  unread"))] == [
        ["passed", "16"],
        ["failed", "7"],
        ["unread", "1"],
    ]
    assert lines[-1].startswith("23 blocks: ")


def running(folder: Path, arguments: Sequence[str], user: dict[str, str]) -> "subprocess.Popen[str]":
    """The command begun as the leader of a group of processes of its own."""
    return subprocess.Popen(
        [str(COMMAND), *arguments],
        cwd=folder,
        env=os.environ | {"COLUMNS": "80"} | user,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def gone(group: int) -> bool:
    """Whether, a little later at most, no process of a group is left."""
    for _ in range(100):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="groups of processes as POSIX has them")
@pytest.mark.parametrize("whom", ["command", "group"])
def test_an_interrupted_run_is_resumed(tmp_path: Path, boards: Path, user: dict[str, str], whom: str) -> None:
    """Interrupted on the way: 130, no process left, no report; what was done is kept for the next run."""
    lay(boards, {f"c{n:03}.cir": CLEAN.replace("Tide", f"Tide {n}") for n in range(60)})
    asked = ["review", str(boards), *DAY, "--draws", "200", "--report", "json=r.json", "--jobs", "2"]
    child = running(tmp_path, asked, user)
    assert child.stdout is not None
    first = child.stdout.readline()
    (os.kill if whom == "command" else os.killpg)(child.pid, signal.SIGINT)
    _, err = child.communicate(timeout=60)
    assert first.startswith("boards/b01.cir:")
    assert (child.returncode, err) == (130, "")
    assert gone(child.pid)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["boards", "home"]
    done = count(user)
    assert 0 < done < BOARDS + 60
    resumed = tickproof(tmp_path, asked, **user)
    report = (tmp_path / "r.json").read_bytes()
    assert resumed == tickproof(tmp_path, [*asked, "--no-cache"], **user)
    assert report == (tmp_path / "r.json").read_bytes()


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="groups of processes as POSIX has them")
def test_no_worker_outlives_a_command_that_was_killed(
    tmp_path: Path, boards: Path, user: dict[str, str]
) -> None:
    """Even where the command has no chance to tidy up, its processes end, and nobody waits on its output."""
    lay(boards, {f"c{n:03}.cir": CLEAN.replace("Tide", f"Tide {n}") for n in range(60)})
    child = running(tmp_path, ["review", str(boards), *DAY, "--jobs", "2"], user)
    assert child.stdout is not None
    child.stdout.readline()
    child.kill()
    child.communicate(timeout=60)
    assert gone(child.pid)


DEADLY = """
import os, signal
from pathlib import Path
import drc.gate.work as work
review = work.review_board
def deadly(path, project):
    mark = Path("mark")
    if path.name == "b05.cir" and {again}:
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return review(path, project)
work.review_board = deadly
"""


def test_a_board_that_takes_its_worker_with_it_stops_no_other(
    tmp_path: Path, boards: Path, user: dict[str, str]
) -> None:
    """A worker killed at each try: that board is an entry with its error, all others are as ever."""
    asked = ["review", str(boards), *DAY, "--report", "json=r.json", "--jobs", "2"]
    ran = scripted(tmp_path, DEADLY.format(again=True), asked, user)
    met = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["boards"]
    tickproof(tmp_path, [*asked, "--no-cache"], **user)
    usual = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["boards"]
    assert ran.code == 2
    assert ran.err == ""
    assert "ended from outside" in met[5]["error"]
    assert [board for board in met if board["path"] != "boards/b05.cir"] == [*usual[:5], *usual[6:]]


def test_a_worker_that_is_lost_once_costs_nothing(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """A worker killed by chance: one more try, and the run is as any other."""
    asked = ["review", str(boards), *DAY, "--jobs", "2"]
    ran = scripted(tmp_path, DEADLY.format(again="not mark.exists()"), asked, user)
    assert (tmp_path / "mark").exists()
    assert ran == tickproof(tmp_path, asked, **user)


def test_a_poisoned_entry_lets_no_board_pass(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """With a good board's outcome written over every entry, failing boards fail as before."""
    asked = ["review", str(boards), *DAY]
    first = tickproof(tmp_path, asked, **user)
    with closing(sqlite3.connect(kept(user))) as base, base:
        rows = base.execute("SELECT seal, value FROM outcomes_1").fetchall()
    for seal, value in (rows[0], rows[-1]):
        with closing(sqlite3.connect(kept(user))) as base, base:
            base.execute("UPDATE outcomes_1 SET seal = ?, value = ?", (seal, value))
        assert tickproof(tmp_path, asked, **user) == first


@pytest.mark.parametrize("place", ["a file", "a folder that others can write to", "garbage"])
def test_nothing_depends_on_what_is_kept(
    tmp_path: Path, boards: Path, user: dict[str, str], place: str
) -> None:
    """Where the cache cannot be used, the run is as any other, and says nothing of it."""
    folder = kept(user).parent
    if place == "a file":
        folder.parent.mkdir(parents=True)
        folder.write_text("no folder")
    elif place == "garbage":
        folder.mkdir(parents=True, mode=0o700)
        kept(user).write_bytes(b"garbage" * 500)
    else:
        folder.mkdir(parents=True)
        folder.chmod(0o777)
    asked = ["review", str(boards), *DAY]
    assert tickproof(tmp_path, asked, **user) == tickproof(tmp_path, [*asked, "--no-cache"], **user)


def test_two_runs_at_once_do_not_disturb_each_other(
    tmp_path: Path, boards: Path, user: dict[str, str]
) -> None:
    """Two runs over one archive at the same time, with one cache: both give what one alone gives."""
    asked = ["review", str(boards), *DAY, "--jobs", "2"]
    children = [running(tmp_path, asked, user) for _ in range(2)]
    outs = [child.communicate(timeout=60) for child in children]
    alone = tickproof(tmp_path, [*asked, "--no-cache"], **user)
    assert outs == [(alone.out, alone.err)] * 2
    assert count(user) == BOARDS


LOADED = """
import sys
from drc.cli import main
main(sys.argv[1:])
print(sorted({"sqlite3", "multiprocessing", "concurrent.futures"} & set(sys.modules)), file=sys.stderr)
"""


def test_a_few_boards_load_nothing_of_this(tmp_path: Path, boards: Path, user: dict[str, str]) -> None:
    """A hook's review of one board opens no base and starts no process."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, "review", str(boards / "b00.cir"), *DAY],
        cwd=tmp_path,
        env=os.environ | user,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.stderr == "[]\n"
    assert not kept(user).exists()
