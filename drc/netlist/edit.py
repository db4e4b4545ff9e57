"""Edits of a file's text: the named characters change, every other byte stays as it is."""

from collections.abc import Sequence

from drc.circuit.model import Token
from drc.netlist.source import Source, decode
from drc.trouble import InputError, Place, Trouble


def edited(data: bytes, edits: Sequence[tuple[Token, str]]) -> bytes:
    """The bytes of a file with each token's characters replaced, in the file's own encoding.

    Raises InputError where the file no longer holds a token's text at its place, or two edits overlap.
    """
    path = edits[0][0].path if edits else ""
    source = decode(data, path)
    pieces: list[str] = []
    at = 0
    for token, new in sorted(edits, key=lambda edit: edit[0].start):
        found = source.text[token.start : token.end]
        if found != token.text or token.start < at:
            line = source.text.count("\n", 0, token.start) + 1
            column = token.start - (source.text.rfind("\n", 0, token.start) + 1) + 1
            message = f"found '{found}', expected '{token.text}': the file has changed, review it again"
            if token.start < at:
                message = f"two edits of '{token.text}' overlap: make one of them, then review again"
            raise InputError(Trouble("edit", "error", Place(path, line, column, len(token.text)), message))
        pieces += (source.text[at : token.start], new)
        at = token.end
    return _encoded(source, "".join((*pieces, source.text[at:])))


def _encoded(source: Source, text: str) -> bytes:
    """The text in the file's own encoding; a Latin-1 file that takes a letter beyond it becomes UTF-8."""
    try:
        return source.mark + text.encode(source.encoding)
    except UnicodeEncodeError:
        return text.encode("utf-8")
