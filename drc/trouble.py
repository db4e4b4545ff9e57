"""Where something stands in an input, what is wrong with it, and the errors that stop a run."""

from typing import Literal, NamedTuple

Level = Literal["error", "warning", "note"]

LEVELS: tuple[Level, ...] = ("note", "warning", "error")
"""From the mildest to the gravest."""


class Place(NamedTuple):
    """A run of characters in an input file.

    `path` is POSIX and relative to the project root. `line` and `column` count from 1, in characters
    of the original text; line 0 is the file as a whole. `length` is the number of characters meant.
    """

    path: str
    line: int = 0
    column: int = 1
    length: int = 0

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}" if self.line else self.path


class Trouble(NamedTuple):
    """Something in an input that could not be read, or contradicts itself; reading went on after it.

    `message` is one line: what was found, what was expected, what to do. `excerpt` is the source line
    as written, so that a caret can be set under `place`. `nets` are the nets that the lost text seems to
    name: a net touching it never counts as solved.
    """

    kind: str
    level: Level
    place: Place
    message: str
    excerpt: str = ""
    others: tuple[Place, ...] = ()
    nets: tuple[str, ...] = ()


class TickproofError(Exception):
    """The root of every error that this package raises on purpose."""


class InputError(TickproofError):
    """A named input (board, settings, rules, part file, option) is wrong as a whole: exit code 2.

    Carries at least one trouble; each is printed as one line.
    """

    def __init__(self, *troubles: Trouble) -> None:
        super().__init__("; ".join(f"{t.place}: {t.message}" for t in troubles))
        self.troubles = troubles

    def __reduce__(self) -> tuple[type["InputError"], tuple[Trouble, ...]]:
        # An error of a worker process comes back as it was.
        return type(self), self.troubles
