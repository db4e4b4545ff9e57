"""What is handed out: a wheel that is built the same twice, holds what it should, and works by itself."""

import ast
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
from collections.abc import Iterable
from email.parser import Parser
from importlib.metadata import PackageNotFoundError, distribution
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from tests.contract.everything import COMMANDS, lay_project, run, with_reports

ROOT = Path(__file__).resolve().parents[2]
SOURCES = (
    "drc", "grammars", "rules", "samples", "tests",
    "README.md", "DEVELOPERS.md", "pyproject.toml", ".gitignore",
)  # fmt: skip
LITTER = ("drc/__pycache__/cli.cpython-311.pyc", "rules/__pycache__/x.pyc", ".mypy_cache/3.11/x.json")
"""What work leaves behind in a checkout."""

WANTED = re.compile(
    r"drc/([a-z]+/)?[a-z_]+\.py"
    r"|drc/py\.typed"
    r"|drc/report/[a-z_]+\.(css|js|html\.j2|schema\.json)"
    r"|drc/data/grammars/[a-z]+\.lark"
    r"|drc/data/rules/book/[a-z_]+\.rule"
    r"|drc/data/rules/parts/[a-z_]+\.toml"
    r"|tickproof-[0-9.]+\.dist-info/(METADATA|WHEEL|RECORD|entry_points\.txt)"
)
"""Every name that a file of the wheel may have."""

pytestmark = pytest.mark.skipif(
    find_spec("hatchling") is None or find_spec("pip") is None,
    reason="needs hatchling and pip in this environment: pip install '.[test]'",
)


def build(sources: Path, target: Path, kind: str = "wheel", **environment: str) -> Path:
    """A wheel or a source archive of the sources, built without a network by what is installed here."""
    plain = {name: value for name, value in os.environ.items() if name != "SOURCE_DATE_EPOCH"}
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(target)],
        cwd=sources,
        env=plain | environment,
        check=True,
        capture_output=True,
        timeout=120,
    )
    (built,) = target.iterdir()
    return built


def copied(folder: Path) -> Path:
    """The project's sources in a folder of their own, with what lies about after work in them."""
    folder.mkdir(parents=True)
    for name in SOURCES:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        elif source.exists():
            shutil.copy(source, folder / name)
    for litter in LITTER:
        (folder / litter).parent.mkdir(parents=True, exist_ok=True)
        (folder / litter).write_bytes(b"left over")
    return folder


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project's sources."""
    return copied(tmp_path_factory.mktemp("one") / "project")


@pytest.fixture(scope="module")
def wheel(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    return build(sources, tmp_path_factory.mktemp("wheel"))


def test_the_wheel_is_the_same_bytes_wherever_and_whenever_it_is_built(
    sources: Path, wheel: Path, tmp_path: Path
) -> None:
    """Another folder, files of another age and mode, another zone and hash seed: the same wheel."""
    other = copied(tmp_path / "elsewhere" / "copy")
    for path in other.rglob("*"):
        os.utime(path, (1_000_000_000, 1_000_000_000))
        path.chmod(0o700 if path.is_dir() else 0o600)
    again = build(other, tmp_path / "again", TZ="EAS-14", PYTHONHASHSEED="7", LC_ALL="C")
    assert again.name == wheel.name
    assert again.read_bytes() == wheel.read_bytes()
    dated = [
        build(folder, tmp_path / f"dated{number}", SOURCE_DATE_EPOCH="1700000000").read_bytes()
        for number, folder in enumerate((sources, other))
    ]
    assert dated[0] == dated[1]


def test_the_source_archive_builds_the_same_wheel(sources: Path, wheel: Path, tmp_path: Path) -> None:
    """Who builds from the source archive gets the wheel that is built from the checkout."""
    archive = build(sources, tmp_path / "archive", "sdist")
    with tarfile.open(archive) as packed:
        packed.extractall(tmp_path, filter="data")
    (unpacked,) = (path for path in tmp_path.iterdir() if path.name.startswith("tickproof-"))
    assert (unpacked / "tests" / "contract" / "test_wheel.py").exists()
    assert not list(unpacked.rglob("*.pyc"))
    assert build(unpacked, tmp_path / "wheel").read_bytes() == wheel.read_bytes()


def test_the_wheel_holds_what_it_should_and_nothing_else(wheel: Path) -> None:
    """Modules, templates, schema, grammars, rules and metadata: each name of a known form, none missing."""
    with ZipFile(wheel) as packed:
        names = packed.namelist()
    assert [name for name in names if not WANTED.fullmatch(name)] == []
    assert len(names) == len(set(names))
    expected = {
        *(path.relative_to(ROOT).as_posix() for path in (ROOT / "drc").rglob("*") if not hidden(path)),
        *(f"drc/data/{path.relative_to(ROOT).as_posix()}" for path in data_files()),
    }
    assert {name for name in names if name.startswith("drc/")} == expected


def hidden(path: Path) -> bool:
    """Whether a path is no file of the project: a folder, something compiled, something hidden."""
    inner = path.relative_to(ROOT).parts
    return path.is_dir() or "__pycache__" in inner or any(part.startswith(".") for part in inner)


def data_files() -> Iterable[Path]:
    """The grammars, rules and part files of the checkout."""
    return (
        *(ROOT / "grammars").glob("*.lark"),
        *(ROOT / "rules").glob("book/*"),
        *(ROOT / "rules").glob("parts/*"),
    )


def test_the_wheel_says_what_it_needs(wheel: Path) -> None:
    """Its metadata names the command, the oldest Python, and each package that the code imports, no other.

    What only an extra needs is named by that extra alone.
    """
    with ZipFile(wheel) as packed:
        (folder,) = {name.partition("/")[0] for name in packed.namelist() if ".dist-info/" in name}
        metadata = Parser().parsestr(packed.read(f"{folder}/METADATA").decode())
        entry_points = packed.read(f"{folder}/entry_points.txt").decode()
    assert "tickproof = drc.cli:command" in entry_points
    assert metadata["Requires-Python"] == project()["requires-python"]
    lines = metadata.get_all("Requires-Dist", [])
    needed = {plain(line) for line in lines if "extra ==" not in line}
    extra = {plain(line) for line in lines if re.search("extra == ['\"]archive", line)}
    assert needed == {plain(line) for line in project()["dependencies"]}
    assert extra == {plain(line) for line in project()["optional-dependencies"]["archive"]}
    assert needed | extra == imported() - {"drc"}


def project() -> dict[str, Any]:
    """The project's own table in pyproject.toml."""
    table: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return table


def plain(requirement: str) -> str:
    """A requirement's package, without its version."""
    found = re.match(r"[\w.-]+", requirement)
    assert found is not None, requirement
    return found[0]


def imported() -> set[str]:
    """The packages beyond Python's own that any module imports, in functions too."""
    names: set[str] = set()
    for path in (ROOT / "drc").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                names.add((node.module or "").partition(".")[0])
    return names - set(sys.stdlib_module_names)


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command of an environment that holds the wheel, the packages that it asks for, and nothing else.

    Those packages are linked in from this environment, so that no network is needed.
    """
    folder = tmp_path_factory.mktemp("empty") / "venv"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(folder)], check=True, timeout=60)
    python = folder / "bin" / "python"
    (site,) = folder.glob("lib/python*/site-packages")
    for name, home in linked(project()["dependencies"]):
        (site / name).symlink_to(home / name)
    pip = [sys.executable, "-m", "pip", "--python", str(python), "--disable-pip-version-check", "-q"]
    subprocess.run([*pip, "install", "--no-deps", "--no-index", str(wheel)], check=True, timeout=120)
    return folder / "bin" / "tickproof"


def linked(requirements: Iterable[str]) -> set[tuple[str, Path]]:
    """Top-level names of the packages required, and of those that these require, with their folder here."""
    waiting, seen, names = [plain(line) for line in requirements], set(), set()
    while waiting:
        name = waiting.pop().lower()
        if name in seen:
            continue
        seen.add(name)
        try:
            found = distribution(name)
        except PackageNotFoundError:
            continue
        home = Path(str(found.locate_file("")))
        tops = {file.parts[0] for file in found.files or () if not file.is_absolute()}
        names |= {(top, home) for top in tops - {"..", "__pycache__"}}
        waiting += [plain(line) for line in found.requires or () if "extra ==" not in line]
    return names


LOOK = """
import drc, importlib.util
print(drc.__file__)
print([name for name in ("pytest", "hypothesis", "mypy", "scipy") if importlib.util.find_spec(name)])
"""


def test_the_environment_is_an_empty_one(installed: Path) -> None:
    """In it, the package is the wheel's, and what the tests use is not there."""
    python = installed.with_name("python")
    done = subprocess.run(
        [str(python), "-I", "-c", LOOK], capture_output=True, text=True, timeout=60, check=True
    )
    where, rest = done.stdout.splitlines()
    assert Path(where).is_relative_to(installed.parents[1])
    assert rest == "[]"


@pytest.mark.parametrize("what", COMMANDS)
def test_every_command_works_from_the_wheel_as_from_the_checkout(
    what: str, installed: Path, tmp_path: Path
) -> None:
    """Installed from the wheel, far from the checkout, every command prints and writes the same bytes."""
    arguments = with_reports(COMMANDS[what]) if what == "review" else COMMANDS[what]
    here = run(lay_project(tmp_path / "here" / "project"), arguments)
    there = run(lay_project(tmp_path / "there" / "project"), arguments, command=installed)
    assert there == here
