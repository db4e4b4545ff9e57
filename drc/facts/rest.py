"""What the output does while the block makes no time: idle, under reset, or not enabled."""

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.clock import settings_in_force
from drc.facts.logic import logic_level
from drc.facts.model import Fact, Unknown

_OTHER = {"low": "high", "high": "low"}


def rest(book: Book, block: Block, name: str) -> Fact:
    """`low`, `high` or `open`: idle for a one-shot or delay, under reset or not enabled for the others."""
    if block.part.function == "rc-timer":
        law = "the output of an RC timer is low while its discharge switch holds the capacitor empty"
        return Fact(name, "low", law)
    row = settings_in_force(book, block)
    if isinstance(row, Unknown):
        return Fact(name, row)
    if row.rest is not None:
        return Fact(name, row.rest, f"the part file's rest for code {row.code}")
    if block.part.function == "one-shot":
        law = "a pulse is the active level, and polarity says which that is; idle is the other"
        return Fact(name, "high" if row.inverted else "low", law)
    if block.part.function == "edge-delay":
        return _follows(book, block, name, inverted=row.inverted)
    disabled = next((drive.disabled for drive in block.part.outputs if drive.disabled is not None), None)
    if disabled is None:
        because = f"part {block.part.name} does not say what its output does while it makes no time"
        return Fact(name, Unknown(because, (f"{block.part.name} output.disabled",)))
    return Fact(name, disabled, "the part file's output while reset or not enabled")


def _follows(book: Book, block: Block, name: str, *, inverted: bool) -> Fact:
    """A delay's output rests as its input does: what the network holds the input at, against its levels."""
    level = logic_level(book, block, "signal")
    if isinstance(level, Unknown):
        return Fact(name, level)
    if level == "switched":
        return Fact(name, Unknown(f"the output of {block.path} follows its input, which is switched"))
    law = f"the output follows its input, which rests {level}"
    return Fact(name, _OTHER[level] if inverted else level, law)
