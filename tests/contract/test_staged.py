"""What is staged is reviewed, whatever lies in the work tree: by the command alone, without the framework."""

import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.contract.repository import Repository
from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, lay

TEMPLATE = CLEAN.replace("R3  RT  0   100k", "R3  RT  0   {RATE}").replace(
    "V1 ", ".include lib/rate.inc\nV1 "
)
"""A board whose timing resistor stands in an included file."""

RIGHT, WRONG = ".param RATE=100k\n", ".param RATE=47k\n"

OWN_PART = """[part.ZZ90]
title = "steerable oscillator of this house"
source = "invented for the tests"
like = "HA10"
"""
SLOW_PART = OWN_PART + 'timing = { period = "0.5us" }\n'

HOUSE = CLEAN.replace("HA10", "ZZ90")


def repository(folder: Path, files: Mapping[str, str]) -> Repository:
    """A repository in which these files are committed."""
    made = Repository(folder / "repository", files)
    made.git("add", ".")
    assert made.git("commit", "-q", "-m", "begin").code == 0
    return made


def verdict(made: Repository, *arguments: str, at: str = ".") -> int:
    """The exit code of a review of what the staged changes reach, a fault being found in no other way."""
    ran = made.tickproof("review", "--staged", "--touched", *arguments, at=at)
    assert ran.err == "" or ran.code == 2
    assert (ran.code == 1) == ("[timing-outside-intent]" in ran.out)
    return ran.code


def test_a_fix_that_is_not_staged_hides_no_fault(tmp_path: Path) -> None:
    """The staged text is judged, though the work tree is right."""
    made = repository(tmp_path, {"a.cir": CLEAN})
    lay(made.folder, {"a.cir": WRONG_RATE})
    made.git("add", "a.cir")
    lay(made.folder, {"a.cir": CLEAN})
    assert verdict(made) == 1
    assert made.tickproof("review", "a.cir").code == 0


def test_a_fault_that_is_not_staged_fails_nothing(tmp_path: Path) -> None:
    """The work tree is wrong, what is staged is right."""
    made = repository(tmp_path, {"a.cir": CLEAN})
    lay(made.folder, {"a.cir": CLEAN + "* a remark\n"})
    made.git("add", "a.cir")
    lay(made.folder, {"a.cir": WRONG_RATE, "new.cir": WRONG_RATE})
    assert verdict(made) == 0
    assert made.tickproof("review", ".").code == 1


@pytest.mark.parametrize(
    ("files", "name", "right", "wrong"),
    [
        ({"a.cir": TEMPLATE}, "lib/rate.inc", RIGHT, WRONG),
        (
            {"a.cir": CLEAN.replace("*@ expect XU1 frequency 8kHz +/- 6%\n", "")},
            "a.intent",
            "expect XU1 frequency 8kHz +/- 6%\n",
            "expect XU1 frequency 9kHz +/- 6%\n",
        ),
        ({"a.cir": HOUSE, "tickproof.toml": 'parts = ["p/*.toml"]\n'}, "p/own.toml", OWN_PART, SLOW_PART),
        (
            {"a.cir": WRONG_RATE, "tickproof.toml": 'rules = ["**/house.rule"]\n'},
            "house/house.rule",
            'off timing-outside-intent because "lab"\n',
            "level timing-outside-intent error\n",
        ),
        ({"a.cir": WRONG_RATE}, "tickproof.toml", 'boards = ["b*.cir"]\n', 'boards = ["a*.cir"]\n'),
    ],
    ids=["include", "intent", "part file", "rule book", "settings"],
)
def test_every_file_is_read_as_it_is_staged(
    tmp_path: Path, files: Mapping[str, str], name: str, right: str, wrong: str
) -> None:
    """Whatever a verdict hangs on is read out of the index: staged wrong is found, unstaged wrong is not."""
    made = repository(tmp_path, {"b.cir": CLEAN, **files, name: right + "\n"})
    lay(made.folder, {name: right})
    made.git("add", name)
    lay(made.folder, {name: wrong})
    assert verdict(made) == 0
    made.git("add", name)
    lay(made.folder, {name: right})
    assert verdict(made) == 1


def test_a_bill_of_materials_is_read_as_it_is_staged(tmp_path: Path) -> None:
    """A value that the bill of materials gives counts as staged."""
    bill = "designator,value\nR3,{}\n"
    board = CLEAN.replace("R3  RT  0   100k", "R3  RT  0   RATE")
    made = repository(tmp_path, {"a.cir": board, "bom.csv": bill.format("100k")})
    lay(made.folder, {"bom.csv": bill.format("47k")})
    assert verdict(made, "--bom", "bom.csv") == 0
    made.git("add", "bom.csv")
    lay(made.folder, {"bom.csv": bill.format("100k")})
    assert verdict(made, "--bom", "bom.csv") == 1


def test_known_findings_are_read_as_they_are_staged(tmp_path: Path) -> None:
    """A file of known findings that is written and not staged covers nothing yet."""
    made = repository(
        tmp_path, {"a.cir": CLEAN, "known.json": '{"schema": "tickproof-known/1", "findings": []}'}
    )
    lay(made.folder, {"a.cir": WRONG_RATE})
    made.git("add", "a.cir")
    known = ["--known", "known.json"]
    assert made.tickproof("review", "a.cir", *known, "--accept", "all").code == 0
    assert verdict(made, *known) == 1
    made.git("add", "known.json")
    assert made.tickproof("review", "--staged", "--touched", *known).code == 0


def test_nothing_is_written_of_what_is_staged(tmp_path: Path) -> None:
    """--accept would write of the work tree what holds of the index: it is refused."""
    made = repository(tmp_path, {"a.cir": WRONG_RATE})
    ran = made.tickproof("review", "--staged", "--known", "known.json", "--accept")
    assert ran.code == 2
    assert "--accept" in ran.err
    assert not (made.folder / "known.json").exists()


def test_an_include_that_is_not_staged_is_not_there(tmp_path: Path) -> None:
    """A file that would not be part of the commit is missed, though it lies in the work tree."""
    made = repository(tmp_path, {"b.cir": CLEAN})
    lay(made.folder, {"a.cir": TEMPLATE, "lib/rate.inc": RIGHT})
    made.git("add", "a.cir")
    ran = made.tickproof("review", "--staged", "--touched")
    assert ran.code == 1
    assert "'lib/rate.inc' was not found" in ran.out
    made.git("add", "lib/rate.inc")
    assert verdict(made) == 0


def test_new_renamed_and_deleted_files(tmp_path: Path) -> None:
    """A new board is judged, a renamed one under its new name, a deleted one not at all."""
    made = repository(tmp_path, {"a.cir": CLEAN, "b.cir": WRONG_RATE, "c.cir": WRONG_RATE})
    made.git("rm", "-q", "--cached", "c.cir")
    assert verdict(made) == 0
    made.git("mv", "b.cir", "moved.cir")
    ran = made.tickproof("review", "--staged", "--touched")
    assert "moved.cir:5:4: error" in ran.out
    assert "c.cir" not in ran.out
    made.git("reset", "-q", "--hard")
    lay(made.folder, {"new.cir": WRONG_RATE})
    made.git("add", "new.cir")
    assert "new.cir:5:4: error" in made.tickproof("review", "--staged", "--touched").out


def test_a_change_away_from_every_board_costs_nothing(tmp_path: Path) -> None:
    """Nothing staged, nothing that a board hangs on, and no board at all: each passes."""
    made = repository(tmp_path, {"a.cir": WRONG_RATE})
    assert verdict(made) == 0
    lay(made.folder, {"notes.txt": "a note\n"})
    made.git("add", "notes.txt")
    assert verdict(made) == 0
    empty = repository(tmp_path / "other", {"notes.txt": "a note\n"})
    lay(empty.folder, {"more.txt": "a note\n"})
    empty.git("add", "more.txt")
    assert verdict(empty) == 0


def test_the_first_commit_of_a_repository(tmp_path: Path) -> None:
    """With no commit to compare with, everything that is staged is a change."""
    made = Repository(tmp_path / "repository", {"a.cir": WRONG_RATE})
    made.git("add", "a.cir")
    assert verdict(made) == 1


def test_boards_that_are_named_or_all_of_them(tmp_path: Path) -> None:
    """Without --touched every board is read as staged, or those that are named; deleted ones can be named."""
    made = repository(tmp_path, {"a.cir": WRONG_RATE, "hw/b.cir": CLEAN})
    (made.folder / "a.cir").unlink()
    assert made.tickproof("review", "--staged").code == 1
    assert made.tickproof("review", "--staged", "a.cir").code == 1
    assert made.tickproof("review", "--staged", "hw").code == 0
    lay(made.folder, {"c.cir": CLEAN})
    refused = made.tickproof("review", "--staged", "c.cir")
    assert refused.code == 2
    assert "no such file or folder among what is staged" in refused.err


def test_in_a_folder_below_and_with_settings_of_its_own(tmp_path: Path) -> None:
    """Run below the top, paths are told from there, and the settings are those upward from the boards."""
    made = repository(
        tmp_path,
        {"hw/tickproof.toml": 'boards = ["b/*.cir"]\n', "hw/b/a.cir": CLEAN, "other.cir": WRONG_RATE},
    )
    lay(made.folder, {"hw/b/a.cir": WRONG_RATE})
    made.git("add", "hw")
    lay(made.folder, {"hw/b/a.cir": CLEAN, "hw/tickproof.toml": "boards = []\n"})
    ran = made.tickproof("review", "--staged", "--touched", at="hw")
    assert ran.code == 1
    assert ran.out.startswith("b/a.cir:5:4: error")


HOOK = """#!/bin/sh
exec {command} review --staged --touched
"""


def hooked(made: Repository) -> None:
    """Makes git itself run the command at each commit."""
    hook = made.folder / ".git" / "hooks" / "pre-commit"
    hook.write_text(HOOK.format(command=COMMAND), encoding="utf-8")
    hook.chmod(0o755)


def test_git_itself_runs_it(tmp_path: Path) -> None:
    """As a plain hook: a whole commit, one of named files (another index), and one from a folder below."""
    made = repository(tmp_path, {"hw/a.cir": CLEAN, "hw/b.cir": CLEAN})
    hooked(made)
    lay(made.folder, {"hw/a.cir": WRONG_RATE, "hw/b.cir": CLEAN + "* a remark\n"})
    made.git("add", ".")
    assert made.git("commit", "-q", "-m", "both").code == 1
    assert made.git("commit", "-q", "-m", "one", "--", "hw/b.cir").code == 0
    refused = made.run("git", "commit", "-q", "-a", "-m", "other", at="hw")
    assert refused.code == 1
    assert "hw/a.cir:5:4: error" in refused.out + refused.err
    lay(made.folder, {"hw/a.cir": CLEAN})
    assert made.run("git", "commit", "-q", "-m", "none", "--", "a.cir", at="hw").code == 1
    assert made.run("git", "commit", "-q", "-a", "--allow-empty", "-m", "mended", at="hw").code == 0


def test_in_a_second_work_tree(tmp_path: Path) -> None:
    """In a work tree whose `.git` is a file, with an index of its own, that index is read."""
    made = repository(tmp_path, {"a.cir": CLEAN})
    hooked(made)
    made.git("worktree", "add", "-q", "../second")
    second = tmp_path / "second"
    lay(second, {"a.cir": WRONG_RATE})
    assert verdict(made, at="../second") == 0
    made.run("git", "add", "a.cir", at="../second")
    assert verdict(made, at="../second") == 1
    assert verdict(made) == 0
    assert made.run("git", "commit", "-q", "-m", "wrong", at="../second").code == 1
    assert made.git("commit", "-q", "--allow-empty", "-m", "right").code == 0


def test_outside_a_repository_it_is_refused(tmp_path: Path) -> None:
    """Where nothing can be staged, nothing is reviewed and nothing passes."""
    made = Repository(tmp_path / "repository", {})
    lay(tmp_path, {"loose/a.cir": CLEAN})
    made.environment["GIT_CEILING_DIRECTORIES"] = os.fspath(tmp_path)
    ran = made.tickproof("review", "--staged", "a.cir", at="../loose")
    assert ran.code == 2
    assert "expected a folder of a repository" in ran.err
