"""No regular expression blows up: what a line of a netlist may be long, a pattern gets through at once.

Every pattern that a module of the package keeps is tried on strings made to be hard for it: runs of each sign
that the pattern speaks of, and of pairs of them, with an end that does not fit. It is tried in the ways that
the package uses it: from the start of a string, or sought all through it. A pattern that tries a run of
signs in every way takes some seconds of the processor for the longest string, or years; one that does not
takes a thousandth of one, so that the bound is generous and a busy machine no fault.
"""

import ast
import importlib
import inspect
import pkgutil
import re
from itertools import product
from time import process_time

import pytest

import drc
from drc.netlist import words

SIGNS = frozenset("a1 \t.-+_(){}'\"=,*$;/ke\N{MICRO SIGN}\n")
LENGTHS = (30, 600, 5_000, 30_000)
"""Signs of the strings, one after the other: what takes too long for a short one is not tried on a longer."""

SOON = 0.4
"""Seconds of the processor that no string takes."""

SEEKING = frozenset({"search", "findall", "finditer", "split", "sub"})
"""Methods that try a pattern at each place of a string."""

LOGICAL = frozenset({words._TOKEN, words._HEAD})
"""What takes a logical line apart: in one, line ends come to a `+` at last."""

AnyPattern = re.Pattern[str] | re.Pattern[bytes]
MODULES = [importlib.import_module(info.name) for info in pkgutil.walk_packages(drc.__path__, "drc.")]


def patterns() -> dict[str, tuple[str, AnyPattern]]:
    """The name and the compiled pattern of each that a module keeps, by where it is kept."""
    found: dict[str, tuple[str, AnyPattern]] = {}
    for module in MODULES:
        for name, value in vars(module).items():
            values = (
                value.values() if isinstance(value, dict) else value if isinstance(value, tuple) else (value,)
            )
            for number, each in enumerate(values):
                if isinstance(each, re.Pattern):
                    where = f"{each.pattern!r:.60} in {module.__name__}.{name} {number}"
                    found.setdefault(where, (name, each))
    return found


def calls() -> list[tuple[str, str]]:
    """The (object, method) of every call of a method in the package."""
    nodes = (node for module in MODULES for node in ast.walk(ast.parse(inspect.getsource(module))))
    called = (node.func for node in nodes if isinstance(node, ast.Call))
    return [(ast.unparse(each.value), each.attr) for each in called if isinstance(each, ast.Attribute)]


PATTERNS = patterns()
CALLS = calls()
SOUGHT = {name for name, method in CALLS if method in SEEKING}
"""The names of patterns that are sought through a string."""


def seconds(pattern: AnyPattern, seeking: bool, text: str) -> float:
    """The processor time that a pattern takes for a text, from its start or all through it."""
    string = text.encode() if isinstance(pattern.pattern, bytes) else text
    start = process_time()
    pattern.match(string)  # type: ignore[arg-type]
    if seeking:
        for _ in pattern.finditer(string):  # type: ignore[arg-type]
            pass
    return process_time() - start


def test_there_are_patterns_and_how_they_are_used_is_known() -> None:
    """The modules' patterns are found, some of them sought."""
    assert len(PATTERNS) > 40
    assert len({name for name, _ in PATTERNS.values()} & SOUGHT) > 10


def test_no_pattern_is_written_where_this_does_not_find_it() -> None:
    """What is sought is kept by a name, unless it is one run of signs alone, which is never tried twice."""
    written = [
        node.args[0]
        for module in MODULES
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in {f"re.{method}" for method in SEEKING}
    ]
    texts = [str(node.value) for node in written if isinstance(node, ast.Constant)]
    assert len(texts) > 3
    assert [text for text in texts if len(re.findall(r"[*+](?![\]+*])", text)) > 1] == []


@pytest.mark.parametrize(("name", "pattern"), PATTERNS.values(), ids=PATTERNS)
def test_no_pattern_blows_up(name: str, pattern: AnyPattern) -> None:
    """However long a run of signs is, and whatever is repeated, the time is that of one way through it."""
    own = {sign for sign in str(pattern.pattern) if sign.isprintable()} & SIGNS | {"a", "1", " ", "\n"}
    pumps = {*own, *(a + b for a, b in product(sorted(own)[:4], repeat=2))}
    for pump, before in product(sorted(pumps), ("", "1k ")):
        for length in LENGTHS:
            end = "\n+\x01" if pattern in LOGICAL and "\n" in pump else "\x01"
            took = seconds(pattern, name in SOUGHT, before + pump * (length // len(pump)) + end)
            assert took < SOON, f"{pump!r} pumped to {length} signs: {took:.3f} s"
