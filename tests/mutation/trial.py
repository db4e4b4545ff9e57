"""One mutant tried: in a process of its own, on the tests that run its lines, until one of them fails.

Where the mistake stands in the body of a function that no import runs, the process is forked after all tests
have been collected, and the function is given the changed code: a trial then costs little more than its
tests. Otherwise the process is forked before the package is imported, and imports the changed module.
"""

import ast
import gc
import importlib
import importlib.abc
import importlib.machinery
import json
import os
import resource
import signal
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import NamedTuple

import pytest

from tests.mutation.coverage_map import QUIET, untimed_examples
from tests.mutation.operators import Mutant, mutated

_MEMORY = 4 << 30
_COLLECTING_S = 90.0


class Outcome(NamedTuple):
    """What became of a mutant."""

    mutant: Mutant
    killed: bool
    how: str
    """The test that failed, `time` where one took far too long, or how many tests it survived."""


class Job(NamedTuple):
    """A mutant with the tests that are to be run on it, in this order, and how long each may take, s."""

    mutant: Mutant
    tests: tuple[str, ...]
    limits: tuple[float, ...]


class Forks:
    """Processes that each try one mutant, so many at a time."""

    def __init__(self, work: Path, at_once: int, report: Callable[[Outcome], None]) -> None:
        self.work, self.at_once, self.report = work, at_once, report
        self.running: dict[int, tuple[Job, Path]] = {}
        self.count = 0

    def start(self, job: Job, trial: Callable[[Job], str | None]) -> None:
        """Begins a trial as soon as there is room."""
        while len(self.running) >= self.at_once:
            self._one_ended()
        self.count += 1
        folder = self.work / f"trial-{os.getpid()}-{self.count}"
        folder.mkdir()
        pid = os.fork()
        if pid:
            self.running[pid] = job, folder
            return
        code = 70
        try:
            _settle_in(job, self.work, folder)
            failed = trial(job)
            (folder / "result").write_text(json.dumps(failed))
            code = 0
        finally:
            os._exit(code)

    def finish(self) -> None:
        """Waits for all that were begun."""
        while self.running:
            self._one_ended()

    def _one_ended(self) -> None:
        import shutil

        pid, status = os.wait()
        job, folder = self.running.pop(pid)
        result = folder / "result"
        if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGALRM:
            outcome = Outcome(job.mutant, True, "time")
        elif not result.exists():
            outcome = Outcome(job.mutant, True, "the process died")
        else:
            failed = json.loads(result.read_text())
            outcome = Outcome(job.mutant, failed is not None, failed or f"survived {len(job.tests)} tests")
        shutil.rmtree(folder, ignore_errors=True)
        self.report(outcome)


def _settle_in(job: Job, work: Path, folder: Path) -> None:
    """What differs in the process of a trial: its temporary files, its caches, its limits."""
    os.environ["TMPDIR"] = tempfile.tempdir = str(folder)
    cold = job.mutant.path.startswith(("drc/blocks", "drc/judge"))
    os.environ["XDG_CACHE_HOME"] = str(folder if cold else work / "cache")
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)


class Collected:
    """A pytest plug-in that runs trials instead of the tests that it collected."""

    def __init__(self, trials: Callable[["Collected", pytest.Session], None]) -> None:
        self.trials = trials
        self.failed: str | None = None
        self.broken: str | None = None

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        """After the settings of the tests' own have been made."""
        untimed_examples()

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A file of tests that cannot even be read has noticed the mistake."""
        if report.failed:
            self.broken = report.nodeid

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Instead of the tests."""
        self.trials(self, session)
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A failure in any phase of a test."""
        if report.failed and self.failed is None:
            self.failed = report.nodeid

    def run(self, job: Job, items: dict[str, pytest.Item]) -> str | None:
        """Runs the tests of a job until one fails: which; None if none did."""
        chosen = [(items[t], limit) for t, limit in zip(job.tests, job.limits, strict=True) if t in items]
        for index, (item, limit) in enumerate(chosen):
            signal.setitimer(signal.ITIMER_REAL, limit)
            following = chosen[index + 1][0] if index + 1 < len(chosen) else None
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed is not None:
                return self.failed
        signal.setitimer(signal.ITIMER_REAL, 0)
        return None


def swapped_in(root: Path, jobs: Sequence[Job], files: Sequence[str], forks: Forks) -> None:
    """Tries mutants of functions: all tests are collected once, each trial is a fork from there."""

    def trials(plugin: Collected, session: pytest.Session) -> None:
        items = {item.nodeid: item for item in session.items}
        for path in sorted({job.mutant.path for job in jobs}):  # one imported only when asked for, too
            importlib.import_module(path.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
        live = _functions(root)
        gc.collect()
        gc.freeze()
        for job in jobs:

            def trial(job: Job) -> str | None:
                code = _code(root, job.mutant)
                assert job.mutant.function is not None
                for function in live[job.mutant.path, *job.mutant.function]:
                    function.__code__ = code
                return plugin.run(job, items)

            forks.start(job, trial)
        forks.finish()

    pytest.main([*QUIET, *files], plugins=[Collected(trials)])


def _functions(root: Path) -> dict[tuple[str, str, int], list[FunctionType]]:
    """Every function of the package that is alive, by path, qualified name and first line."""
    found: dict[tuple[str, str, int], list[FunctionType]] = {}
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType):
            file = thing.__code__.co_filename
            if file.startswith(f"{root}/drc/"):
                path = file.removeprefix(f"{root}/")
                code = thing.__code__
                found.setdefault((path, code.co_qualname, code.co_firstlineno), []).append(thing)
    return found


def _code(root: Path, mutant: Mutant) -> CodeType:
    """The changed code of the outermost function that holds the mistake."""
    file = root / mutant.path
    tree = mutated(file.read_text(encoding="utf-8"), mutant)
    for code in _inner(compile(tree, str(file), "exec")):
        if (code.co_qualname, code.co_firstlineno) == mutant.function:
            return code
    raise LookupError(f"{mutant.key}: its function is not there")


def _inner(code: CodeType) -> Iterator[CodeType]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield constant
            yield from _inner(constant)


def imported_anew(root: Path, jobs: Sequence[Job], forks: Forks) -> None:
    """Tries mutants of what runs at import: each process imports the package and collects its tests."""

    def trial(job: Job) -> str | None:
        signal.setitimer(signal.ITIMER_REAL, _COLLECTING_S)
        sys.meta_path.insert(0, _Finder(root, job.mutant))
        stage = job.mutant.path.replace("drc/", "tests/", 1).rpartition("/")[0]
        own = [test for test in job.tests if test.startswith(f"{stage}/")]
        rest = [test for test in job.tests if not test.startswith(f"{stage}/")]
        for tests in (own, rest):
            failed = _collected_and_run(job, tests)
            if failed is not None:
                return failed
        return None

    for job in jobs:
        forks.start(job, trial)
    forks.finish()


def _collected_and_run(job: Job, tests: Sequence[str]) -> str | None:
    """What fails of these tests, collected here."""
    if not tests:
        return None
    limit = dict(zip(job.tests, job.limits, strict=True))
    part = Job(job.mutant, tuple(tests), tuple(limit[test] for test in tests))
    failed: list[str | None] = []

    def trials(plugin: Collected, session: pytest.Session) -> None:
        items = {item.nodeid: item for item in session.items}
        failed.append(plugin.broken or plugin.run(part, items))

    plugin = Collected(trials)
    files = sorted({test.partition("::")[0] for test in tests})
    pytest.main([*QUIET, "--continue-on-collection-errors", *files], plugins=[plugin])
    return failed[0] if failed else "collection"


class _Finder(importlib.abc.MetaPathFinder):
    """Finds the one module with the mistake in it."""

    def __init__(self, root: Path, mutant: Mutant) -> None:
        self.file = root / mutant.path
        self.name = mutant.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        self.tree = mutated(self.file.read_text(encoding="utf-8"), mutant)

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The changed module under its own name; None for every other."""
        if fullname != self.name:
            return None
        spec = importlib.machinery.PathFinder.find_spec(fullname, path, target)
        if spec is not None:
            spec.loader = _Loader(fullname, str(self.file), self.tree)
        return spec


class _Loader(importlib.machinery.SourceFileLoader):
    """Loads a module from a tree."""

    def __init__(self, name: str, path: str, tree: ast.Module) -> None:
        super().__init__(name, path)
        self.tree = tree

    def get_code(self, fullname: str) -> CodeType:
        """The tree, compiled."""
        return compile(self.tree, self.path, "exec")
