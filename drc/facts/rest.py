"""What the output does while the block makes no time: idle, disabled, powering up, its rate lost."""

from collections.abc import Callable

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.clock import settings_in_force
from drc.facts.functions import called
from drc.facts.logic import logic_level
from drc.facts.model import Entry, Fact, Subject, Unknown

_OTHER = {"low": "high", "high": "low"}

TRIGGERED = frozenset({"one-shot", "edge-delay"})
"""Functions that wait for an input's edge."""


def rest_entries() -> tuple[Entry, ...]:
    """The catalogue's lines of rest; each is `low`, `high` or `open`, or unknown."""
    lines: tuple[tuple[str, str, Callable[[Book, Block, str], Fact]], ...] = (
        ("output.rest", "output while idle, reset or not enabled: low, high or open", rest),
        ("rest.idle", "output of a block that waits for an edge", idle),
        ("rest.disabled", "output while reset or not enabled", disabled),
        ("rest.power_up", "output as the supply comes up", power_up),
        ("rest.lost_rate", "output once the timing resistor is lost", lost_rate),
    )
    return tuple(
        Entry(name, "block", "name", meaning, _line(name, compute)) for name, meaning, compute in lines
    )


def _line(name: str, compute: Callable[[Book, Block, str], Fact]) -> Callable[[Book, Subject], Fact]:
    """A fact of the subject's block."""

    def line(book: Book, subject: Subject) -> Fact:
        assert subject.block is not None
        return compute(book, subject.block, name)

    return line


def rest(book: Book, block: Block, name: str) -> Fact:
    """Idle for a one-shot or delay, reset or not enabled for the others; low for an RC timer either way."""
    if block.part.function == "rc-timer":
        law = "the output of an RC timer is low while its discharge switch holds the capacitor empty"
        return Fact(name, "low", law)
    row = settings_in_force(book, block)
    if isinstance(row, Unknown):
        return Fact(name, row)
    if row.rest is not None:
        return Fact(name, row.rest, f"the part file's rest for code {row.code}")
    return (idle if block.part.function in TRIGGERED else disabled)(book, block, name)


def idle(book: Book, block: Block, name: str) -> Fact:
    """A one-shot's inactive level, by its code's rest or its polarity; a delay's as its input rests."""
    if block.part.function not in TRIGGERED:
        return Fact(name, Unknown(f"{called(block.part.function)} is never idle"))
    row = settings_in_force(book, block)
    if isinstance(row, Unknown):
        return Fact(name, row)
    if block.part.function == "edge-delay":
        return _follows(book, block, name, inverted=row.inverted)
    if row.rest is not None:
        return Fact(name, row.rest, f"the part file's rest for code {row.code}")
    law = "a pulse is the active level, and polarity says which that is; idle is the other"
    return Fact(name, "high" if row.inverted else "low", law)


def disabled(_: Book, block: Block, name: str) -> Fact:
    """What the part file says of the output while reset or not enabled; an RC timer's is low."""
    if block.part.function == "rc-timer":
        return Fact(name, "low", "reset turns an RC timer's discharge switch on and its output low")
    found = next((drive.disabled for drive in block.part.outputs if drive.disabled is not None), None)
    if found is None:
        because = f"part {block.part.name} does not say what its output does while it makes no time"
        return Fact(name, Unknown(because, (f"{block.part.name} output.disabled",)))
    return Fact(name, found, "the part file's output while reset or not enabled")


def power_up(book: Book, block: Block, name: str) -> Fact:
    """An astable RC timer begins high, its capacitor empty; what other blocks do no part file says."""
    if block.part.function == "rc-timer":
        from drc.facts.rc_timer import wired

        found = wired(book, block)
        if isinstance(found, Unknown):
            return Fact(name, found)
        if found.kind != "one-shot":
            return Fact(
                name, "high", "the empty capacitor is below the lower threshold: the output goes high"
            )
    because = f"part {block.part.name} does not say what its output does until it has started"
    return Fact(name, Unknown(because, (f"{block.part.name} output as the supply comes up",)))


def lost_rate(book: Book, block: Block, name: str) -> Fact:
    """A one-shot without rate current never ends a pulse; the others stop wherever they are."""
    if block.part.function != "one-shot":
        because = f"without rate current {block.path} stops at whichever level it is at"
        return Fact(name, Unknown(because, ("output level",)))
    waiting = idle(book, block, name)
    if not isinstance(waiting.value, str):
        return waiting
    law = "without rate current a pulse that was triggered never ends"
    return Fact(name, _OTHER[waiting.value], law)


def _follows(book: Book, block: Block, name: str, *, inverted: bool) -> Fact:
    """A delay's output rests as its input does: what the network holds the input at, against its levels."""
    level = logic_level(book, block, "signal")
    if isinstance(level, Unknown):
        return Fact(name, level)
    if level == "switched":
        return Fact(name, Unknown(f"the output of {block.path} follows its input, which is switched"))
    law = f"the output follows its input, which rests {level}"
    return Fact(name, _OTHER[level] if inverted else level, law)
