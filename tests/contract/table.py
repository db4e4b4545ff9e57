"""A row of a table of contracts: a sentence that must hold, files, arguments, exit code, what is printed."""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from tests.contract.running import lay, tickproof


class Case(NamedTuple):
    """One run of the command; `out` and `err` are pieces that must be on the two streams.

    `absent` are pieces that must be on neither.
    """

    sentence: str
    arguments: str
    code: int
    out: tuple[str, ...] = ()
    err: tuple[str, ...] = ()
    files: Mapping[str, str | bytes] = {}
    absent: tuple[str, ...] = ()


def check(case: Case, folder: Path) -> None:
    """Runs a row in a folder and holds it to what it says; no row shows a traceback or tells of a bug."""
    lay(folder, case.files)
    ran = tickproof(folder, case.arguments.split())
    said = f"{ran.code}\n{ran.out}\n{ran.err}"
    assert ran.code == case.code, said
    for piece in case.out:
        assert piece in ran.out or piece in squeezed(ran.out), f"{piece!r} is not in {said}"
    for piece in case.err:
        assert piece in ran.err or piece in squeezed(ran.err), f"{piece!r} is not in {said}"
    for piece in ("Traceback", "this is a bug", *case.absent):
        assert piece not in ran.out + ran.err, f"{piece!r} is in {said}"
    if case.code == 2 and not case.out:
        assert not ran.out, said


def squeezed(text: str) -> str:
    """The words of a text, whatever columns they stand in."""
    return " ".join(text.split())
