"""What every board of a run is reviewed under, as one digest that changes with anything that bears on one."""

import os
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from platform import python_version
from typing import Any

from drc.gate.project import Project
from drc.resources import data_root
from drc.version import __version__

_ELSEWHERE = frozenset(
    {"tree", "boards", "known", "known_file", "taking", "gate", "fixed", "date", "inputs", "parts"}
)
"""What of a project bears on no board's own outcome, or is looked at board by board; parts by their files."""

_LIBRARIES = ("numpy", "networkx", "lark")


def reviewed_under(project: Project) -> str:
    """The digest of rules, parts, settings, draws, depth, and of the code that judges."""
    fields = [(name, _plain(value)) for name, value in project._asdict().items() if name not in _ELSEWHERE]
    libraries = [_version(name) for name in _LIBRARIES]
    under = (__version__, python_version(), libraries, _code(), project.parts.files, fields)
    return sha256(repr(under).encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: Any) -> Any:  # noqa: ANN401  (whatever a project holds)
    """The value without functions, whose answers are noted by themselves, and with sets in order."""
    if isinstance(value, tuple):
        return tuple(_plain(entry) for entry in value if not callable(entry))
    return sorted(value) if isinstance(value, frozenset | set) else value


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return ""


def _code() -> list[tuple[str, int, int]]:
    """Every module and grammar with its time and size: a checkout changes without its version."""
    files = [
        *Path(__file__).resolve().parent.parent.rglob("*.py"),
        *(data_root() / "grammars").glob("*.lark"),
    ]
    return sorted(
        (os.fspath(path), status.st_mtime_ns, status.st_size) for path in files for status in [path.stat()]
    )
