"""Which boards a change reaches: by their own text, what they include, and what is stated about them."""

import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from drc.gate.search import INTENT_SUFFIX, bill_beside, file_beside, included, own_intent
from drc.gate.tree import DISK, Tree


def reached(
    boards: Sequence[Path],
    changed: Iterable[Path],
    shared: Iterable[Path],
    roots: Sequence[Path],
    tree: Tree = DISK,
) -> tuple[Path, ...]:
    """The boards that changed files have a part in, in the order given.

    A changed file of `shared` (settings, part files, rule books, an intent or a bill of materials that is
    named) reaches every board. `roots` are the folders that includes may be relative to. A file that was
    taken away counts as changed as well.
    """
    new = {_plain(path) for path in changed}
    if new & {_plain(path) for path in shared}:
        return tuple(boards)
    return tuple(board for board in boards if new & _parts_of(board, roots, tree))


def _parts_of(board: Path, roots: Sequence[Path], tree: Tree) -> set[Path]:
    """The board, all that it includes at any depth, and where its own statements and materials would lie."""
    parts = {_plain(board), _plain(own_intent(board)), _plain(bill_beside(board))}
    beside, _ = file_beside(board, tree)
    parts.add(_plain(beside or board.with_suffix(INTENT_SUFFIX)))
    waiting = [board]
    while waiting:
        for path in included(waiting.pop(), roots, tree):
            if _plain(path) not in parts:
                parts.add(_plain(path))
                waiting.append(path)
    return parts


def _plain(path: Path) -> Path:
    """The path with links followed, whether or not a file is there."""
    return Path(os.path.realpath(path))
