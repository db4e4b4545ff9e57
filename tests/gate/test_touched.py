"""Which boards a change reaches."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from drc.gate.touched import reached

FILES = {
    "hw/lamp.cir": 'lamp\n.include "../lib/models.inc"\n.end\n',
    "hw/horn.cir": "horn\n.include parts/deep.inc\n.end\n",
    "hw/bare.cir": "bare\n.end\n",
    "hw/lamp.intent": "",
    "lib/models.inc": "* models\n",
    "hw/parts/deep.inc": ".include deeper.inc\n",
    "hw/parts/deeper.inc": "* deeper\n",
    "tickproof.toml": "",
    "README.md": "",
}


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A repository with three boards."""
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def names(project: Path, changed: Sequence[str]) -> list[str]:
    """The boards that the changed files reach."""
    boards = [project / "hw" / name for name in ("lamp.cir", "horn.cir", "bare.cir")]
    found = reached(boards, [project / name for name in changed], [project / "tickproof.toml"], (project,))
    return [path.stem for path in found]


@pytest.mark.parametrize(
    ("changed", "boards"),
    [
        (["hw/lamp.cir"], ["lamp"]),
        (["lib/models.inc"], ["lamp"]),
        (["hw/parts/deeper.inc"], ["horn"]),
        (["hw/lamp.intent"], ["lamp"]),
        (["hw/horn.intent"], ["horn"]),
        (["hw/bare.cir.intent"], ["bare"]),
        (["tickproof.toml"], ["lamp", "horn", "bare"]),
        (["README.md"], []),
        (["hw/bare.cir", "lib/models.inc"], ["lamp", "bare"]),
        ([], []),
    ],
)
def test_a_change_reaches_the_boards_it_is_part_of(
    project: Path, changed: list[str], boards: list[str]
) -> None:
    """A board's own text, what it includes at any depth, its statements, and what all boards share."""
    assert names(project, changed) == boards


def test_a_file_that_was_taken_away_reaches_its_board(project: Path) -> None:
    """An include that is gone is a change of the board that includes it."""
    (project / "hw" / "parts" / "deep.inc").unlink()
    assert names(project, ["hw/parts/deep.inc"]) == ["horn"]


def test_includes_that_go_round_end(project: Path) -> None:
    """Files that include each other are looked at once."""
    (project / "hw" / "parts" / "deeper.inc").write_text(".include deep.inc\n", encoding="utf-8")
    assert names(project, ["hw/parts/deep.inc"]) == ["horn"]
