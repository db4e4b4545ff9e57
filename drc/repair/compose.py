"""Edits made one after another, told as edits of the text as it was before any of them."""

from collections.abc import Sequence
from typing import NamedTuple

from drc.circuit.model import Token
from drc.judge.model import Edit


class _Laid(NamedTuple):
    """An edit of the old text, and where its new text lies in the text that it makes."""

    edit: Edit
    start: int
    end: int


def composed(first: Sequence[Edit], second: Sequence[Edit]) -> tuple[Edit, ...] | None:
    """The edits that do at once what `first` and, in the text that it makes, `second` do.

    None where a second edit reaches over the rim of what a first one wrote. What ends as it began is gone.
    """
    laid = _laid(first)
    made: dict[Token, Edit] = {item.edit.token: item.edit for item in laid}
    for edit in sorted(second, key=lambda each: each.token.start, reverse=True):  # from behind: places hold
        own = [item for item in laid if item.edit.token.path == edit.token.path]
        over = next((i for i in own if edit.token.start < i.end and edit.token.end > i.start), None)
        if over is None:
            moved = _moved(edit.token, own)
            made[moved] = edit._replace(token=moved)
        elif over.start <= edit.token.start and edit.token.end <= over.end:
            written = made[over.edit.token]
            head, tail = edit.token.start - over.start, edit.token.end - over.start
            new = written.new[:head] + edit.new + written.new[tail:]
            made[over.edit.token] = written._replace(new=new)
        else:
            return None
    kept = (edit for edit in made.values() if edit.new != edit.token.text)
    return tuple(sorted(kept, key=lambda edit: (edit.token.path, edit.token.start)))


def _laid(edits: Sequence[Edit]) -> list[_Laid]:
    """Each edit with the place of its new text, file by file in the order of the text."""
    laid: list[_Laid] = []
    shift: dict[str, int] = {}
    for edit in sorted(edits, key=lambda each: (each.token.path, each.token.start)):
        token = edit.token
        start = token.start + shift.get(token.path, 0)
        laid.append(_Laid(edit, start, start + len(edit.new)))
        shift[token.path] = shift.get(token.path, 0) + len(edit.new) - (token.end - token.start)
    return laid


def _moved(token: Token, laid: Sequence[_Laid]) -> Token:
    """A token of the new text at its place in the old."""
    before = [item for item in laid if item.end <= token.start]
    shift = sum(len(item.edit.new) - (item.edit.token.end - item.edit.token.start) for item in before)
    return token._replace(start=token.start - shift, end=token.end - shift)
