"""Part files to Parts, from the cache where their text was compiled before, and parts by name."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from drc.blocks.codec import decode_part, encode
from drc.blocks.model import Part, Parts
from drc.resources import JSON, OWN, compiled, data_root
from drc.trouble import InputError, Place, Trouble

_SEPARATORS = "-_/."


class PartTable(Mapping[str, Part]):
    """Parts by name or pattern as written; a part is made from its JSON when it is first asked for.

    A key may be given in any letter case.
    """

    def __init__(self, rows: Mapping[str, JSON | Part]) -> None:
        self._names = {name.casefold(): name for name in rows}
        self._rows = {name.casefold(): row for name, row in rows.items()}
        patterns = [folded for folded in self._rows if "*" in folded]
        # The longest literal prefix first: the first match then wins.
        self._patterns = sorted(patterns, key=lambda folded: (-folded.index("*"), folded))
        self._matched: dict[str, Match | None] = {}

    def __getitem__(self, name: str) -> Part:
        folded = name.casefold()
        row = self._rows[folded]
        if not isinstance(row, Part):
            row = decode_part(row)
            self._rows[folded] = row
        return row

    def __iter__(self) -> Iterator[str]:
        return iter(self._names.values())

    def __len__(self) -> int:
        return len(self._rows)

    def match(self, name: str) -> "Match | None":
        """The part that a name on an element line means, remembered."""
        folded = name.casefold()
        if folded not in self._matched:
            self._matched[folded] = self._match(folded)
        return self._matched[folded]

    def base_of(self, name: str) -> Part | None:
        """The part that an unknown name begins with, what follows being none of its packages."""
        bases = (base for base, _ in _suffixes(name.casefold()) if "*" not in base and base in self._rows)
        base = next(bases, None)
        return self[base] if base is not None and self.match(name) is None else None

    def _match(self, folded: str) -> "Match | None":
        if folded in self._rows and "*" not in folded:
            return Match(self[folded], "")
        for base, package in _suffixes(folded):
            if base in self._rows and "*" not in base and (found := _package(self[base], package)):
                return Match(self[base], found)
        for pattern in self._patterns:
            if _fits(pattern, folded):
                part = self[pattern]
                packages = (_package(part, package) for _, package in _suffixes(folded))
                return Match(part, next(filter(None, packages), ""))
        return None


class Match(NamedTuple):
    """A part found by name, and the package that the name's ending chose (empty: none)."""

    part: Part
    package: str


def _fits(pattern: str, name: str) -> bool:
    """Whether a pattern means a name, `*` being any run of characters: each piece at its earliest place."""
    first, *middle, last = pattern.split("*")
    if not name.startswith(first) or not name.endswith(last) or len(name) < len(first) + len(last):
        return False
    at, end = len(first), len(name) - len(last)
    for piece in middle:
        found = name.find(piece, at, end)
        if found < 0:
            return False
        at = found + len(piece)
    return True


def _suffixes(name: str) -> Iterator[tuple[str, str]]:
    """Every way to split a name at a separator into a part's name and a package's, the longest base first."""
    for at in range(len(name) - 2, 0, -1):
        if name[at] in _SEPARATORS:
            yield name[:at], name[at + 1 :]


def _package(part: Part, name: str) -> str:
    """A part's package of that name in any letter case, as written; empty if it has none."""
    return next((p for p in part.packages if p.casefold() == name.casefold()), "")


def part_table(parts: Parts) -> PartTable:
    """The parts as a table that finds by name."""
    return parts.by_name if isinstance(parts.by_name, PartTable) else PartTable(parts.by_name)


def find_part(parts: Parts, name: str) -> Part | None:
    """The part that a name means, None if none does.

    Letter case is ignored. An exact name comes first, then an exact name with the name of one of its
    packages behind `-`, `_`, `/` or `.`, then the pattern with the longest text before its first `*`.
    """
    match = part_table(parts).match(name)
    return match.part if match else None


def load_parts(paths: Sequence[Path] = (), read: Callable[[Path], bytes] = Path.read_bytes) -> Parts:
    """The built-in parts and those of the given files, in that order; `read` gives the latter's bytes.

    Raises InputError with every refusal (kind `part-file`) if any file is wrong.
    """
    sources, hashes = _sources(paths, read)
    text = "\0".join(piece for source in sources for piece in source)
    rows = compiled("parts", text, lambda: _compile(sources))
    if not isinstance(rows, dict):
        raise TypeError("compiled parts are a table")
    return Parts(PartTable(rows), hashes)


def parse_parts(text: str, path: str = "parts.toml") -> Parts:
    """The parts of one text alone, without the built-in ones and without the cache. Raises InputError."""
    rows = _compile([(path, text)])
    return Parts(PartTable(rows if isinstance(rows, dict) else {}))


def _sources(
    paths: Sequence[Path], read: Callable[[Path], bytes]
) -> tuple[list[tuple[str, str]], tuple[tuple[str, str], ...]]:
    """(path, text) of the built-in and the given files, and (path, sha256) of each."""
    from hashlib import sha256

    root = data_root()
    built_in = sorted((root / "rules" / "parts").glob("*.toml"))
    own = [(path, OWN + path.relative_to(root).as_posix(), Path.read_bytes) for path in built_in]
    named = [*own, *((path, path.as_posix(), read) for path in paths)]
    sources, hashes, troubles = [], [], []
    for path, name, reader in named:
        try:
            data = reader(path)
            sources.append((name, data.decode("utf-8-sig")))
        except OSError as error:
            what = (error.strerror or "no file").lower()
            troubles.append(_unread(name, f"found a path that cannot be read ({what}), expected a part file"))
        except UnicodeDecodeError as error:
            message = f"found byte {data[error.start]:#04x} at offset {error.start}, expected UTF-8 text"
            troubles.append(_unread(name, message))
        else:
            hashes.append((name, sha256(data).hexdigest()))
    if troubles:
        raise InputError(*troubles)
    return sources, tuple(hashes)


def _unread(path: str, message: str) -> Trouble:
    return Trouble("part-file", "error", Place(path), message)


def _compile(sources: Sequence[tuple[str, str]]) -> JSON:
    """Every part of the (path, text) pairs as JSON by name. Raises InputError."""
    from drc.blocks.compiling import compile_parts
    from drc.blocks.refusal import Source

    return {part.name: encode(part) for part in compile_parts([Source(*pair) for pair in sources])}
