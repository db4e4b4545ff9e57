"""Where the grammars, rules and part files lie, and a cache of what was compiled from their text.

What is kept on disk is sealed with a key of the user's that lies elsewhere, so that a cache which somebody
else wrote, moved about or handed on is never believed.
"""

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

_LARGEST = 256 * 1024 * 1024
"""Bytes beyond which a cache file is none of ours."""

_KEY_BYTES = 32


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
        value: JSON = json.loads(kept(path))
        return value
    except (OSError, ValueError, RecursionError):
        value = build()
    try:
        text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        keep(path, text.encode("utf-8", "surrogatepass"))
        _let_oldest_go(path.parent)
    except (OSError, ValueError):
        return value
    return value


def _entry(kind: str, text: str) -> Path | None:
    """The file that keeps this text's JSON, None where the user has no folder for it."""
    from hashlib import sha256

    folder = cache_folder()
    if folder is None:
        return None
    key = sha256("\0".join((kind, _version(), text)).encode("utf-8", "surrogatepass")).hexdigest()
    return folder / f"{kind}-{key}.json"


def cache_folder() -> Path | None:
    """The user's folder for what can be made again, None where there is none."""
    return _user_folder("XDG_CACHE_HOME", ".cache")


def _user_folder(variable: str, below_home: str) -> Path | None:
    """Our own folder in one of the user's base folders (XDG Base Directory Specification)."""
    try:
        base = Path(os.environ.get(variable) or Path.home() / below_home)
    except RuntimeError:
        return None
    return base / "tickproof" if base.is_absolute() else None


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


def kept(path: Path) -> bytes:
    """What `keep` wrote to this path.

    OSError where it cannot be read or others could have written it; ValueError where it was not this user
    who kept it, or it was changed since, or kept under another name.
    """
    mark, _, data = _own_bytes(path, 0o022).partition(b"\n")
    if mark != seal(f"{path.parent.name}/{path.name}", data):
        raise ValueError("a cache file that was not sealed here is not read")
    return data


def keep(path: Path, data: bytes) -> None:
    """Writes a cache file, sealed, whole or not at all. OSError where that fails.

    The seal binds the data to the file's name and its folder's, so a name must say all that data hang on.
    """
    _write_own(path, seal(f"{path.parent.name}/{path.name}", data) + b"\n" + data)


def seal(name: str, data: bytes) -> bytes:
    """A digest of the data and the name they are kept under that nobody makes without the user's key.

    OSError where the user can have no key.
    """
    from hashlib import blake2b

    key_file = _user_folder("XDG_STATE_HOME", ".local/state")
    if key_file is None:
        raise OSError("the user has no folder for a key")
    digest = blake2b(key=_key(key_file / "cache-key"), digest_size=32)
    digest.update(f"{name}\0".encode("utf-8", "surrogatepass"))
    digest.update(data)
    return digest.hexdigest().encode()


@cache
def _key(path: Path) -> bytes:
    """The user's key, made where there is none: it lies outside the cache, so it is not copied with it."""
    try:
        key = _own_bytes(path, 0o077)
        if len(key) == _KEY_BYTES:
            return key
    except OSError:
        pass
    _write_own(path, os.urandom(_KEY_BYTES))
    return _own_bytes(path, 0o077)


def _own_bytes(path: Path, forbidden: int) -> bytes:
    """A regular file of this user's without any of the `forbidden` permissions; OSError otherwise."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        status = os.fstat(file.fileno())
        foreign = hasattr(os, "geteuid") and status.st_uid != os.geteuid()
        loose = os.name == "posix" and status.st_mode & forbidden
        if foreign or loose or not stat.S_ISREG(status.st_mode) or status.st_size > _LARGEST:
            raise OSError("a file that others can write is not read")
        return file.read(_LARGEST)


def _write_own(path: Path, data: bytes) -> None:
    """Writes a file for this user alone, whole or not at all."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}.{os.urandom(4).hex()}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _let_oldest_go(folder: Path) -> None:
    """Takes away the oldest compiled texts; what else lies in the folder is not ours to take."""
    ours = (path for path in folder.glob("*-*.json") if len(path.stem.rpartition("-")[2]) == 64)
    entries = sorted(ours, key=lambda p: p.stat().st_mtime_ns)
    for old in entries[:-_KEPT]:
        old.unlink(missing_ok=True)
