"""Help teaches: a page a command, with an example that works as it stands."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from drc.cli import COMMANDS
from tests.contract.running import COMMAND, lay, tickproof

SAMPLES = Path(__file__).parents[2] / "samples" / "fog-station"


def page(folder: Path, *arguments: str) -> str:
    """The page of help."""
    ran = tickproof(folder, [*arguments, "--help"])
    assert (ran.code, ran.err) == (0, "")
    return ran.out


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_a_page_of_help_fits_a_small_terminal(command: str, tmp_path: Path) -> None:
    """No line of help is longer than 80 columns."""
    lines = page(tmp_path, *([command] if command else [])).split("\n")
    assert [line for line in lines if len(line) > 80] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_the_example_of_a_command_works(command: str, tmp_path: Path) -> None:
    """Every page has one example; run where boards lie in `boards/`, it does its work."""
    _, _, rest = page(tmp_path, command).partition("\nexample:\n  ")
    example = rest.partition("\n")[0]
    assert f"tickproof {command}" in example
    shutil.copytree(SAMPLES, tmp_path / "boards")
    lay(tmp_path, {"swaps.csv": "element,part\nXU1,BR20\n"})
    path = f"{COMMAND.parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["bash", "-c", example],
        cwd=tmp_path,
        env=os.environ | {"PATH": path},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    assert done.stderr == ""


def test_help_names_every_command(tmp_path: Path) -> None:
    """The first page lists the commands, each with what it does."""
    first = page(tmp_path)
    assert all(f"\n  {name}" in first and command.meaning in first for name, command in COMMANDS.items())
