"""Outcomes kept between runs: always what a fresh review would give, and never trusted without reason."""

import os
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drc.gate import cache as module
from drc.gate.archive import encoded_outcomes
from drc.gate.cache import FILE, Cache
from drc.gate.outcome_codec import decode_outcome
from drc.gate.project import Project, Request, open_project
from drc.gate.streaming import Answer
from drc.gate.work import work_on
from tests.contract.running import CLEAN, WRONG_RATE, lay

INCLUDES = CLEAN.replace("R3  RT  0   100k\n", ".include rate.inc\n")


class Here:
    """An engine that does the work at once, and notes what it did."""

    room = 1
    patience: float | None = None

    def __init__(self, project: Project) -> None:
        self.done: list[str] = []
        self._project = project

    def submit(self, board: Path) -> "Future[Answer]":
        """Does a board."""
        self.done.append(board.name)
        future: Future[Answer] = Future()
        future.set_result(work_on(board, self._project))
        return future

    def is_lost(self, error: BaseException) -> bool:
        """Nothing is lost here."""
        return False

    def alone(self, board: Path) -> Answer | None:
        """Nothing is tried again here."""

    def check(self) -> None:
        """Nothing can go away here."""

    def close(self) -> None:
        """There is nothing to close."""


@pytest.fixture(autouse=True)
def own_folders(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A user of its own for each test, with nothing kept yet."""
    with tempfile.TemporaryDirectory() as folder:
        monkeypatch.setenv("XDG_CACHE_HOME", f"{folder}/cache")
        monkeypatch.setenv("XDG_STATE_HOME", f"{folder}/state")
        yield Path(folder) / "cache" / "tickproof"


def asked(folder: Path, **more: Any) -> Project:  # noqa: ANN401  (whatever a request takes)
    """The project of a folder."""
    given = {"date": "2026-03-31", "paths": [folder], "depth": "verdicts"} | more
    return open_project(Request(**given))


def run(project: Project, largest: int = module.LARGEST) -> tuple[list[bytes], list[str]]:
    """The outcomes of a run that may use what is kept, and the boards that it did itself."""
    engine = Here(project)
    return list(encoded_outcomes(project, engine, Cache(project, largest))), engine.done


def fresh(project: Project) -> list[bytes]:
    """The outcomes of a run without anything kept."""
    return list(encoded_outcomes(project, Here(project)))


def archive(folder: Path) -> Path:
    """Three boards, one of which includes a file, and one that fails."""
    lay(folder, {"a.cir": CLEAN, "b.cir": INCLUDES, "c.cir": WRONG_RATE, "rate.inc": "R3 RT 0 100k\n"})
    lay(folder, {"own.toml": '[part.OWN]\nlike = "HA10"\n'})
    return folder


def test_what_has_not_changed_is_not_done_again(tmp_path: Path) -> None:
    """The second run does nothing and gives the same bytes; a change costs the boards that it reaches."""
    archive(tmp_path)
    first, done = run(asked(tmp_path))
    assert done == ["a.cir", "b.cir", "c.cir"]
    assert run(asked(tmp_path)) == (first, [])
    lay(tmp_path, {"rate.inc": "R3 RT 0 47k\n"})
    second, done = run(asked(tmp_path))
    assert done == ["b.cir"]
    assert second == fresh(asked(tmp_path))
    lay(tmp_path, {"rate.inc": "R3 RT 0 100k\n"})
    assert run(asked(tmp_path))[0] == first


def write(name: str, text: str) -> Callable[[Path], None]:
    """An edit that writes a file."""
    return lambda folder: lay(folder, {name: text})


def drop(name: str) -> Callable[[Path], None]:
    """An edit that takes a file away."""
    return lambda folder: (folder / name).unlink(missing_ok=True)


def link(name: str, target: str) -> Callable[[Path], None]:
    """An edit that makes a name lead to another file."""

    def edit(folder: Path) -> None:
        (folder / name).unlink(missing_ok=True)
        (folder / name).symlink_to(target)

    return edit


STATED = "expect XU1 frequency 10kHz +/- 1%\n"
EDITS: dict[str, Callable[[Path], None]] = {
    "another board": write("a.cir", WRONG_RATE),
    "the board as it was": write("a.cir", CLEAN),
    "a broken board": write("a.cir", ""),
    "a board gone": drop("a.cir"),
    "a board more": write("d.cir", CLEAN),
    "another include": write("rate.inc", "R3 RT 0 47k\n"),
    "the include as it was": write("rate.inc", "R3 RT 0 100k\n"),
    "no include": drop("rate.inc"),
    "a file that includes": write("rate.inc", ".include deep.inc\n"),
    "the deeper file": write("deep.inc", "R3 RT 0 51k\n"),
    "no deeper file": drop("deep.inc"),
    "a link": link("rate.inc", "deep.inc"),
    "a link elsewhere": link("deep.inc", "c.cir"),
    "statements": write("a.intent", STATED),
    "no statements": drop("a.intent"),
    "statements of its own": write("a.cir.intent", STATED.replace("10kHz", "8kHz")),
    "none of its own": drop("a.cir.intent"),
    "a namesake": write("a.net", CLEAN),
    "no namesake": drop("a.net"),
    "a bill of materials": write("a.bom.csv", "designator,tolerance\nR3,5%\n"),
    "no bill of materials": drop("a.bom.csv"),
    "settings": write("tickproof.toml", '[assume]\nresistor-tolerance = "5%"\n'),
    "settings of the seed": write("tickproof.toml", "[spread]\nseed = 7\ndraws = 200\n"),
    "settings of the gate": write("tickproof.toml", 'gate = "note"\n'),
    "derating": write("tickproof.toml", '[derating]\npower = "10%"\n'),
    "settings with a part": write("tickproof.toml", 'parts = ["own.toml"]\n'),
    "no settings": drop("tickproof.toml"),
    "a part": write("own.toml", '[part.OWN]\nlike = "HA10"\ntitle = "own"\n'),
    "the part otherwise": write("own.toml", '[part.OWN]\nlike = "HA20"\ntitle = "own"\n'),
}
"""What may happen to an archive between two runs."""


@pytest.mark.parametrize("edit", EDITS)
def test_each_edit_is_seen(tmp_path: Path, edit: str) -> None:
    """One edit after a run: the next run gives the bytes of a fresh one."""
    archive(tmp_path)
    run(asked(tmp_path))
    EDITS[edit](tmp_path)
    assert run(asked(tmp_path))[0] == fresh(asked(tmp_path))


@pytest.mark.parametrize(
    "steps",
    [
        ["no include", "the include as it was"],
        ["a file that includes", "the deeper file"],
        ["the deeper file", "a link", "the include as it was"],
        ["a link elsewhere", "a link", "the deeper file"],
        ["statements", "a namesake"],
        ["statements", "statements of its own"],
        ["a bill of materials", "no bill of materials"],
    ],
    ids=" then ".join,
)
def test_what_was_looked_for_and_was_not_there_is_seen(tmp_path: Path, steps: list[str]) -> None:
    """A file that comes to be, goes, or is led to elsewhere is a change as any other."""
    archive(tmp_path)
    for step in steps:
        EDITS[step](tmp_path)
        assert run(asked(tmp_path))[0] == fresh(asked(tmp_path))


def test_a_link_that_leads_elsewhere_is_a_change(tmp_path: Path) -> None:
    """The same bytes under another name: places in findings name the file that was read."""
    files = {"one.inc": "R3 RT 0 47k\n", "two.inc": "R3 RT 0 47k\n"}
    lay(tmp_path, {"b.cir": INCLUDES, **files})
    link("rate.inc", "one.inc")(tmp_path)
    before, _ = run(asked(tmp_path))
    link("rate.inc", "two.inc")(tmp_path)
    after, _ = run(asked(tmp_path))
    assert after == fresh(asked(tmp_path)) != before


@given(
    st.lists(st.lists(st.sampled_from(sorted(EDITS)), min_size=1, max_size=2), min_size=1, max_size=5),
    st.sampled_from(["verdicts", "facts"]),
)
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
def test_what_is_kept_is_what_a_fresh_review_gives(rounds: list[list[str]], depth: str) -> None:
    """Whatever is edited between runs, a run that uses what is kept gives the bytes of one that does not."""
    with tempfile.TemporaryDirectory() as name:
        folder = archive(Path(name))
        for edits in rounds:
            for edit in edits:
                EDITS[edit](folder)
            project = asked(folder, depth=depth)
            assert run(project)[0] == fresh(project)


@pytest.mark.parametrize("more", [{"seed": 9}, {"draws": 300}, {"depth": "facts"}], ids=str)
def test_what_bears_on_outcomes_is_part_of_what_is_asked(tmp_path: Path, more: dict[str, Any]) -> None:
    """Seed, draws and depth: with another, nothing that is kept serves."""
    archive(tmp_path)
    run(asked(tmp_path))
    assert len(run(asked(tmp_path, **more))[1]) == 3


@pytest.mark.parametrize("more", [{"gate": "note"}, {"date": "2027-01-01"}], ids=str)
def test_what_does_not_bear_on_outcomes_costs_nothing(tmp_path: Path, more: dict[str, Any]) -> None:
    """The gate, and the day where no acceptance ends: what is kept serves."""
    archive(tmp_path)
    run(asked(tmp_path))
    assert run(asked(tmp_path, **more))[1] == []


def test_an_acceptance_that_ends_is_looked_at_each_day(tmp_path: Path) -> None:
    """Where the day bears on a ruling, another day is another review."""
    accept = '*@ accept timing-outside-intent at XU1 because "bench" by "owner" until 2026-04-30\n'
    lay(tmp_path, {"a.cir": WRONG_RATE.replace("V1 ", accept + "V1 ", 1)})
    before, _ = run(asked(tmp_path))
    after, done = run(asked(tmp_path, date="2026-05-01"))
    assert done == ["a.cir"]
    states = [{ruling.state for ruling in decode_outcome(each[0]).rulings} for each in (before, after)]
    assert "accepted" in states[0]
    assert "accepted" not in states[1]


def entries(folder: Path) -> list[tuple[str, bytes, bytes]]:
    """What is kept: key, seal and value of each entry."""
    with closing(sqlite3.connect(folder / FILE)) as base:
        return list(base.execute("SELECT key, seal, value FROM outcomes_1 ORDER BY key"))


def poison(folder: Path, statement: str, *values: object) -> None:
    """Changes what is kept behind our back."""
    with closing(sqlite3.connect(folder / FILE)) as base, base:
        base.execute(statement, values)


def test_an_entry_put_in_the_place_of_another_is_not_believed(tmp_path: Path, own_folders: Path) -> None:
    """A good board's outcome, seal and all, in a failing board's place does not make it pass."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    for _, seal, value in entries(own_folders):
        poison(own_folders, "UPDATE outcomes_1 SET seal = ?, value = ?", seal, value)
        outcomes, done = run(asked(tmp_path))
        assert outcomes == first
        assert len(done) == 2


@pytest.mark.parametrize("at", [0, 10, -1])
def test_a_changed_entry_is_not_believed(tmp_path: Path, own_folders: Path, at: int) -> None:
    """One byte changed in every value: all of it is done again, and kept anew."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    for key, _, value in entries(own_folders):
        spoilt = bytearray(value)
        spoilt[at] ^= 1
        poison(own_folders, "UPDATE outcomes_1 SET value = ? WHERE key = ?", bytes(spoilt), key)
    assert run(asked(tmp_path)) == (first, ["a.cir", "b.cir", "c.cir"])
    assert run(asked(tmp_path)) == (first, [])


def test_what_another_user_kept_is_not_believed(
    tmp_path: Path, own_folders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With another key, as where a cache was handed on, nothing of it serves."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    monkeypatch.setenv("XDG_STATE_HOME", str(own_folders / "other"))
    assert run(asked(tmp_path)) == (first, ["a.cir", "b.cir", "c.cir"])


@pytest.mark.parametrize(
    "value", [None, 5, "text", b"", b"\x78\x01"], ids=["null", "number", "text", "empty", "cut"]
)
def test_values_of_another_kind_are_misses(tmp_path: Path, own_folders: Path, value: object) -> None:
    """Whatever stands where a value should, the work is done."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    poison(own_folders, "UPDATE outcomes_1 SET value = ?", value)
    assert run(asked(tmp_path))[0] == first


def test_a_file_that_is_no_base_is_made_anew(tmp_path: Path, own_folders: Path) -> None:
    """Garbage in its place: the run goes on without, and the next one keeps again."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    for ending in ("-wal", "-shm"):
        (own_folders / f"{FILE}{ending}").unlink(missing_ok=True)
    (own_folders / FILE).write_bytes(b"garbage" * 1000)
    assert run(asked(tmp_path))[0] == first
    run(asked(tmp_path))
    assert run(asked(tmp_path)) == (first, [])


@pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")
@pytest.mark.parametrize("what", ["folder", "file"])
def test_what_others_can_write_is_not_read(tmp_path: Path, own_folders: Path, what: str) -> None:
    """A folder or a file that others may write to serves nobody."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    (own_folders if what == "folder" else own_folders / FILE).chmod(0o777)
    assert run(asked(tmp_path)) == (first, ["a.cir", "b.cir", "c.cir"])


def test_a_base_that_somebody_holds_is_done_without(
    tmp_path: Path, own_folders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While another process holds the file to itself, the work is done without it."""
    archive(tmp_path)
    first, _ = run(asked(tmp_path))
    lay(tmp_path, {"d.cir": CLEAN})
    monkeypatch.setattr(module, "_WAIT_S", 0.01)
    with closing(sqlite3.connect(own_folders / FILE, isolation_level=None)) as base:
        base.execute("BEGIN IMMEDIATE")
        outcomes, done = run(asked(tmp_path))
    assert outcomes[:3] == first
    assert "d.cir" in done


def test_the_oldest_goes_where_there_is_too_much(tmp_path: Path, own_folders: Path) -> None:
    """What is kept stays within its bound, and what this run used is what stays."""
    archive(tmp_path)
    run(asked(tmp_path))
    sizes = sum(len(value) for _, _, value in entries(own_folders))
    lay(tmp_path, {"c.cir": CLEAN.replace("Tide", "Other")})
    run(asked(tmp_path), largest=sizes)
    kept = entries(own_folders)
    assert sum(len(value) for _, _, value in kept) <= sizes
    assert run(asked(tmp_path))[1] in ([], ["c.cir"])


def test_without_a_folder_for_it_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a cache folder, then without a key as well, the work is done."""
    archive(tmp_path)
    first = fresh(asked(tmp_path))
    for name in ("XDG_CACHE_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, "/dev/null/none")
        assert run(asked(tmp_path)) == (first, ["a.cir", "b.cir", "c.cir"])
