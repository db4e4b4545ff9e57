"""The swap command as a table: a sentence that must hold, files, arguments, exit code, what is printed."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.contract.running import CLEAN, UNSTATED, WRONG_RATE, lay, tickproof
from tests.gate.repository import commit, needs_git, repository

LOW = CLEAN.replace("100k", "98.8k")
"""The bell at 8.1 kHz: inside what is stated, and inside the old worst-case span."""

NO_BYPASS = CLEAN.replace("C1  VCC 0 100n\n", "")
"""The same without the capacitor that its supply wants: a warning more."""

LIST = "element,part\nXU1,BR10\n"
PAIRS = {"old/a.cir": CLEAN, "old/sub/b.cir": CLEAN, "new/a.cir": CLEAN, "new/sub/b.cir": LOW}


class Case(NamedTuple):
    """One run of the command; `out` and `err` are pieces that must be on the two streams."""

    sentence: str
    arguments: str
    code: int
    out: tuple[str, ...] = ()
    err: tuple[str, ...] = ()
    files: Mapping[str, str | bytes] = {}


CASES = (
    Case("a board replaces itself", "a.cir a.cir", 0, ("a.cir  drop-in", "gate passed", "1 board: 1 drop-in, 0"), (), {"a.cir": CLEAN}),
    Case("two drawings are named both", "a.cir b.cir", 0, ("a.cir to b.cir  drop-in", "R3 100 kohm -> 98.8 kohm"), (), {"a.cir": CLEAN, "b.cir": LOW}),
    Case(
        "values that bring the time back are proposed, and the exit code is that of what they leave",
        "a.cir b.cir",
        0,
        ("drop-in with changed values", "-> R3 47k -> ", "with the edits"),
        (),
        {"a.cir": CLEAN, "b.cir": WRONG_RATE},
    ),
    Case(
        "a part that will not do fails, and why is said first",
        "a.cir --replace list.csv",
        1,
        ("a.cir  not a replacement\n  ", "1 not a replacement", "gate NOT passed"),
        (),
        {"a.cir": CLEAN.replace("3.2V .. 3.4V", "4.9V .. 5.1V").replace("VCC 0 3.3", "VCC 0 5"), "list.csv": LIST},
    ),
    Case("a finding gained below the gate does not fail", "a.cir b.cir --gate error", 1, ("not a replacement",), (), {"a.cir": CLEAN, "b.cir": NO_BYPASS}),
    Case("boards of folders are paired by path", "old new", 0, ("2 boards: 2 drop-in", "old/sub/b.cir to new/sub/b.cir"), (), PAIRS),
    Case("a board that is gone is said, and fails", "old new", 1, ("old/c.cir  only before", "1 board gone"), (), {**PAIRS, "old/c.cir": CLEAN}),
    Case("a board that is new is said, and does no harm", "old new", 0, ("new/c.cir  only after",), (), {**PAIRS, "new/c.cir": CLEAN}),
    Case(
        "boards that a list does not mean are left out and counted",
        ". --replace list.csv",
        1,
        ("1 board left untouched", "1 board: "),
        (),
        {"a.cir": CLEAN, "b.cir": CLEAN.replace("XU1", "XU2"), "list.csv": "element,part\nXU1,HA20\n"},
    ),
    Case(
        "a row that means nothing is told with its place",
        "a.cir --replace list.csv",
        0,
        ("list.csv:3:1: no board has R99",),
        (),
        {"a.cir": CLEAN, "list.csv": "element,part,value\nR3,,98.8k\nR99,,1k\n"},
    ),
    Case("a list that means nothing is refused", "a.cir --replace list.csv", 2, (), ("no row of the list",), {"a.cir": CLEAN, "list.csv": "element,part\nXU9,BR10\n"}),
    Case("a wrong list is refused with line and column", "a.cir --replace list.csv", 2, (), ("list.csv:2:1: error:", "neither a part nor a value"), {"a.cir": CLEAN, "list.csv": "element,part\nXU1,\n"}),
    Case("a missing list is refused", "a.cir --replace list.csv", 2, (), ("list.csv: error: no such file",), {"a.cir": CLEAN}),
    Case("a list that is no text is refused", "a.cir --replace list.csv", 2, (), ("list.csv",), {"a.cir": CLEAN, "list.csv": b"\0\1\2"}),
    Case("one path alone is refused, with what is expected", "a.cir", 2, (), ("found 1 path, expected BEFORE and AFTER",), {"a.cir": CLEAN}),
    Case("a folder and a file are no pair", "a.cir old", 2, (), ("expected two of a kind",), {"a.cir": CLEAN, **PAIRS}),
    Case("two forms at once are refused", "a.cir --replace list.csv --between HEAD HEAD", 2, (), ("expected one of them",), {"a.cir": CLEAN, "list.csv": LIST}),
    Case("a missing board is refused", "a.cir b.cir", 2, (), ("b.cir: error: no such file or folder",), {"a.cir": CLEAN}),
    Case("folders without a board in common are refused", "old new", 2, (), ("no board lies in it at the same path",), {"old/a.cir": CLEAN, "new/b.cir": CLEAN}),
    Case("outside a repository revisions are refused", "a.cir --between HEAD HEAD", 2, (), ("error",), {"a.cir": CLEAN}),
    Case("a board that is no netlist is an error of its own, and the rest is compared", "old new", 2, ("a.cir  drop-in", "not compared\n  the board after: the file is empty", "1 board not compared"), (), {**PAIRS, "new/sub/b.cir": b"\0\0\0\0"}),
    Case("a wrong format is refused with those there are", "a.cir a.cir --report sarif=x", 2, (), ("FORMAT one of json, csv, html",), {"a.cir": CLEAN}),
    Case("an intent file is asked of both boards", "a.cir b.cir --intent want.intent", 1, ("wanted is", "4 kHz"), (), {"a.cir": UNSTATED.replace("100k", "200k"), "b.cir": UNSTATED.replace("R3  RT  0   100k", "R3 RT 0 0.001"), "want.intent": "expect XU1 frequency 4kHz +/- 6%\n"}),
    Case("help says when a part is a replacement", "--help", 0, ("drop-in with changed values", "old part", "worst-case span"), ()),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_case(case: Case, tmp_path: Path) -> None:
    """Each run of the table ends as its sentence says, and never in a traceback."""
    lay(tmp_path, case.files)
    ran = tickproof(tmp_path, ["swap", *case.arguments.split()])
    assert ran.code == case.code, ran
    for piece in case.out:
        assert piece in ran.out
    for piece in case.err:
        assert piece in ran.err
    assert "Traceback" not in ran.out + ran.err


def test_a_report_on_standard_output_leaves_the_page_to_standard_error(tmp_path: Path) -> None:
    """With `-` the report alone is on standard output, the page on standard error."""
    lay(tmp_path, {"a.cir": CLEAN})
    ran = tickproof(tmp_path, ["swap", "a.cir", "a.cir", "--report", "json=-"])
    assert json.loads(ran.out)["schema"] == "tickproof-swap/1"
    assert "1 board: 1 drop-in" in ran.err


def test_every_format_is_written(tmp_path: Path) -> None:
    """Reports in all formats are written beside each other, and nothing where the list is wrong."""
    lay(tmp_path, {"a.cir": CLEAN, "list.csv": LIST, "bad.csv": "part\nBR10\n"})
    reports = ["--report", "json=r.json", "csv=r.csv", "html=r.html"]
    assert tickproof(tmp_path, ["swap", "a.cir", "--replace", "bad.csv", *reports]).code == 2
    assert not list(tmp_path.glob("r.*"))
    tickproof(tmp_path, ["swap", "a.cir", "--replace", "list.csv", *reports])
    assert sorted(path.name for path in tmp_path.glob("r.*")) == ["r.csv", "r.html", "r.json"]


def test_one_job_and_two_print_the_same(tmp_path: Path) -> None:
    """However many processes there are, page and report are the same to the byte."""
    lay(tmp_path, {**{f"b{n}.cir": CLEAN for n in range(4)}, "list.csv": LIST})
    arguments = [
        "swap",
        *(f"b{n}.cir" for n in range(4)),
        "--replace",
        "list.csv",
        "--report",
        "json=-",
        "--date",
        "2026-03-01",
    ]
    one, two = (tickproof(tmp_path, [*arguments, "--jobs", jobs]) for jobs in ("1", "2"))
    assert (one.code, one.out, one.err) == (two.code, two.out, two.err)


@needs_git
def test_revisions_are_compared_without_touching_the_work_tree(tmp_path: Path) -> None:
    """Two revisions are read out of git; the work tree, changed as it is, stays so."""
    top = repository(tmp_path / "bay")
    commit(top, a__cir=CLEAN)
    commit(top, a__cir=LOW)
    (top / "a.cir").write_text("nothing of use")
    ran = tickproof(top, ["swap", "a.cir", "--between", "HEAD~1", "HEAD"])
    assert ran.code == 0
    assert "a.cir  drop-in" in ran.out
    assert "R3 100 kohm -> 98.8 kohm" in ran.out
    assert (top / "a.cir").read_text() == "nothing of use"


@needs_git
@pytest.mark.parametrize(
    ("old", "new", "words"), [("HEAD", "none", "none: error: no such revision"), ("-n", "HEAD", "--between")]
)
def test_a_wrong_revision_is_told(old: str, new: str, words: str, tmp_path: Path) -> None:
    """A revision that is none is refused by name, be it an option's look-alike."""
    top = repository(tmp_path / "bay")
    commit(top, a__cir=CLEAN)
    ran = tickproof(top, ["swap", "a.cir", "--between", old, new])
    assert ran.code == 2
    assert words in ran.err
