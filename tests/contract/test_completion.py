"""What a shell offers to complete a command line with: the scripts, read by the shells themselves."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from drc.cli import COMMANDS
from drc.report.formats import FORMATS
from drc.report.swap_formats import FORMATS as SWAP_FORMATS
from tests.contract.running import CLEAN, COMMAND, lay

BASH = r"""
source "$1"
COMP_WORDS=("${@:2}")
COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
compopt() { :; }
_tickproof
printf '%s\n' "${COMPREPLY[@]}"
"""

ZSH = r"""
autoload -Uz compinit && compinit -D
script=$1
shift
source $script
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
emulate ksh -c '_tickproof'
print -l -- "${COMPREPLY[@]}"
"""


def offered(shell: str, folder: Path, *words: str) -> set[str]:
    """What a shell offers for the last of the words; it is given them as it splits them itself."""
    program = shutil.which(shell)
    if program is None:
        pytest.skip(f"{shell} (a Debian package) is not installed")
    path = f"{COMMAND.parent}{os.pathsep}{os.environ['PATH']}"
    script = folder / f".completion.{shell}"
    text = subprocess.run([str(COMMAND), "completion", shell], capture_output=True, timeout=60, check=True)
    script.write_bytes(text.stdout)
    line = {
        "bash": ["--norc", "-c", BASH, "bash", str(script), *words],
        "zsh": ["-f", "-c", ZSH, "zsh", str(script), *words],
        "fish": ["--no-config", "-c", f"source {script}; complete -C '{' '.join(words)}'"],
    }[shell]
    done = subprocess.run(
        [program, *line],
        cwd=folder,
        env=os.environ | {"PATH": path, "HOME": str(folder), "COLUMNS": "80"},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert done.stderr == ""
    found = {line.partition("\t")[0] for line in done.stdout.splitlines() if line}
    # zsh itself leaves out what does not begin as the word does.
    return {each for each in found if each.startswith(words[-1])} if shell == "zsh" else found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a board, a folder, and a file whose name holds a blank."""
    lay(tmp_path, {"bell.cir": CLEAN, "boards/lamp.cir": CLEAN, "house rules.rule": ""})
    return tmp_path


EVERY = pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])


@EVERY
def test_commands_are_offered_first(shell: str, folder: Path) -> None:
    """The first word is a command, every one of them."""
    assert set(COMMANDS) <= offered(shell, folder, "tickproof", "")
    assert offered(shell, folder, "tickproof", "inv") == {"inventory"}


@EVERY
@pytest.mark.parametrize("command", COMMANDS)
def test_every_option_of_a_command_is_offered(shell: str, command: str, folder: Path) -> None:
    """A word that begins with a dash is one of the command's options, as its help has them."""
    page = subprocess.run(
        [str(COMMAND), command, "--help"], capture_output=True, text=True, timeout=60, check=True
    ).stdout
    told = set(re.findall(r"^  (--[a-z-]+)", page, re.MULTILINE))
    found = offered(shell, folder, "tickproof", command, "--")
    assert told <= found
    assert "--help" in found


@EVERY
def test_an_option_with_a_closed_choice_offers_it(shell: str, folder: Path) -> None:
    """What follows such an option is one of its words."""
    assert offered(shell, folder, "tickproof", "review", "--gate", "") == {"error", "warning", "note"}
    assert offered(shell, folder, "tickproof", "size", "--polarity", "inv") == {"inverted"}
    assert offered(shell, folder, "tickproof", "completion", "fi") == {"fish"}


@EVERY
def test_files_are_offered_where_a_file_is_wanted(shell: str, folder: Path) -> None:
    """Boards, and files behind an option that takes one; a blank in a name is no end of it."""
    found = {name.rstrip("/") for name in offered(shell, folder, "tickproof", "review", "")}
    assert {"bell.cir", "boards"} <= found
    rules = offered(shell, folder, "tickproof", "review", "--rules", "hou")
    assert {name.replace("\\ ", " ") for name in rules} == {"house rules.rule"}


@EVERY
def test_report_formats_are_offered(shell: str, folder: Path) -> None:
    """A report is a format, an equals sign and a file."""
    for command, formats in (("review", FORMATS), ("swap", SWAP_FORMATS)):
        found = offered(shell, folder, "tickproof", command, "bell.cir", "--report", "")
        assert {form.rstrip("-") for form in found} == {f"{form}=" for form in formats}
    if shell != "fish":  # knows of one value behind an option
        assert "sarif=" in offered(shell, folder, "tickproof", "review", "--report", "json=a", "sa")


def test_zsh_offers_files_behind_an_equals_sign(folder: Path) -> None:
    """zsh leaves the word whole, and so is what it is offered."""
    assert offered("zsh", folder, "tickproof", "review", "--report", "json=be") == {"json=bell.cir"}


def test_bash_offers_files_behind_an_equals_sign(folder: Path) -> None:
    """bash splits a word at the sign; the file behind it is completed all the same."""
    assert offered("bash", folder, "tickproof", "review", "--report", "json", "=", "bel") == {"bell.cir"}
    assert offered("bash", folder, "tickproof", "review", "--gate", "=", "err") == {"error"}
    assert offered("bash", folder, "tickproof", "review", "--gate", "=") == {"error", "warning", "note"}


@EVERY
def test_names_of_parts_and_rules_are_offered(shell: str, folder: Path) -> None:
    """Names come from the command itself, so that they are those in force."""
    assert offered(shell, folder, "tickproof", "parts", "HA10") == {"HA10"}
    assert offered(shell, folder, "tickproof", "size", "--part", "QC") == {"QC12"}
    assert "strap-near-threshold" in offered(shell, folder, "tickproof", "rules", "strap-n")


@EVERY
def test_nothing_is_offered_where_only_the_user_knows(shell: str, folder: Path) -> None:
    """A number, a date or a quantity is not guessed; what follows it is a board again."""
    assert offered(shell, folder, "tickproof", "review", "--date", "") == set()
    assert "bell.cir" in offered(shell, folder, "tickproof", "review", "--draws", "500", "be")
