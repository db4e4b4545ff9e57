"""The hook, run by the pre-commit framework itself on a repository made for it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, Ran, lay

pytest.importorskip("pre_commit", reason="the pre-commit framework is not installed")

HOOKS = Path(__file__).parents[2] / ".pre-commit-hooks.yaml"


def configured() -> str:
    """A configuration that runs the published hook, with the command that is installed here."""
    hook = HOOKS.read_text(encoding="utf-8").replace("entry: tickproof", f"entry: {COMMAND}")
    hook = hook.replace("language: python", "language: system")
    indented = "\n".join(f"  {line}" for line in hook.splitlines())
    return f"repos:\n- repo: local\n  hooks:\n{indented}\n"


class Repository:
    """A git repository with the hook installed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.environment = os.environ | {
            "PRE_COMMIT_HOME": str(folder.parent / "framework"),
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_SYSTEM": os.devnull,
            "COLUMNS": "80",
        }
        lay(folder, {".pre-commit-config.yaml": configured(), "hw/a.cir": CLEAN, "hw/b.cir": CLEAN})
        self.git("init", "-q")
        self.git("config", "user.name", "tests")
        self.git("config", "user.email", "tests@localhost")
        self.run(sys.executable, "-m", "pre_commit", "install")

    def run(self, *command: str) -> Ran:
        """A command in the repository."""
        done = subprocess.run(
            command,
            cwd=self.folder,
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        return Ran(done.returncode, done.stdout, done.stderr)

    def git(self, *arguments: str) -> Ran:
        """A git command."""
        return self.run("git", *arguments)

    def commit(self, *names: str) -> Ran:
        """Stages files and commits them through the hook; what it prints is on both streams as one."""
        self.git("add", *names)
        ran = self.git("commit", "-q", "-m", "a change")
        return Ran(ran.code, ran.out + ran.err, "")


@pytest.fixture
def repository(tmp_path: Path) -> Repository:
    """A repository whose first commit passed the hook."""
    made = Repository(tmp_path / "repository")
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
