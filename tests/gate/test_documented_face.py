"""The public face as it is documented: its examples run, and a user's program is typed."""

import doctest
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import drc
from tests.samples.readme import README, ROOT

EXAMPLE = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)

PROGRAM = '''"""Fails where a block of a board is slower than a second."""

import sys

import drc


def slow(path: str) -> list[str]:
    """The blocks whose period may be longer than a second."""
    found = []
    for board in drc.inventory(path):
        for block in board.blocks:
            fact = block.facts.get("timing.period")
            span = fact.span if fact is not None else None
            if span is not None and span.high > 1.0:
                found.append(f"{board.path}: {block.block.path} ({block.block.part.name})")
    return found


def main() -> int:
    """The exit code."""
    try:
        review = drc.review(*sys.argv[1:], gate="warning")
    except drc.InputError as error:
        for trouble in error.troubles:
            print(trouble.place, trouble.message)
        return 2
    for element in drc.read(sys.argv[1]).elements():
        value: float | None = element.value
        print(element.name, element.kind, [net.name for net in element.nets], value)
    return 0 if review.passed and not slow(sys.argv[1]) else 1


sys.exit(main())
'''


def checked(folder: Path, text: str) -> str:
    """What a strict type check of a program in a folder of its own says, apart from how it ended."""
    (folder / "program.py").write_text(text, encoding="utf-8")
    cache = ROOT / ".mypy_cache" / "programs"
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", f"--cache-dir={cache}", "program.py"],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def test_the_examples_of_the_package_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every example in the documentation of the package gives what stands under it."""
    monkeypatch.chdir(ROOT)
    failed, tried = doctest.testmod(drc)
    assert failed == 0
    assert tried > 8


def test_the_examples_of_readme_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every Python example of README gives what stands under it."""
    monkeypatch.chdir(ROOT)
    examples = EXAMPLE.findall(README.read_text(encoding="utf-8"))
    assert examples
    for number, text in enumerate(examples):
        test = doctest.DocTestParser().get_doctest(text, {}, f"README {number}", str(README), 0)
        runner = doctest.DocTestRunner()
        runner.run(test)
        assert (runner.failures, runner.tries > 0) == (0, True)


def test_a_program_that_uses_the_package_is_typed(tmp_path: Path) -> None:
    """The package brings its types: a strict check passes a right program and refuses a wrong one."""
    assert "Success" in checked(tmp_path, PROGRAM)
    wrong = checked(tmp_path, PROGRAM.replace('gate="warning"', 'gate="loud"'))
    assert 'Argument "gate"' in wrong
    wrong = checked(tmp_path, PROGRAM.replace("drc.InputError", "drc.InputFault"))
    assert 'has no attribute "InputFault"' in wrong


def test_a_program_that_uses_the_package_runs(tmp_path: Path) -> None:
    """The same program does what it says."""
    (tmp_path / "program.py").write_text(PROGRAM, encoding="utf-8")
    board = ROOT / "samples" / "fog-station" / "radio.cir"
    done = subprocess.run(
        [sys.executable, "program.py", str(board)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (1, "")
    assert "R3 R ['RT', '0'] 71500.0" in done.stdout


@pytest.mark.parametrize(
    ("argument", "message"),
    [
        ({"gate": "loud"}, 'found \'loud\', expected one of "note", "warning", "error"'),
        ({"seed": -1}, "found -1, expected a whole number from 0 to"),
        ({"draws": 5}, "found 5, expected a whole number from 100 to 10000000"),
    ],
)
def test_a_wrong_argument_is_an_input_error(argument: dict[str, Any], message: str) -> None:
    """A value that no option would take is refused in the same way, before any board is read."""
    with pytest.raises(drc.InputError) as caught:
        drc.review(ROOT / "samples" / "fog-station" / "radio.cir", **argument)
    (trouble,) = caught.value.troubles
    assert trouble.place.path == next(iter(argument))
    assert trouble.message.startswith(message)


def test_every_error_is_of_the_package() -> None:
    """The two errors that are promised are of one family, and public."""
    assert issubclass(drc.InputError, drc.TickproofError)
    assert {"InputError", "TickproofError", "inventory", "read", "review"} < set(drc.__all__)
