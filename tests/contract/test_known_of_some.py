"""Known findings where only some boards are reviewed: of the others nothing is said, and nothing is lost."""

import json
from pathlib import Path

import pytest

from tests.contract.repository import Repository
from tests.contract.running import CLEAN, WRONG_RATE, lay, tickproof

KNOWN = ("--known", "known.json")


def entries(folder: Path) -> list[tuple[str, int]]:
    """The boards that the file of known findings speaks of, each with its count."""
    found = json.loads((folder / "known.json").read_text(encoding="utf-8"))["findings"]
    return [(entry["board"], entry["count"]) for entry in found]


@pytest.fixture
def team(tmp_path: Path) -> Repository:
    """A repository with two boards, each with one known finding."""
    made = Repository(tmp_path / "repository", {"a.cir": WRONG_RATE, "b.cir": WRONG_RATE})
    assert made.tickproof("review", ".", *KNOWN, "--accept").code == 0
    made.git("add", ".")
    assert made.git("commit", "-q", "-m", "begin").code == 0
    return made


def test_of_a_board_that_is_not_reviewed_nothing_is_gone(team: Repository) -> None:
    """A change of one board is told what is mended there, and not a word of the other."""
    lay(team.folder, {"a.cir": CLEAN})
    team.git("add", "a.cir")
    for arguments in (["--touched", "a.cir"], ["--staged", "--touched"]):
        ran = team.tickproof("review", *arguments, *KNOWN)
        assert ran.code == 0
        assert ran.out.count("[known-finding-gone]") == 2  # for editors, and on the page
        assert "b.cir" not in ran.out


def test_accepting_some_keeps_the_others(team: Repository) -> None:
    """--accept of the boards that a change reaches drops what is gone there, and keeps every other entry."""
    lay(team.folder, {"a.cir": CLEAN})
    assert team.tickproof("review", "--touched", "a.cir", *KNOWN, "--accept").code == 0
    assert entries(team.folder) == [("b.cir", 1)]
    lay(team.folder, {"a.cir": WRONG_RATE})
    assert team.tickproof("review", "--touched", "a.cir", *KNOWN, "--accept", "all").code == 0
    assert entries(team.folder) == [("a.cir", 1), ("b.cir", 1)]


def test_accepting_nothing_loses_nothing(team: Repository) -> None:
    """--accept of a change that reaches no board leaves the file as it was."""
    before = (team.folder / "known.json").read_bytes()
    lay(team.folder, {"notes.txt": "a note\n"})
    assert team.tickproof("review", "--touched", "notes.txt", *KNOWN, "--accept").code == 0
    assert (team.folder / "known.json").read_bytes() == before


def test_a_board_that_is_taken_away_takes_its_entries_along(team: Repository) -> None:
    """The entries of a board that is gone are told of as gone wherever another board is reviewed."""
    team.git("rm", "-q", "b.cir")
    lay(team.folder, {"a.cir": WRONG_RATE + "* a remark\n"})
    team.git("add", "a.cir")
    ran = team.tickproof("review", "--staged", "--touched", *KNOWN)
    assert ran.code == 0
    assert "known finding is gone" in ran.out
    assert team.tickproof("review", "--touched", "a.cir", *KNOWN, "--accept").code == 0
    assert entries(team.folder) == [("a.cir", 1)]


@pytest.mark.parametrize("text", ["", "{}", '{"schema": "tickproof-known/1", "findings": 3}', "[1,"])
def test_a_wrong_file_is_refused_before_anything_is_done(tmp_path: Path, text: str) -> None:
    """A file that is none of ours ends with 2, is not written over, and no report is written."""
    lay(tmp_path, {"a.cir": CLEAN, "known.json": text})
    for more in ([], ["--accept"], ["--accept", "all"]):
        ran = tickproof(tmp_path, ["review", "a.cir", *KNOWN, *more, "--report", "json=r.json"])
        assert (ran.code, ran.out) == (2, "")
        assert ran.err.startswith("known.json")
    assert (tmp_path / "known.json").read_text(encoding="utf-8") == text
    assert not (tmp_path / "r.json").exists()
