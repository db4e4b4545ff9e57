"""The hook, run by the pre-commit framework itself on a repository made for it."""

import sys
from pathlib import Path

import pytest

from tests.contract.repository import Repository, configured
from tests.contract.running import CLEAN, WRONG_RATE, lay

pytest.importorskip("pre_commit", reason="the pre-commit framework is not installed")


@pytest.fixture
def repository(tmp_path: Path) -> Repository:
    """A repository whose first commit passed the hook."""
    files = {".pre-commit-config.yaml": configured(), "hw/a.cir": CLEAN, "hw/b.cir": CLEAN}
    made = Repository(tmp_path / "repository", files)
    made.install()
    first = made.commit(".")
    assert first.code == 0, first.out
    return made


def test_a_commit_is_held_to_the_boards_that_it_touches(repository: Repository) -> None:
    """A change that breaks a board is refused, with the finding; the same change mended is let through."""
    lay(repository.folder, {"hw/a.cir": WRONG_RATE})
    refused = repository.commit("hw/a.cir")
    assert refused.code == 1
    assert "hw/a.cir:5:4: error: XU1" in refused.out
    assert "b.cir" not in refused.out
    lay(repository.folder, {"hw/a.cir": CLEAN + "* a remark\n"})
    assert repository.commit("hw/a.cir").code == 0


def test_what_is_staged_is_reviewed_not_the_work_tree(repository: Repository) -> None:
    """A mistake that is not staged does not stop a commit; one that is staged does, whatever lies about."""
    lay(repository.folder, {"hw/b.cir": WRONG_RATE, "hw/a.cir": CLEAN + "* a remark\n"})
    assert repository.commit("hw/a.cir").code == 0
    repository.git("add", "hw/b.cir")
    lay(repository.folder, {"hw/b.cir": CLEAN})
    assert repository.git("commit", "-q", "-m", "staged").code == 1


def test_a_change_that_reaches_no_board_is_let_through(repository: Repository) -> None:
    """A commit of other files costs nothing and passes."""
    lay(repository.folder, {"notes.txt": "nothing to do with boards\n"})
    assert repository.commit("notes.txt").code == 0


def test_a_file_that_is_taken_away_is_a_change(repository: Repository) -> None:
    """A commit that removes what a board includes is refused, though no file of it is left to be named."""
    lay(
        repository.folder,
        {"hw/c.cir": CLEAN.replace(".end", ".include models.inc"), "hw/models.inc": "* none\n"},
    )
    assert repository.commit("hw").code == 0
    repository.git("rm", "-q", "hw/models.inc")
    refused = repository.git("commit", "-q", "-m", "gone")
    assert refused.code == 1
    assert "hw/c.cir" in refused.out + refused.err
    assert "models.inc" in refused.out + refused.err


def test_a_part_of_what_is_changed_can_be_committed(repository: Repository) -> None:
    """With `git commit -- FILE` the hook judges what that commit would hold, and nothing else."""
    lay(repository.folder, {"hw/a.cir": CLEAN + "* a remark\n", "hw/b.cir": WRONG_RATE})
    repository.git("add", "hw/b.cir")
    let_through = repository.git("commit", "-q", "-m", "one", "--", "hw/a.cir")
    assert let_through.code == 0, let_through.err
    refused = repository.git("commit", "-q", "-m", "other", "--", "hw/b.cir")
    assert refused.code == 1
    assert "hw/b.cir:5:4: error" in refused.out + refused.err


def test_all_files_can_be_asked_for(repository: Repository) -> None:
    """On a build machine the framework names every file; all boards are reviewed, with nothing staged."""
    lay(repository.folder, {"hw/a.cir": WRONG_RATE})
    repository.git("add", "hw/a.cir")
    repository.git("commit", "-q", "--no-verify", "-m", "unseen")
    ran = repository.run(sys.executable, "-m", "pre_commit", "run", "--all-files")
    assert ran.code == 1
    assert "hw/a.cir:5:4: error" in ran.out
