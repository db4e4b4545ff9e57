"""The place in a part file that is being read, and the refusals gathered there."""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from drc.trouble import Place, Trouble

_WORD = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEYS = rf"(?P<keys>{_WORD}(?:\s*\.\s*{_WORD})*)"
_HEADER = re.compile(rf"\s*\[\[?\s*{_KEYS}\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(rf"\s*{_KEYS}\s*=")
_NAME = re.compile(_WORD)


class Source(NamedTuple):
    """A part file: its path as reported, and its text."""

    path: str
    text: str


class Owner(NamedTuple):
    """A part as one file defines it: its name there, and the file."""

    part: str
    source: Source


class At(NamedTuple):
    """Where reading stands: the keys below the part, who wrote what they hold, and where refusals go.

    `owner` is asked with the keys, for a part that is `like` another holds what the other's file says.
    """

    owner: Callable[[tuple[str, ...]], Owner]
    sink: list[Trouble]
    keys: tuple[str, ...] = ()

    def below(self, key: str) -> "At":
        """The place of a key of the table that stands here."""
        return self._replace(keys=(*self.keys, key))

    def refuse(self, found: object, expected: str) -> None:
        """Note that what stands here is not what it should be: a value of the file, or Words about it."""
        key = ".".join(self.keys)
        part, source = self.owner(self.keys)
        where = f"part {part}" + (f", key {key}" if key else "")
        message = f"{where}: found {shown(found)}, expected {expected}"
        self.sink.append(file_trouble(source, ("part", part, *self.keys), message))


def file_trouble(source: Source, keys: Sequence[str], message: str) -> Trouble:
    """A refusal at the line that sets the deepest of these keys, or at the file as a whole."""
    place = key_place(source, keys)
    return Trouble("part-file", "error", place, message, excerpt(source.text, place.line))


def excerpt(text: str, line: int) -> str:
    """A line of a text, counted from 1; empty for line 0."""
    return text.split("\n")[line - 1].rstrip("\r") if line else ""


class Words(str):
    """What was found, in words of ours, not a string of the file: not quoted."""

    __slots__ = ()


def shown(value: object) -> str:
    """A value as a refusal quotes it: short, on one line, as the file would write it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Words):
        return str(value)
    if isinstance(value, str):
        text = value if len(value) <= 60 else value[:57] + "..."
        return f'"{text}"' if text.isprintable() else f'"{text.encode("unicode_escape").decode("ascii")}"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    return str(value)


def nearest(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?` for the known name nearest to a wrong one, or nothing."""
    from difflib import get_close_matches

    folded = {k.casefold(): k for k in known}
    close = get_close_matches(name.casefold(), folded, n=1, cutoff=0.7)
    return f"; did you mean {folded[close[0]]}?" if close else ""


def key_place(source: Source, keys: Sequence[str]) -> Place:
    """Where a TOML text sets a key, or the nearest table above it that it sets; line 0 if none."""
    written = _written(source)
    for depth in range(len(keys), 0, -1):
        found = written.get(tuple(keys[:depth]))
        if found is not None:
            return _inside(found, keys[depth:])
    return Place(source.path)


class Written(NamedTuple):
    """A key's first line: its place, the line, and where the key's value begins in it."""

    place: Place
    line: str
    start: int


@lru_cache(maxsize=4)
def _written(source: Source) -> dict[tuple[str, ...], Written]:
    """Where each key, and each table above one, is first written."""
    table: tuple[str, ...] = ()
    found: dict[tuple[str, ...], Written] = {}
    for number, line in enumerate(source.text.split("\n"), 1):
        header = _HEADER.match(line)
        match = header or _KEY.match(line)
        if match is None:
            continue
        names = tuple(_bare(name) for name in _NAME.findall(match["keys"]))
        path = names if header else table + names
        if header:
            table = names
        place = Place(source.path, number, match.start("keys") + 1, len(match["keys"]))
        for depth in range(1, len(path) + 1):
            found.setdefault(path[:depth], Written(place, line, match.end()))
    return found


def _inside(found: Written, rest: Sequence[str]) -> Place:
    """The place of the keys that an inline table on the same line sets, as far as they are found."""
    place, line, start = found
    for key in rest:
        match = re.compile(rf"""(?<![\w.-])["']?{re.escape(key)}["']?\s*=""", re.IGNORECASE).search(
            line, start
        )
        if match is None:
            break
        start = match.end()
        place = place._replace(column=match.start() + 1, length=len(match[0].rstrip("= \t")))
    return place


def _bare(name: str) -> str:
    """A TOML key without its quotes."""
    return name[1:-1] if name[:1] in {'"', "'"} else name
