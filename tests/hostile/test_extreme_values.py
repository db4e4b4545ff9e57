"""Values at the ends of what a number can hold, in place of each value of a sample: no warning, no bug.

A warning of a library is an error here (pyproject.toml), so that one would come out as a bug told.
"""

import re
from pathlib import Path

import pytest

from drc.cli import main
from tests.contract.running import lay
from tests.fuzz.seeds import SAMPLES

EXTREMES = ("5e-324", "1e-300", "1e200", "1e308")
_VALUE = re.compile(r"^([RCVDL]\w*\s+\S+\s+\S+\s+(?:DC\s+)?)\d\S*", re.IGNORECASE | re.MULTILINE)


def boards(name: str) -> list[str]:
    """A sample once for each of its values and each extreme."""
    text = (SAMPLES / name).read_text(encoding="utf-8")
    return [
        text[: match.end(1)] + extreme + text[match.end() :]
        for match in _VALUE.finditer(text)
        for extreme in EXTREMES
    ]


@pytest.mark.parametrize("name", ["gong.cir", "relay.cir", "dimmer.cir", "horn.cir"])
def test_a_value_at_the_end_of_all_numbers_is_no_bug(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    """A review with the page, which asks for everything, ends with a verdict."""
    monkeypatch.chdir(tmp_path)
    lay(
        tmp_path,
        {"models.inc": (SAMPLES / "models.inc").read_bytes(), "tickproof.toml": "[spread]\ndraws = 100\n"},
    )
    changed = boards(name)
    assert len(changed) >= 20
    for board in changed:
        (tmp_path / name).write_text(board, encoding="utf-8")
        code = main(["review", name, "--date", "2026-03-31", "--report", "html=r.html"])
        printed = capsys.readouterr()
        assert code in (0, 1), board + printed.out
        assert "bug" not in printed.out + printed.err
