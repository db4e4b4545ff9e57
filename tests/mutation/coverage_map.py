"""Which tests run which lines, and how long each takes: measured once, kept as JSON."""

import importlib
import json
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

FOLDERS = ("drc/circuit", "drc/blocks", "drc/facts", "drc/judge")
_STAGES = (
    "circuit",
    "blocks",
    "facts",
    "judge",
    "quantity",
    "intent",
    "netlist",
    "gate",
    "report",
    "outside",
    "faults",
)
TESTS = tuple(f"tests/{name}" for name in _STAGES)
"""Tests that run in this process. Those of the command line run as processes of their own, on the code as
it is, and could not notice a mistake that is planted in this one."""

QUIET = (
    *("-o", "addopts=", "--capture=sys", "-W", "ignore::pytest.PytestAssertRewriteWarning"),
    *("-p", "no:terminal", "-p", "no:cacheprovider", "-p", "no:xdist"),
)
AT_IMPORT = "import"
"""Stands for a test's name where a line runs when the package is imported."""

AT_COLLECTION = "collection"
"""The same, where it runs while the files of tests are read."""

BEFORE = (AT_IMPORT, AT_COLLECTION)


class Map(NamedTuple):
    """What was measured."""

    seconds: dict[str, float]
    """Of each test that passes."""
    lines: dict[str, dict[int, list[str]]]
    """The tests by path and line."""

    def tests(self, path: str, first: int, last: int) -> set[str]:
        """The tests that run any of these lines."""
        by_line = self.lines.get(path, {})
        return {test for line in range(first, last + 1) for test in by_line.get(line, ())}

    def extents(self) -> Counter[str]:
        """How many lines each test runs: the fewer, the more it is about those that it does run."""
        return Counter(
            test for by_line in self.lines.values() for tests in by_line.values() for test in tests
        )

    def of_module(self, path: str) -> set[str]:
        """The tests that run anything of a module."""
        return {test for tests in self.lines.get(path, {}).values() for test in tests}


def untimed_examples() -> None:
    """Generated examples that are the same at each run, and whose failures are not made smaller."""
    from hypothesis import Phase, settings

    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("mutation", deadline=None, derandomize=True, database=None, phases=phases)
    settings.load_profile("mutation")


class _Recorder:
    """A pytest plug-in that tells the measurement whose turn it is."""

    def __init__(self, coverage: object) -> None:
        self.coverage = coverage
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        """After the settings of the tests' own have been made."""
        untimed_examples()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Around each test."""
        self.coverage.switch_context(item.nodeid)  # type: ignore[attr-defined]
        before = time.perf_counter()
        result = yield
        self.seconds.setdefault(item.nodeid, time.perf_counter() - before)
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A test that does not pass, or is skipped, can kill nothing."""
        if not report.passed:
            self.seconds[report.nodeid] = -1.0


def measured(root: Path, tests: Sequence[str]) -> Map:
    """Runs the tests, and says what each ran."""
    from coverage import Coverage

    coverage = Coverage(data_file=None, source=[str(root / folder) for folder in FOLDERS])
    recorder = _Recorder(coverage)
    coverage.start()
    coverage.switch_context(AT_IMPORT)
    for folder in FOLDERS:
        for file in sorted((root / folder).glob("*.py")):
            importlib.import_module(file.relative_to(root).with_suffix("").as_posix().replace("/", "."))
    coverage.switch_context(AT_COLLECTION)
    pytest.main([*QUIET, *tests], plugins=[recorder])
    coverage.stop()
    seconds = {test: took for test, took in recorder.seconds.items() if took >= 0}
    data = coverage.get_data()
    lines = {}
    for measured_file in data.measured_files():
        by_line = data.contexts_by_lineno(measured_file)
        path = Path(measured_file).relative_to(root).as_posix()
        lines[path] = {
            line: sorted(name for name in names if name in seconds or name in BEFORE)
            for line, names in by_line.items()
        }
    return Map(seconds, lines)


def joined(old: Map, new: Map) -> Map:
    """Two measurements as one; what the later says of a test stands, and all that it says of an import."""
    known = {*new.seconds, AT_IMPORT}
    lines: dict[str, dict[int, list[str]]] = {}
    for path in old.lines.keys() | new.lines.keys():
        before, after = old.lines.get(path, {}), new.lines.get(path, {})
        lines[path] = {
            line: sorted({*(t for t in before.get(line, ()) if t not in known), *after.get(line, ())})
            for line in before.keys() | after.keys()
        }
    return Map({**old.seconds, **new.seconds}, lines)


def write(path: Path, measurement: Map) -> None:
    """Keeps a measurement; tests are written as numbers."""
    names = [*BEFORE, *sorted(measurement.seconds)]
    number = {name: index for index, name in enumerate(names)}
    lines = {
        file: {line: [number[t] for t in tests] for line, tests in by_line.items()}
        for file, by_line in measurement.lines.items()
    }
    path.write_text(json.dumps({"tests": names, "seconds": measurement.seconds, "lines": lines}))


def read(path: Path) -> Map:
    """A measurement that was kept."""
    kept = json.loads(path.read_text())
    names = kept["tests"]
    lines = {
        file: {int(line): [names[n] for n in numbers] for line, numbers in by_line.items()}
        for file, by_line in kept["lines"].items()
    }
    return Map(kept["seconds"], lines)
