"""Whether a statement's name or pattern means a path of the board."""

import re
from functools import lru_cache

from drc.intent.model import Pattern


def is_exact(pattern: Pattern) -> bool:
    """Whether a pattern is one name: quoted, or without a `*`."""
    return pattern.literal or "*" not in pattern.text


def matches(pattern: Pattern, path: str) -> bool:
    """Whether a pattern means this path (`R3`, `X1.n4`, `XU3/A`); letter case is ignored.

    Without `*` it is the exact path. With `*` (any run of characters but a dot) and no dot in it, it is
    held against the last component at any depth; with a dot, against the whole path. A quoted name is as is.
    """
    if is_exact(pattern):
        return pattern.text.casefold() == path.casefold()
    folded = path.casefold()
    if "." not in pattern.text:
        folded = folded.rpartition(".")[2]
    return _compiled(pattern.text.casefold()).fullmatch(folded) is not None


@lru_cache(maxsize=1024)
def _compiled(text: str) -> re.Pattern[str]:
    """A pattern's text as a regular expression that cannot blow up: each run of stars is one."""
    parts = re.split(r"\*+", text)
    return re.compile(r"[^.]*".join(re.escape(part) for part in parts), re.DOTALL)
