"""Outcomes of earlier runs, kept in the user's cache folder; whatever is wrong with them, the work is done.

An entry is found by a board's content and by all that it was reviewed under, and holds only while every
file that its review asked for is as it was. Each is sealed with the user's own key: one that anybody else
wrote, or moved from another place, is as good as none.
"""

import os
import sqlite3
import stat
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from drc.bounded import file_bytes
from drc.gate.project import Project
from drc.gate.reviewed_under import reviewed_under
from drc.gate.sources import unchanged
from drc.gate.streaming import Answer
from drc.resources import cache_folder, seal

FILE = "outcomes.sqlite"
LARGEST = 512 << 20
"""Bytes of entries that are kept; what was not used for longest goes first."""

_WAIT_S = 1.0
"""How long another run may keep us waiting each time."""

_STRIKES = 8
"""How often something may go wrong, such as a file that others hold too long, before it is left alone."""

_SETTINGS = ("trusted_schema = OFF", "journal_mode = WAL", "synchronous = NORMAL")
_TABLE = "CREATE TABLE IF NOT EXISTS outcomes_1 (key TEXT PRIMARY KEY, used INTEGER, seal BLOB, value BLOB)"
_FIND = "SELECT seal, value FROM outcomes_1 WHERE key = ?"
_PUT = "INSERT OR REPLACE INTO outcomes_1 VALUES (?, ?, ?, ?)"
_USED = "UPDATE outcomes_1 SET used = ? WHERE key = ?"
_ALL = "SELECT key, coalesce(length(value), 0) FROM outcomes_1 ORDER BY used DESC, rowid"
_DROP = "DELETE FROM outcomes_1 WHERE key = ?"


class Cache:
    """The outcomes of a project's boards, as far as earlier runs left them. For one thread."""

    def __init__(self, project: Project, largest: int = LARGEST) -> None:
        self._date, self._largest = project.date, largest
        self._under = reviewed_under(project)
        self._digest = lru_cache(maxsize=4096)(_digest_of)
        self._keys: dict[Path, str] = {}
        self._met: list[str] = []
        self._room = largest
        self._strikes = 0
        self._base: sqlite3.Connection | None = None
        folder = cache_folder()
        if folder is not None:
            self._path = folder / FILE
            while self._base is None and self._strikes < _STRIKES:
                with self._careful():
                    self._base = _opened(self._path)

    def known(self, board: Path) -> bytes | None:
        """The outcome of a board whose review would come to the same today; None where it must be done."""
        content = None if self._base is None else _digest_of(str(board))
        if content is None:
            return None
        real = os.path.realpath(board)
        text = "\0".join((self._under, str(board), real, content))
        key = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
        self._keys[board] = key
        with self._careful():
            return self._found(key, lambda path: content if path == real else self._digest(path))
        return None

    def done(self, board: Path, answer: Answer) -> None:
        """Keeps what a board came to."""
        key = self._keys.pop(board, None)
        if key is None or answer.sources is None:
            return
        data = zlib.compress(answer.sources.encode("ascii") + b"\n" + answer.outcome, 1)
        self._room -= len(data)
        with self._careful():
            if self._base is not None and self._room >= 0:
                self._base.execute(_PUT, (key, int(time.time()), seal(f"{FILE}/{key}", data), data))

    def close(self) -> None:
        """Notes what was used, lets the oldest go where there is too much, and closes the file."""
        with self._careful():
            self._tidy()
        self._shut()

    def _found(self, key: str, digest: Callable[[str], str | None]) -> bytes | None:
        """The outcome of an entry that is sealed and still holds."""
        row = None if self._base is None else self._base.execute(_FIND, (key,)).fetchone()
        if row is None or not isinstance(row[1], bytes) or row[0] != seal(f"{FILE}/{key}", row[1]):
            return None
        sources, _, outcome = zlib.decompress(row[1]).partition(b"\n")
        if not unchanged(sources.decode("ascii"), self._date, digest):
            return None
        self._met.append(key)
        self._room -= len(row[1])
        return outcome

    def _tidy(self) -> None:
        """One transaction: the entries that were met are young again, and too many old ones go."""
        if self._base is None:
            return
        self._base.execute("BEGIN IMMEDIATE")
        self._base.executemany(_USED, [(int(time.time()), key) for key in self._met])
        total, gone = 0, []
        for key, size in self._base.execute(_ALL):
            total += size
            if total > self._largest:
                gone.append((key,))
        self._base.executemany(_DROP, gone)
        self._base.execute("COMMIT")

    @contextmanager
    def _careful(self) -> Iterator[None]:
        """Where too much is wrong with the file, there is no cache from then on; a damaged one is dropped."""
        try:
            yield
        except sqlite3.OperationalError:
            self._strikes += 1
            if self._strikes >= _STRIKES:
                self._shut()
        except (sqlite3.Error, OSError) as error:
            self._strikes = _STRIKES
            self._shut()
            if type(error) is sqlite3.DatabaseError:
                for ending in ("", "-wal", "-shm"):
                    with suppress(OSError):
                        self._path.with_name(FILE + ending).unlink()

    def _shut(self) -> None:
        base, self._base = self._base, None
        if base is not None:
            with suppress(sqlite3.Error):
                base.close()


def _opened(path: Path) -> sqlite3.Connection:
    """The file of outcomes, made where there is none. OSError where others could write to it."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    _check_own(path.parent.stat(), stat.S_ISDIR)
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
    try:
        _check_own(os.fstat(handle), stat.S_ISREG)
    finally:
        os.close(handle)
    # Each statement is a transaction of its own, so that no run keeps another waiting.
    base = sqlite3.connect(path, timeout=_WAIT_S, isolation_level=None)
    try:
        for word in _SETTINGS:
            base.execute(f"PRAGMA {word}")
        base.execute(_TABLE)
    except sqlite3.Error:
        base.close()
        raise
    return base


def _check_own(status: os.stat_result, is_kind: Callable[[int], bool]) -> None:
    """OSError unless it is of this kind, ours, and nobody else's to write."""
    foreign = hasattr(os, "geteuid") and status.st_uid != os.geteuid()
    loose = os.name == "posix" and status.st_mode & 0o022
    if foreign or loose or not is_kind(status.st_mode):
        raise OSError("a cache that others can write is not read")


def _digest_of(path: str) -> str | None:
    """The digest of a file's bytes, None where there is none; "" where it cannot be read."""
    try:
        return sha256(file_bytes(Path(path))).hexdigest()
    except FileNotFoundError:
        return None
    except OSError:
        return ""
