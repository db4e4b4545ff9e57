"""Which block, element and net of a board answers to which of another: by name, else by wiring."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.blocks.model import Block, Board

By = Literal["name", "wiring"]


class Pair(NamedTuple):
    """A block of the board before and the one that answers to it after; a side is None where none does."""

    before: Block | None
    after: Block | None
    by: By | None


class Matched(NamedTuple):
    """Blocks in pairs, in the order of the board before, then what is new.

    `names` gives, for each name before (in lower case) that is another after, what it is after.
    """

    pairs: tuple[Pair, ...]
    names: Mapping[str, str] = {}

    def after(self, path: str) -> str:
        """What a name of the board before is called after."""
        return self.names.get(path.casefold(), path)

    def subject(self, subject: str) -> str:
        """What a rule spoke of, with each of its names as it is after."""
        return " ".join(map(self.after, subject.split(" ")))


def matched(before: Board, after: Board) -> Matched:
    """The blocks of two boards in pairs."""
    there = {block.path.casefold(): block for block in after.blocks}
    pairs: list[Pair] = []
    for block in before.blocks:
        other = there.pop(block.path.casefold(), None)
        pairs.append(Pair(block, other, None if other is None else "name"))
    pairs += [Pair(None, block, None) for block in there.values()]
    return Matched(tuple(pairs))
