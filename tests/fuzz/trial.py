"""One mutant through the command: files laid, the real entry called in this process, what came of it."""

import io
import os
import signal
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from random import Random
from types import FrameType
from typing import NamedTuple, NoReturn

from drc.cli import main
from drc.gate import project
from tests.contract.running import CLEAN, lay
from tests.fuzz.mutate import mutant
from tests.fuzz.seeds import BOARD, KNOWN, SAMPLES, seeds

SECONDS = 5.0
"""Processor time after which a run counts as hanging."""

DATE = ["--date", "2026-03-31", "--draws", "100"]
REPORTS = ["--report", "json=r.json", "sarif=r.sarif", "junit=r.xml", "csv=r.csv", "--tally"]
_MIXTURE: dict[str, tuple[float, ...]] = {
    "netlist": (60, 3, 0.3, 36, 0.7),
    "intent": (12, 1, 0.3, 86, 0.7),
    "bill of materials": (9, 1, 0.3, 89, 0.7),
}
"""Of a hundred runs: plain reviews, with tables of every kind, with the page, inventories, mendings."""

_USUAL = (84, 4, 0.3, 11, 0.7)
_NAMES = {
    "netlist": "board.cir", "edif": "board.edn", "pin list": "board.csv", "bill of materials": "bom.csv",
    "part file": "own.toml", "rule book": "own.rule", "settings": "tickproof.toml", "intent": "board.intent",
    "known findings": "known.json",
}  # fmt: skip
_BOARDS = ("netlist", "edif", "pin list")
_OPTIONS = {
    "bill of materials": ["--bom", "bom.csv"],
    "part file": ["--parts", "own.toml"],
    "rule book": ["--rules", "own.rule"],
    "intent": ["--intent", "board.intent"],
    "known findings": ["--known", "known.json"],
}


class Overtime(BaseException):
    """A run that took too long; no handler of the package may stop it."""


class Outcome(NamedTuple):
    """What came of a mutant: the exit code, whether it was read without trouble, and what is wrong with that.

    `code` None: no code was given. `parsed` None: the command does not tell.
    """

    code: int | None
    parsed: bool | None
    wrong: str = ""


def trial(kind: str, data: bytes, random: Random, folder: Path, seconds: float = SECONDS) -> Outcome:
    """Runs a command on a mutant in a folder. The folder is left as the command leaves it."""
    lay(folder, {**_beside(kind, random), _NAMES[kind]: data})
    arguments = _arguments(kind, random)
    os.chdir(folder)
    streams = io.StringIO(), io.StringIO()
    previous = signal.signal(signal.SIGPROF, _stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        with redirect_stdout(streams[0]), redirect_stderr(streams[1]):
            code = main(arguments)
    except Overtime:
        return Outcome(None, None, f"over {seconds:g} s: {' '.join(arguments)}")
    except SystemExit as error:
        return Outcome(None, None, f"left with {error.code!r}: {' '.join(arguments)}")
    except Exception as error:
        return Outcome(None, None, f"{type(error).__name__}: {error}: {' '.join(arguments)}")
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, previous)
    printed = streams[0].getvalue() + streams[1].getvalue()
    wrong = _complaint(code, printed)
    told = arguments[0] == "review" or code == 2
    parsed = code in (0, 1) and "[unreadable-" not in printed if told else None
    return Outcome(code, parsed, f"{wrong}: {' '.join(arguments)}" if wrong else "")


def made(kind: str, seed: int, number: int) -> tuple[bytes, Random]:
    """The mutant of a kind with a number, and the random numbers that go on from it."""
    random = Random(f"{seed}/{kind}/{number}")
    return mutant(seeds(kind), random), random


def remember_built_in() -> None:
    """Reads the package's own parts and rules once: they are no part of what is tried."""
    for name in ("load_parts", "load_rules"):
        load = getattr(project, name)
        if not hasattr(load, "kept"):
            setattr(project, name, _once_without_files(load))


def _once_without_files(load: Callable[..., object]) -> Callable[..., object]:
    """The loader, its result kept where no files are named."""
    kept = load(())

    def loaded(paths: Sequence[Path], *rest: object, **more: object) -> object:
        return load(paths, *rest, **more) if paths else kept

    vars(loaded)["kept"] = kept
    return loaded


def _beside(kind: str, random: Random) -> dict[str, bytes]:
    """The files that stand beside a mutant: a board where it is none, and what boards include."""
    files = {"models.inc": (SAMPLES / "models.inc").read_bytes(), "known.json": KNOWN.encode()}
    files["tickproof.toml"] = b"[spread]\ndraws = 100\n"
    if kind in _BOARDS:
        return files
    board = CLEAN if random.random() < 0.8 else BOARD
    board = board.replace("HA10", "ZHA10") if kind == "part file" else board
    return {**files, "board.cir": board.encode()}


def _arguments(kind: str, random: Random) -> list[str]:
    """A command line: mostly a plain review, some with reports, some of the other commands."""
    board = [_NAMES[kind] if kind in _BOARDS else "board.cir", *_OPTIONS.get(kind, [])]
    if kind == "rule book" and random.random() < 0.5:
        return ["rules", "our-strap-open", *_OPTIONS[kind]]
    return random.choices(
        (
            [
                "review",
                *board,
                *DATE,
                *(["--accept"] if random.random() < 0.1 and kind == "known findings" else []),
            ],
            ["review", *board, *DATE, *REPORTS],
            ["review", *board, *DATE, "--report", "html=r.html"],
            ["inventory", *_without(board, "--rules", "--known"), "--chains"],
            ["mend", *_without(board, "--known")],
        ),
        _MIXTURE.get(kind, _USUAL),
    )[0]


def _without(arguments: list[str], *options: str) -> list[str]:
    """Arguments without options that a command does not take, and their files."""
    return arguments[:1] if len(arguments) > 1 and arguments[1] in options else arguments


def _complaint(code: int, printed: str) -> str:
    """What is wrong with an exit code and what was printed; empty where nothing is."""
    if code not in (0, 1, 2):
        told = next((line for line in printed.split("\n") if "bug in tickproof" in line), printed[-300:])
        return f"exit {code}: {told}"
    if "Traceback (most recent" in printed:
        return "a traceback was printed"
    if "Warning: " in printed:
        return "a warning of a library was printed"
    if "\x1b" in printed or "\x00" in printed:
        return "a control character was printed"
    return "" if printed else "nothing was printed"


def _stop(_: int, frame: FrameType | None) -> NoReturn:
    raise Overtime
