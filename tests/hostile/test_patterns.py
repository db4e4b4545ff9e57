"""No regular expression blows up: its work on a pumped string grows as a small power of its length.

Every pattern that a module of the package keeps is tried on strings made to be hard for it: runs of each sign
that the pattern speaks of, and of pairs of them, with an end that does not fit. Work is the least of
two runs' processor time on a string four times as long; a pattern that backtracks without bound would take
many thousand times as long, so that the bound is generous and a busy machine no fault.
"""

import importlib
import pkgutil
import re
from itertools import product
from time import process_time

import pytest

import drc

SIGNS = (
    "a",
    "1",
    " ",
    "\t",
    ".",
    "-",
    "+",
    "_",
    "(",
    ")",
    "{",
    "}",
    "'",
    '"',
    "=",
    ",",
    "*",
    "$",
    ";",
    "/",
    "k",
    "e",
    "µ",
    "\n",
)
SHORT, LONG = 400, 1_600
GROWTH = 160.0
"""64 for the cube of four times the length, and room for a clock that is coarse; doubling would be 2^1200."""

SOON = 0.05
"""Seconds of the processor on the long string below which nothing is said of growth."""


def patterns() -> dict[str, re.Pattern[str] | re.Pattern[bytes]]:
    """The compiled patterns of every module, by where they are kept."""
    found: dict[str, re.Pattern[str] | re.Pattern[bytes]] = {}
    for info in pkgutil.walk_packages(drc.__path__, "drc."):
        module = importlib.import_module(info.name)
        for name, value in vars(module).items():
            values = (
                value.values() if isinstance(value, dict) else value if isinstance(value, tuple) else (value,)
            )
            for number, each in enumerate(values):
                if isinstance(each, re.Pattern):
                    found.setdefault(f"{each.pattern!r:.60} in {info.name}.{name} {number}", each)
    return found


def seconds(pattern: re.Pattern[str] | re.Pattern[bytes], text: str) -> float:
    """The least processor time that matching a text from its start takes."""
    string = text.encode() if isinstance(pattern.pattern, bytes) else text
    best = float("inf")
    for _ in range(2):
        start = process_time()
        pattern.match(string)  # type: ignore[arg-type]
        best = min(best, process_time() - start)
        if best < SOON / 10:
            break
    return best


PATTERNS = patterns()


def test_there_are_patterns() -> None:
    """The modules' patterns are found."""
    assert len(PATTERNS) > 40


@pytest.mark.parametrize("pattern", PATTERNS.values(), ids=PATTERNS)
def test_no_pattern_blows_up(pattern: re.Pattern[str] | re.Pattern[bytes]) -> None:
    """Four times the length takes no more than the cube of that, whatever is repeated."""
    own = {sign for sign in str(pattern.pattern) if sign.isprintable()} & set(SIGNS) | {"a", "1", " "}
    pumps = {*own, *(a + b for a, b in product(sorted(own)[:4], repeat=2))}
    for pump in sorted(pumps):
        for before, after in (("", "\x01"), ("R1 ", "\x01")):
            long = seconds(pattern, before + pump * (LONG // len(pump)) + after)
            if long < SOON:
                continue
            short = seconds(pattern, before + pump * (SHORT // len(pump)) + after)
            assert long < GROWTH * max(short, SOON / 100), (
                f"{pump!r} pumped: {short:.3f} s, then {long:.3f} s"
            )
