"""Every command, on one project of samples and odd boards, run as a real process in a bare environment."""

import os
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from drc.report.formats import FORMATS
from drc.report.swap_formats import FORMATS as SWAP_FORMATS
from tests.contract.running import CLEAN, COMMAND, WRONG_RATE, lay

STORE = Path(__file__).resolve().parents[2] / "samples"
STATION = STORE / "fog-station"
SAMPLES = ("gong.cir", "horn.cir", "horn.intent", "models.inc", "radio.cir", "siren.edn", "siren.intent")
OLD = ("latch.cir", "latch.bom.csv", "swaps.csv")

ODD = WRONG_RATE.replace("Tide bell", "Glocke für 5 µs").replace(" OUT ", " AUSGANG_Ü ")
"""A board with letters beyond ASCII in its title and in a net's name."""

RULED = ("--date", "2026-03-31", "--draws", "2000")

SWAP_REPORTS = tuple(f"{form}=swap.{form}" for form in SWAP_FORMATS)

COMMANDS: Mapping[str, tuple[str, ...]] = {
    "review": ("review", "hw", *RULED, "--tally", "--explain", "XU1"),
    "review, a board at a time": ("review", "hw/gong.cir", "hw/bell.cir", *RULED, "--gate", "note"),
    "review, known findings": ("review", "hw/odd.cir", *RULED, "--known", "known.json", "--accept"),
    "inventory": ("inventory", "hw"),
    "inventory, chains": ("inventory", "hw/horn.cir", "--chains"),
    "swap": ("swap", "hw/latch.cir", "hw/bell.cir", "--replace", "hw/swaps.csv", *RULED),
    "swap, two boards": ("swap", "hw/bell.cir", "hw/odd.cir", *RULED, "--report", *SWAP_REPORTS),
    "mend": ("mend", "hw/radio.cir"),
    "mend, written": ("mend", "hw/radio.cir", "--write"),
    "size": ("size", "--frequency", "10kHz", "--part", "HA10"),
    "parts": ("parts",),
    "one part": ("parts", "HA10"),
    "rules": ("rules",),
    "one rule": ("rules", "strap-near-threshold"),
    "facts": ("rules", "--facts"),
    "start": ("start",),
    "completion": ("completion", "bash"),
}
"""Every command, under what it is called here."""

SITE = "sitecustomize.py"
"""The module that Python runs before anything else, where its folder is in PYTHONPATH."""


class Ran(NamedTuple):
    """Exit code, the two streams' bytes, and the bytes of every file that was written or changed."""

    code: int
    out: bytes
    err: bytes
    files: Mapping[str, bytes]


def run(folder: Path, arguments: Sequence[str], command: str | Path = COMMAND, **environment: str) -> Ran:
    """The command in a folder, with nothing in its environment but what is given."""
    before = contents(folder)
    plain = {"PATH": os.environ["PATH"], "HOME": str(folder.parent), "PYTHONHASHSEED": "0", "TZ": "UTC0"}
    done = subprocess.run(
        [str(command), *arguments],
        cwd=folder,
        env=plain | {"LC_ALL": "C"} | environment,
        capture_output=True,
        timeout=60,
        check=False,
    )
    files = {name: data for name, data in contents(folder).items() if before.get(name) != data}
    assert b"Traceback" not in done.stderr
    return Ran(done.returncode, done.stdout, done.stderr, files)


def contents(folder: Path) -> dict[str, bytes]:
    """The bytes of every file below a folder, by name."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def lay_project(folder: Path, order: Callable[[list[str]], list[str]] = sorted) -> Path:
    """A project of samples, an odd board and one that cannot be read, its files made in some order.

    Its root is the folder hw, where the settings stand; commands run in the folder above.
    """
    files = {f"hw/{name}": (STATION / name).read_bytes() for name in SAMPLES}
    files |= {"hw/bell.cir": CLEAN.encode(), "hw/odd.cir": ODD.encode(), "hw/empty.cir": b""}
    files |= {f"hw/{name}": (STORE / "archive" / name).read_bytes() for name in OLD}
    files |= {"hw/tickproof.toml": b'gate = "warning"\n'}
    lay(folder, {name: files[name] for name in order(list(files))})
    return folder


def with_reports(arguments: tuple[str, ...], folder: str = "") -> tuple[str, ...]:
    """A review that also writes every form of report."""
    return (*arguments, "--report", *(f"{form}={folder}report.{form}" for form in FORMATS))
