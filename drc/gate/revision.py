"""Files as they are at a revision under version control, read out of git's objects.

The work tree is never read and nothing is checked out. Revisions reach git through a pipe, never as an
argument, so that one which begins with `-` is no option.
"""

import os
import subprocess
from collections.abc import Callable, Mapping
from errno import EISDIR, ELOOP, ENOENT
from pathlib import Path, PurePosixPath
from typing import IO, NamedTuple, cast
from weakref import finalize

from drc.bounded import LARGEST, stream_bytes
from drc.gate.refusal import refused
from drc.trouble import InputError

STAGED = ""
"""The revision that is not committed yet: what is staged, git's index."""

_LINK = "120000"
_FILES = frozenset({"100644", "100755", _LINK})
_LINKS_FOLLOWED = 16
_LONGEST_LINK = 4096
"""Bytes of a link's target, as many as a path may have."""


class Entry(NamedTuple):
    """A file of a revision: git's mode of it, and the name of its object."""

    mode: str
    blob: str


class Revision:
    """The files of a repository at a revision: called with a path, it gives the bytes that stand there.

    `top` is the folder that holds the repository's work tree.
    """

    def __init__(self, git: "Git", name: str, entries: Mapping[str, Entry]) -> None:
        self.top = git.top
        self.name = name
        self._git = git
        self._entries = entries

    def __call__(self, path: Path, largest: int = LARGEST) -> bytes:
        """The bytes of a file at this revision. FileNotFoundError, IsADirectoryError where it has none.

        OSError where it is beyond a bound, as of a file on disk.
        """
        entry = self._entry(path)
        if entry is None:
            code = EISDIR if any(self.paths(path)) else ENOENT
            raise OSError(code, f"there is no such file {self.described}", str(path))
        return self._git.blob(entry.blob, largest)

    def is_file(self, path: Path) -> bool:
        """Whether the revision has a file there."""
        try:
            return self._entry(path) is not None
        except OSError:
            return False

    def holds(self, path: Path) -> bool:
        """Whether a path lies in the repository, so that the revision decides what is there."""
        return self._inner(path) is not None

    def paths(self, folder: Path | None = None) -> list[Path]:
        """Every file below a folder (None: all of the repository), sorted."""
        inner = "." if folder is None else self._inner(folder)
        if inner is None:
            return []
        start = "" if inner == "." else f"{inner}/"
        return sorted(self.top / name for name in self._entries if name.startswith(start))

    def changes(self) -> list[Path]:
        """The files that are staged otherwise than last committed: new, changed or taken away; sorted."""
        listed = self._git.run("diff", "--cached", "--name-only", "--no-renames", "--no-relative", "-z")
        return sorted(self.top / os.fsdecode(name) for name in listed.split(b"\0")[:-1])

    @property
    def described(self) -> str:
        """Where that is, as the end of a sentence."""
        return f"at revision {self.name}" if self.name else "among what is staged"

    def _entry(self, path: Path) -> Entry | None:
        """The entry of a path, links followed as far as they stay in the repository."""
        name = self._inner(path)
        for _ in range(_LINKS_FOLLOWED):
            entry = None if name is None else self._entries.get(name)
            if entry is None or name is None or entry.mode != _LINK:
                return entry
            target = os.fsdecode(self._git.blob(entry.blob, _LONGEST_LINK))
            name = self._inner(self.top / PurePosixPath(name).parent / target)
        raise OSError(ELOOP, f"links run in a circle {self.described}", str(path))

    def _inner(self, path: Path) -> str | None:
        """The path as git has it, None outside the repository."""
        whole = Path(os.path.abspath(path))
        for top in (self.top, self.top.resolve()):
            if whole.is_relative_to(top):
                return whole.relative_to(top).as_posix()
        return None


class Git:
    """A repository's objects, through one process that hands them out."""

    def __init__(self, root: Path) -> None:
        # A hook sets GIT_DIR relative to where it starts, and git then takes that folder as the top.
        self._at = Path.cwd() if "GIT_DIR" in os.environ else root
        self.top = Path(os.fsdecode(self.run("rev-parse", "--show-toplevel").removesuffix(b"\n")))
        self._opened: tuple[int, subprocess.Popen[bytes]] | None = None

    def run(self, *arguments: str) -> bytes:
        """What a git command prints. InputError with git's own reason where it fails."""
        try:
            done = subprocess.run(["git", *arguments], cwd=self._at, capture_output=True, check=False)
        except FileNotFoundError:
            raise no_git() from None
        if done.returncode:
            reason = done.stderr.decode("utf-8", "replace").strip().partition("\n")[0]
            raise refused(
                str(self._at), f"git: {reason.removeprefix('fatal: ')}: expected a folder of a repository"
            )
        return done.stdout

    def blob(self, name: str, largest: int = LARGEST) -> bytes:
        """The bytes of an object. FileNotFoundError where the repository lacks it, OSError beyond bounds."""
        _, data = self.object(name, largest)
        return data

    def object(self, name: str, largest: int = LARGEST) -> tuple[str, bytes]:
        """An object's name in full and its bytes, by any name that git knows. FileNotFoundError: none.

        OSError where it is beyond a bound: then it is not read to its end.
        """
        asked, told = self._pipes()
        asked.write(name.encode("utf-8", "surrogateescape") + b"\n")
        asked.flush()
        header = told.readline().split()
        if len(header) != 3 or not header[2].isdigit():
            raise FileNotFoundError(ENOENT, "git has no such object", name)
        try:
            data = stream_bytes(told, int(header[2]), largest)
        except OSError:
            self._leave()
            raise
        told.read(1)
        return header[0].decode(), data

    def _leave(self) -> None:
        """Ends the process that hands out objects, in the midst of one; whoever asks next starts another."""
        if self._opened is not None:
            self._opened[1].kill()  # a forked worker may hold its pipe too, so that it would never notice
            _end(self._opened[1])
            self._opened = None

    def _pipes(self) -> tuple[IO[bytes], IO[bytes]]:
        """To and from the process that hands out objects; a forked worker starts one of its own."""
        if self._opened is None or self._opened[0] != os.getpid():
            pipe, null = subprocess.PIPE, subprocess.DEVNULL
            process = subprocess.Popen(
                ["git", "cat-file", "--batch"], cwd=self._at, stdin=pipe, stdout=pipe, stderr=null
            )
            finalize(self, _end, process)
            self._opened = (os.getpid(), process)
        process = self._opened[1]
        return cast(IO[bytes], process.stdin), cast(IO[bytes], process.stdout)


def revision_at(root: Path, revision: str) -> Revision:
    """The files of the repository about `root` at a revision; STAGED: as they are staged.

    InputError where there is no git, no repository, or no such revision.
    """
    git = Git(root)
    if revision == STAGED:
        return Revision(git, revision, _staged(git))
    try:
        if "\n" in revision or "\0" in revision:
            raise FileNotFoundError
        tree, _ = git.object(f"{revision}^{{tree}}")
    except FileNotFoundError:
        message = f"no such revision in {git.top}: expected a commit, a branch or a tag"
        raise refused(revision, message) from None
    return Revision(git, revision, _committed(git, tree))


def source_at(root: Path, revision: str) -> Callable[[Path], bytes]:
    """What reads a file as it is at a revision: `revision_at`, for who needs no more than the bytes."""
    return revision_at(root, revision)


def no_git() -> InputError:
    """The error where git itself is missing."""
    return refused("git", "is not installed or not on the search path: it is what reads revisions")


def _committed(git: Git, tree: str) -> dict[str, Entry]:
    """The files of a tree, by path from the repository's top."""
    listed = git.run("ls-tree", "-r", "-z", "--full-tree", tree)
    return _entries(listed, lambda fields: Entry(fields[0], fields[2]))


def _staged(git: Git) -> dict[str, Entry]:
    """The files of the index; one that a merge left in conflict is none of them."""
    listed = git.run("ls-files", "-s", "-z", "--full-name", "--", ":/")
    return _entries(listed, lambda fields: Entry(fields[0], fields[1]) if fields[2] == "0" else None)


def _entries(listed: bytes, entry: Callable[[list[str]], Entry | None]) -> dict[str, Entry]:
    """Lines of `fields TAB path`, each ended by a zero byte; another repository within is no file."""
    found: dict[str, Entry] = {}
    for line in listed.split(b"\0")[:-1]:
        fields, _, name = line.partition(b"\t")
        made = entry(fields.decode().split())
        if made is not None and made.mode in _FILES:
            found[os.fsdecode(name)] = made
    return found


def _end(process: subprocess.Popen[bytes]) -> None:
    """Lets the process go: it ends where its input does."""
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            stream.close()
    process.wait()
