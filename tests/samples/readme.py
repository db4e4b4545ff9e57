"""README's shown output: what it shows, what the tool prints; `python -m tests.samples.readme` renews it."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
LEFT_OUT = re.compile(r"^\.\.\.\n", re.MULTILINE)
"""A line that stands for lines left out."""

_SHOWN = re.compile(r"^```console\n\$ (tickproof [^\n]+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def shown() -> list[tuple[str, str]]:
    """Every command that README shows with its output."""
    return [(match[1], match[2]) for match in _SHOWN.finditer(README.read_text(encoding="utf-8"))]


def printed(command: str) -> str:
    """Everything that a command prints in a pipe, on a screen of 80 columns."""
    run = [sys.executable, "-c", "import sys; from drc.cli import main; sys.exit(main())"]
    environment = {**os.environ, "COLUMNS": "80", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [*run, *shlex.split(command)[1:]],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def _renewed(match: re.Match[str]) -> str:
    """A block with the real output; one that leaves lines out is left to a person."""
    command, text = match[1], match[2]
    if LEFT_OUT.search(text):
        return match[0]
    return f"```console\n$ {command}\n{printed(command)}```"


if __name__ == "__main__":
    README.write_text(_SHOWN.sub(_renewed, README.read_text(encoding="utf-8")), encoding="utf-8")
