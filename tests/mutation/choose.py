"""Which mutants are tried, and on which tests."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from itertools import groupby, zip_longest
from pathlib import Path
from random import Random

from tests.mutation.coverage_map import AT_IMPORT, BEFORE, Map
from tests.mutation.operators import Mutant, mutants
from tests.mutation.trial import Job

_FIRST = 40
"""Tests that come first: of all that run a mutant's lines those that run the fewest lines besides."""

_FILES = 3
"""Files of tests of other stages that are read for a mutant of what runs at import."""


def every(root: Path, folders: Sequence[str]) -> list[Mutant]:
    """Every mutant of the folders."""
    files = [file for folder in folders for file in sorted((root / folder).glob("*.py"))]
    return [mutant for file in files for mutant in mutants(root, file.relative_to(root).as_posix())]


def drawn(placed: Sequence[Mutant], count: int | None, random: Random) -> list[Mutant]:
    """So many mutants at random: half of them evenly over the folders, half by how many each folder has."""
    if count is None or count >= len(placed):
        return list(placed)
    folders = [list(group) for _, group in groupby(placed, key=lambda m: m.path.rpartition("/")[0])]
    chosen = []
    for group in folders:
        share = count / 2 / len(folders) + count / 2 * len(group) / len(placed)
        chosen += random.sample(group, min(len(group), round(share)))
    random.shuffle(chosen)
    return chosen


def job(mutant: Mutant, measurement: Map, extents: Mapping[str, int], budget: float) -> tuple[Job, bool]:
    """A mutant with its tests, within so many seconds; whether it needs the package imported anew."""
    tests = measurement.tests(mutant.path, *mutant.lines)
    at_import = mutant.function is None or _runs_at_import(mutant, measurement)
    if at_import:
        tests |= {test for path in _users(mutant.path) for test in measurement.of_module(path)}
    ordered = _ordered(sorted(tests - {*BEFORE}), measurement, extents)
    if at_import:
        ordered = _of_few_files(mutant, ordered)
    taken, spent = [], 0.0
    for test in ordered:
        spent += measurement.seconds[test]
        if spent > budget:
            break
        taken.append(test)
    limits = tuple(5.0 + 10 * measurement.seconds[test] for test in taken)
    return Job(mutant, tuple(taken), limits), at_import


def _runs_at_import(mutant: Mutant, measurement: Map) -> bool:
    """Whether a line of the function runs when the package is imported.

    One that also runs while tests are collected matters to the tests that do so alone: what they kept is of
    the code as it is, and they notice less.
    """
    assert mutant.function is not None
    name, first = mutant.function
    body = _bodies(mutant.path).get((name, first), (first + 1, first + 1))
    return AT_IMPORT in measurement.tests(mutant.path, *body)


@cache
def _bodies(path: str) -> dict[tuple[str, int], tuple[int, int]]:
    """First and last line of each outermost function's body."""
    import ast

    found = {}

    def visit(node: ast.AST, scope: str) -> None:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.ClassDef):
                visit(child, f"{scope}{child.name}.")
            elif isinstance(child, ast.FunctionDef):
                first = min([child.lineno, *(d.lineno for d in child.decorator_list)])
                body = (child.body[0].lineno, child.end_lineno or child.lineno)
                found[f"{scope}{child.name}", first] = body
            elif isinstance(child, ast.If | ast.Try):
                visit(child, scope)

    visit(ast.parse(Path(path).read_text(encoding="utf-8")), "")
    return found


def _own_stage(mutant: Mutant) -> str:
    """The folder of tests of a module's stage."""
    return mutant.path.replace("drc/", "tests/", 1).rpartition("/")[0] + "/"


def _of_few_files(mutant: Mutant, tests: Sequence[str]) -> list[str]:
    """Those of the own stage and of a few files more: what is imported anew has to be collected anew too."""
    own = _own_stage(mutant)
    files = dict.fromkeys(test.partition("::")[0] for test in tests if not test.startswith(own))
    few = set(list(files)[:_FILES])
    return [test for test in tests if test.startswith(own) or test.partition("::")[0] in few]


def _ordered(tests: Sequence[str], measurement: Map, extents: Mapping[str, int]) -> list[str]:
    """The tests that are most about the mutant first, then the fastest of each file of tests in turn."""
    first = sorted(tests, key=lambda test: (extents[test], test))[:_FIRST]
    chosen = set(first)
    by_file: dict[str, list[str]] = {}
    for test in sorted(tests, key=lambda test: (measurement.seconds[test], test)):
        if test not in chosen:
            by_file.setdefault(test.partition("::")[0], []).append(test)
    turns = zip_longest(*by_file.values())
    return first + [test for turn in turns for test in turn if test is not None]


@cache
def _users(path: str) -> tuple[str, ...]:
    """A module, and the modules of the package that import it, as paths."""
    name = path.removesuffix(".py").replace("/", ".")
    pattern = re.compile(rf"^\s*(from {re.escape(name)} import|import {re.escape(name)}\b)", re.MULTILINE)
    files = sorted(Path("drc").rglob("*.py"))
    users = [file.as_posix() for file in files if pattern.search(file.read_text(encoding="utf-8"))]
    return (path, *users)
