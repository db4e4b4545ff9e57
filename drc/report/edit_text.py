"""Edits in words: what stands there now and what comes in its place, and lines that come before it."""

import re
from collections.abc import Iterator, Sequence

from drc.judge.model import Edit

_LINE_END = re.compile(r"\r\n|\n|\r")


def parted(edit: Edit) -> tuple[tuple[str, ...], str]:
    """The lines that an edit puts before the one of its token, and what becomes of the token itself."""
    *lines, last = _LINE_END.split(edit.new)
    return tuple(lines), last


def told(edit: Edit) -> Iterator[str]:
    """One edit: `R6 V9 CFG 68.1k added`, `R3 66.5k -> 243k`."""
    lines, last = parted(edit)
    yield from (f"{line} added" for line in lines)
    if last != edit.token.text:
        yield f"{edit.element} {edit.token.text} -> {last}"


def by_element(edits: Sequence[Edit]) -> Iterator[str]:
    """All edits, an element a line: lines added first, then `XU1 VDD CFG -> CFG VDD`."""
    changed: dict[tuple[str, str], list[tuple[int, str, str]]] = {}
    for edit in edits:
        lines, last = parted(edit)
        yield from (f"{line} added" for line in lines)
        if last != edit.token.text:
            key = (edit.element, edit.token.path)
            changed.setdefault(key, []).append((edit.token.start, edit.token.text, last))
    for (element, _), tokens in changed.items():
        olds, news = (" ".join(texts) for texts in list(zip(*sorted(tokens), strict=True))[1:])
        yield f"{element} {olds} -> {news}"
