"""Repositories to try the reading of revisions on: made in a temporary folder, with nobody's settings."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")

_WHO = {"GIT_AUTHOR_NAME": "bay", "GIT_AUTHOR_EMAIL": "bay@invalid"}
_NOBODY = {
    **_WHO,
    **{name.replace("AUTHOR", "COMMITTER"): value for name, value in _WHO.items()},
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
}


def git(folder: Path, *arguments: str, **more: str) -> str:
    """Runs git in a folder, with no settings but its own and `more` variables, and gives what it prints."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    done = subprocess.run(
        ["git", *arguments],
        cwd=folder,
        env=plain | _NOBODY | more,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def repository(folder: Path) -> Path:
    """An empty repository in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    git(folder, "init", "-q", "-b", "main")
    return folder


def commit(folder: Path, **files: str | None) -> str:
    """Writes files (`__` in a name is a dot, None takes one away), commits all, and gives the revision."""
    for name, text in files.items():
        path = folder / name.replace("__", ".")
        if text is None:
            path.unlink()
        else:
            path.write_text(text)
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "--allow-empty", "-m", "state")
    return git(folder, "rev-parse", "HEAD")
