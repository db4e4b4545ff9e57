"""Whether a block's enable and reset pins let it run."""

from typing import Literal

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.logic import logic_level
from drc.facts.model import Fact, Unknown


def running(book: Book, block: Block) -> Fact:
    """`always`, `never` or `switched`; unknown where an enable or reset pin's level is not known."""
    found = book.once(("running", block.path), lambda: _running(book, block))
    return Fact("block.running", found) if isinstance(found, Unknown) else found


def _running(book: Book, block: Block) -> Fact:
    name = "block.running"
    states = [
        (role, _lets_run(book, block, role)) for role in ("enable", "reset") if block.net(role) is not None
    ]
    if not states:
        return Fact(name, "always", f"{block.path} has no enable or reset pin")
    for role, state in states:
        net = block.net(role)
        if state == "never" and net is not None:
            active = "inactive" if role == "enable" else "active"
            return Fact(name, "never", f"{net.name} holds its {role} pin {active}")
    for _, state in states:
        if isinstance(state, Unknown):
            return Fact(name, state)
    value = "switched" if any(state == "switched" for _, state in states) else "always"
    return Fact(name, value, f"by the level of the {' and '.join(role for role, _ in states)} pin")


def _active(block: Block, role: str) -> str | None:
    """The level at which an enable or reset pin acts, by the part file."""
    pin = block.part.inputs.get(role)
    active = pin.active if pin is not None else None
    return block.part.reset_active or active if role == "reset" else active


def stopped_while(book: Book, block: Block, driver: str, level: str) -> str | None:
    """The pin by which a block is stopped while another's output is at a level; None where none is known."""
    from drc.facts.chains import chains  # which few expectations ask for

    for chain in chains(book):
        if (chain.driven.path, chain.driver.path) != (block.path, driver) or chain.inverted is None:
            continue
        if chain.role not in ("enable", "reset") or chain.coupled:
            continue
        acts = (level == _active(block, chain.role)) != chain.inverted
        if _active(block, chain.role) is not None and acts != (chain.role == "enable"):
            return chain.role
    return None


def _lets_run(book: Book, block: Block, role: str) -> Literal["always", "never", "switched"] | Unknown:
    """Whether one of the two pins lets the block run."""
    active = _active(block, role)
    if active is None:
        because = f"part {block.part.name} does not say at which level its {role} pin is active"
        return Unknown(because, (f"{block.part.name} {role} active",))
    level = logic_level(book, block, role)
    if isinstance(level, Unknown) or level == "switched":
        return level
    return "always" if (level == active) == (role == "enable") else "never"
