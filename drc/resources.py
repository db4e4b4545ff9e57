"""Where the grammars, rules and part files lie, and a cache of what was compiled from their text."""

import json
import os
import stat
from collections.abc import Callable
from functools import cache
from pathlib import Path

from drc.version import __version__

JSON = None | bool | int | float | str | list["JSON"] | dict[str, "JSON"]
"""Plain JSON as Python holds it."""

OWN = "tickproof:"
"""Stands before the path of a file that came with the package, in places and reports."""

_KEPT = 64
"""Cache entries kept; the oldest go first."""


@cache
def data_root() -> Path:
    """The folder that holds `grammars/` and `rules/`: inside the wheel, or the top of a checkout."""
    package = Path(__file__).resolve().parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent


def grammar_text(name: str) -> str:
    """The text of a grammar, by its name without `.lark`."""
    return (data_root() / "grammars" / f"{name}.lark").read_text(encoding="utf-8")


def compiled(kind: str, text: str, build: Callable[[], JSON]) -> JSON:
    """The plain JSON that `build()` makes of `text`, from the user's cache if it was made before.

    `kind` says what is compiled (`parts`). Whatever is wrong with the cache only means building again; an
    error that `build` raises passes through, and nothing is kept.
    """
    path = _entry(kind, text)
    if path is None:
        return build()
    try:
        return _read(path)
    except (OSError, ValueError, RecursionError):
        value = build()
    try:
        _write(path, value)
    except (OSError, ValueError):
        return value
    return value


def _entry(kind: str, text: str) -> Path | None:
    """The file that keeps this text's JSON, None where the user has no folder for it."""
    from hashlib import sha256

    try:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    except RuntimeError:
        return None
    if not base.is_absolute():
        return None
    key = sha256("\0".join((kind, _version(), text)).encode("utf-8", "surrogatepass")).hexdigest()
    return base / "tickproof" / f"{kind}-{key}.json"


@cache
def _version() -> str:
    """What the compiling code is: the version and, in a checkout, when its newest module was written."""
    package = Path(__file__).resolve().parent
    if (package / "data").is_dir():
        return __version__
    newest = 0
    folders = [package, *(p for p in package.iterdir() if p.is_dir())]
    for folder in folders:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.endswith(".py"):
                    newest = max(newest, entry.stat().st_mtime_ns)
    return f"{__version__}+{newest}"


def _read(path: Path) -> JSON:
    """The JSON of a cache file that is ours alone to write; OSError or ValueError otherwise."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
    with os.fdopen(handle, encoding="utf-8") as file:
        status = os.fstat(file.fileno())
        foreign = hasattr(os, "geteuid") and status.st_uid != os.geteuid()
        if foreign or not stat.S_ISREG(status.st_mode) or (os.name == "posix" and status.st_mode & 0o022):
            raise OSError("a cache file that others can write is not read")
        value: JSON = json.load(file)
        return value


def _write(path: Path, value: JSON) -> None:
    """Write a cache file whole or not at all, and let the oldest go."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}.{os.urandom(4).hex()}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
    entries = sorted(path.parent.glob("*.json"), key=lambda p: p.stat().st_mtime_ns)
    for old in entries[:-_KEPT]:
        old.unlink(missing_ok=True)
