"""What the command promises of its streams, files and whole runs, beyond one line of a table."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, Ran, lay, tickproof


def test_a_report_is_valid_json_on_standard_output_alone(tmp_path: Path) -> None:
    """With `-`, standard output is the report and nothing else."""
    lay(tmp_path, {"bell.cir": WRONG_RATE})
    ran = tickproof(tmp_path, ["review", "bell.cir", "--report", "json=-"])
    report = json.loads(ran.out)
    assert report["passed"] is False
    assert report["boards"][0]["path"] == "bell.cir"
    (finding,) = report["boards"][0]["findings"]
    assert (finding["rule"], finding["location"]["line"]) == ("timing-outside-intent", 5)


def test_no_report_is_written_where_an_input_is_wrong(tmp_path: Path) -> None:
    """Named inputs are checked first: one that is wrong leaves no file behind."""
    lay(tmp_path, {"bell.cir": CLEAN})
    ran = tickproof(tmp_path, ["review", "bell.cir", "--parts", "no.toml", "--report", "json=r.json"])
    assert ran.code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["bell.cir"]


def test_an_unreadable_board_stands_in_the_report(tmp_path: Path) -> None:
    """A board that cannot be read is an entry with its error, beside the others."""
    lay(tmp_path, {"a.cir": "", "b.cir": CLEAN})
    ran = tickproof(tmp_path, ["review", ".", "--report", "json=r.json"])
    boards = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["boards"]
    assert ran.code == 2
    assert [bool(board["error"]) for board in boards] == [True, False]


def test_a_report_leaves_no_part_behind_and_keeps_what_it_replaces_whole(tmp_path: Path) -> None:
    """A report replaces an older one at once; no half-written neighbour stays."""
    lay(tmp_path, {"bell.cir": CLEAN, "r.json": "old"})
    assert tickproof(tmp_path, ["review", "bell.cir", "--report", "json=r.json"]).code == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bell.cir", "r.json"]
    assert json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["passed"] is True


def test_a_reader_that_goes_away_is_no_trouble(tmp_path: Path) -> None:
    """With standard output closed early the verdict is still the exit code, and nothing is complained of."""
    lay(tmp_path, {"bell.cir": WRONG_RATE})
    reader, writer = os.pipe()
    os.close(reader)
    with os.fdopen(writer, "wb") as closed:
        done = subprocess.run(
            [str(COMMAND), "review", "bell.cir"],
            cwd=tmp_path,
            stdout=closed,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
    assert (done.returncode, done.stderr) == (1, b"")


def python(folder: Path, script: str) -> Ran:
    """A script that calls the command's entry point, run as a process in a folder."""
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=folder, capture_output=True, text=True, timeout=60, check=False
    )
    return Ran(done.returncode, done.stdout, done.stderr)


INTERRUPTED = """
import signal, sys
import drc.gate.commands
from drc.cli import main
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started this may have it ignored
drc.gate.commands.open_project = lambda request: signal.raise_signal(signal.SIGINT)
sys.exit(main(["review", "bell.cir"]))
"""

A_BUG_ON_ONE_BOARD = """
import sys
import drc.gate.pipeline as pipeline
from drc.cli import main
read = pipeline.read_circuit
def odd(path, *rest):
    return {}["x"] if path.name == "a.cir" else read(path, *rest)
pipeline.read_circuit = odd
sys.exit(main(["review", "a.cir", "b.cir"]))
"""

LOADS = """
import sys
import numpy
before = sys.argv[1] in sys.modules
from drc.cli import main
main(["review", "bell.cir"])
sys.exit(not before and sys.argv[1] in sys.modules)
"""


def test_an_interrupt_ends_with_its_own_code(tmp_path: Path) -> None:
    """Interrupted while it works, the command ends with 130 and without a traceback."""
    lay(tmp_path, {"bell.cir": CLEAN})
    assert python(tmp_path, INTERRUPTED) == Ran(130, "", "")


def test_a_bug_of_ours_is_one_line_and_code_three(tmp_path: Path) -> None:
    """What nobody foresaw on one board is told as a bug, without a traceback, and the rest is reviewed."""
    lay(tmp_path, {"a.cir": CLEAN, "b.cir": WRONG_RATE})
    ran = python(tmp_path, A_BUG_ON_ONE_BOARD)
    assert ran.code == 3
    assert "a.cir: error: this is a bug in tickproof: KeyError" in ran.out
    assert "b.cir:5:4: error: XU1" in ran.out
    assert "Traceback" not in ran.out + ran.err


def test_a_bug_beats_a_board_that_cannot_be_read(tmp_path: Path) -> None:
    """Of several things that are wrong the gravest makes the exit code: 3 before 2."""
    lay(tmp_path, {"a.cir": CLEAN, "b.cir": ""})
    ran = python(tmp_path, A_BUG_ON_ONE_BOARD)
    assert ran.code == 3
    assert "b.cir: error: the file is empty" in ran.out


@pytest.mark.parametrize(
    "module", ["rich", "lark", "networkx", "dataclasses", "tomllib", "logging", "tempfile", "numpy.ma"]
)
def test_a_piped_review_loads_nothing_that_it_does_not_need(tmp_path: Path, module: str) -> None:
    """The start-up budget: a plain board in a pipe is reviewed without what is slow to load and not needed.

    What numpy loads by itself (numpy.ma, before its second version) is numpy's own affair.
    """
    lay(tmp_path, {"bell.cir": CLEAN})
    assert tickproof(tmp_path, ["review", "bell.cir"]).code == 0
    done = subprocess.run(
        [sys.executable, "-c", LOADS, module], cwd=tmp_path, capture_output=True, timeout=60, check=False
    )
    assert done.returncode == 0


def test_hostile_names_are_shown_and_nothing_else(tmp_path: Path) -> None:
    """Escapes and markup in a netlist reach the page spelt out."""
    lay(tmp_path, {"bell.cir": CLEAN.replace(".end", "\x1b[31m[bold]<b> a b 1k\n.end")})
    ran = tickproof(tmp_path, ["review", "bell.cir"])
    assert "\x1b" not in ran.out
    assert "\\x1b[31m[bold]<b>" in ran.out


def test_a_finding_lives_from_new_to_known_to_gone(tmp_path: Path) -> None:
    """New, known, moved, a second of its kind, mended, and out of the file: each with its exit code."""
    lay(tmp_path, {"bell.cir": WRONG_RATE})
    known = ["--known", "known.json"]
    assert tickproof(tmp_path, ["review", "bell.cir", *known]).code == 2
    assert tickproof(tmp_path, ["review", "bell.cir", *known, "--accept"]).code == 0
    assert tickproof(tmp_path, ["review", "bell.cir", *known]).code == 0
    lay(tmp_path, {"bell.cir": WRONG_RATE.replace("V1 ", "* a line more\nV1 ")})
    assert tickproof(tmp_path, ["review", "bell.cir", *known]).code == 0
    (tmp_path / "moved").mkdir()
    (tmp_path / "bell.cir").rename(tmp_path / "moved" / "bell.cir")
    assert tickproof(tmp_path, ["review", "moved", *known]).code == 0
    lay(tmp_path, {"moved/second.cir": WRONG_RATE})
    assert tickproof(tmp_path, ["review", "moved", *known]).code == 1
    assert tickproof(tmp_path, ["review", "moved", *known, "--accept"]).code == 1
    assert tickproof(tmp_path, ["review", "moved", *known, "--accept", "all"]).code == 0
    lay(tmp_path, {"moved/second.cir": CLEAN})
    mended = tickproof(tmp_path, ["review", "moved", *known])
    assert mended.code == 0
    assert "[known-finding-gone]" in mended.out
    assert tickproof(tmp_path, ["review", "moved", *known, "--gate", "note"]).code == 1
    assert tickproof(tmp_path, ["review", "moved", *known, "--accept"]).code == 0
    assert tickproof(tmp_path, ["review", "moved", *known, "--gate", "note"]).code == 0
