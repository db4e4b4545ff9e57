"""A git repository with the published hook, run by the real framework at each commit."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.contract.running import COMMAND, Ran, lay

HOOKS = Path(__file__).parents[2] / ".pre-commit-hooks.yaml"


def configured(arguments: Sequence[str] = ()) -> str:
    """A configuration that runs the published hook, with the command that is installed here.

    `arguments` stand before those that the hook has itself. What it prints is shown where it passes too.
    """
    hook = HOOKS.read_text(encoding="utf-8").replace("entry: tickproof", f"entry: {COMMAND}")
    hook = hook.replace("language: python", "language: system")
    hook = hook.replace("args: [", "".join(["args: [", *(f"{argument}, " for argument in arguments)]))
    hook += "  verbose: true\n"
    indented = "\n".join(f"  {line}" for line in hook.splitlines())
    return f"repos:\n- repo: local\n  hooks:\n{indented}\n"


class Repository:
    """A git repository in a folder of its own."""

    def __init__(self, folder: Path, files: Mapping[str, str]) -> None:
        self.folder = folder
        kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
        self.environment = kept | {
            "PRE_COMMIT_HOME": str(folder.parent / "framework"),
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_SYSTEM": os.devnull,
            "COLUMNS": "80",
        }
        folder.mkdir(parents=True)
        lay(folder, files)
        self.git("init", "-q")
        self.git("config", "user.name", "tests")
        self.git("config", "user.email", "tests@localhost")

    def install(self) -> None:
        """Makes the framework run at each commit."""
        done = self.run(sys.executable, "-m", "pre_commit", "install")
        assert done.code == 0, done.err

    def run(self, *command: str, at: str = ".") -> Ran:
        """A command in the repository, or in a folder of it."""
        done = subprocess.run(
            command,
            cwd=self.folder / at,
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

    def tickproof(self, *arguments: str, at: str = ".") -> Ran:
        """The command itself."""
        return self.run(str(COMMAND), *arguments, at=at)

    def commit(self, *names: str) -> Ran:
        """Stages files and commits them through the hook; what it prints is on both streams as one."""
        self.git("add", *names)
        ran = self.git("commit", "-q", "-m", "a change")
        return Ran(ran.code, ran.out + ran.err, "")
