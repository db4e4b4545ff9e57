"""A board whose parts nobody described: what is wired like a timing block, and the table to fill in."""

import json
import re
from pathlib import Path

import pytest

from drc.cli import main

BOARD = (
    "opaque board\nV1 vdd 0 5\nC1 vdd 0 100n\nR1 vdd n1 130k\nR2 n1 0 68.1k\nR3 n2 0 100k\n"
    "U1 vdd n1 out 0 n2 vdd MYSTERY9\nR4 out g 100\nM1 d g 0 0 nmos1\nR9 vdd d 1k\n.end\n"
)


@pytest.fixture
def board(tmp_path: Path) -> Path:
    """The opaque board as a file."""
    path = tmp_path / "opaque.cir"
    path.write_text(BOARD)
    return path


def test_inventory_prints_a_table_that_can_be_pasted(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table of the audit, its question marks answered, makes the part a known one."""
    assert main(["inventory", str(board)]) == 0
    out = capsys.readouterr().out
    assert "U1 (MYSTERY9): wired like a timing block" in " ".join(out.split())
    table = out[out.index("[part.MYSTERY9]") :]
    table = table.replace('"?",', '"supply",', 1).replace('"?"]', '"enable"]', 1)
    table = re.sub(r'function = "supply",? ', 'function = "oscillator" ', table)
    table = table.replace('function = "?"', 'function = "oscillator"').replace(
        'pins     = ["?"', 'pins     = ["supply"'
    )
    (tmp_path / "parts.toml").write_text(table)
    assert main(["inventory", str(board), "--parts", str(tmp_path / "parts.toml")]) == 0
    found = capsys.readouterr().out
    assert re.search(r"U1 +MYSTERY9 +oscillator", found)
    assert "wired like" not in found


def test_report_lists_it_without_any_value(board: Path, tmp_path: Path) -> None:
    """In the JSON report such a block is found by connections, and nothing is said of its timing."""
    assert main(["review", str(board), "--report", f"json={tmp_path / 'r.json'}"]) == 0
    (block,) = json.loads((tmp_path / "r.json").read_text())["boards"][0]["blocks"]
    assert (block["path"], block["function"], block["found_by"]) == ("U1", "unknown", "connections")
    assert block["pins"]["rate"] == ["n2"]
    assert block["timing"] == {}
