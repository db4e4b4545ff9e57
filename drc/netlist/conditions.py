"""`.if` `.elseif` `.else` `.endif`: which of their lines count."""

from drc.netlist.words import LineError, Word


class Conditions:
    """The conditions that are open at a line of a file."""

    def __init__(self) -> None:
        # Whether a branch counts (none does within one that does not); whether one was taken or may not be.
        self._branches: list[tuple[bool, bool]] = []
        self.opened: list[Word] = []

    @property
    def active(self) -> bool:
        """Whether lines count here."""
        return not self._branches or self._branches[-1][0]

    @property
    def wants_value(self) -> bool:
        """Whether the next `.elseif` has to be worked out: no branch before it held."""
        outside = len(self._branches) < 2 or self._branches[-2][0]
        return bool(self._branches) and outside and not self._branches[-1][1]

    def open(self, word: Word, holds: bool) -> None:
        """`.if`: in lines that do not count no branch ever will."""
        outside = self.active
        self._branches.append((outside and holds, holds or not outside))
        self.opened.append(word)

    def turn(self, word: Word, holds: bool) -> None:
        """`.elseif` or `.else`: counts where it holds and no branch before it did."""
        self._need(word)
        _, taken = self._branches[-1]
        self._branches[-1] = (holds and not taken, holds or taken)

    def close(self, word: Word) -> None:
        """`.endif`."""
        self._need(word)
        self._branches.pop()
        self.opened.pop()

    def _need(self, word: Word) -> None:
        if not self._branches:
            raise LineError(f"'{word.text}' without its .if; put the .if before it", word)
