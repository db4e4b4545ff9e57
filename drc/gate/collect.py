"""The facts that reports print of each block and of each pair of a chain, gathered from the Book."""

from collections.abc import Mapping
from typing import Literal

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.catalogue import ENTRIES
from drc.facts.chains import chains, loop_of
from drc.facts.model import Fact, Subject
from drc.gate.rounding import rounded_fact
from drc.outcome import BlockOutcome, ChainOutcome

Depth = Literal["verdicts", "facts", "all"]
"""How much is gathered: verdicts alone, facts too, or facts with their Monte Carlo spread."""

TIMING: Mapping[str, frozenset[str]] = {
    "oscillator": frozenset({"frequency", "period", "steering_low", "steering_high"}),
    "slow-oscillator": frozenset({"frequency", "period", "steering_low", "steering_high"}),
    "pulse-modulator": frozenset({"frequency", "period", "duty"}),
    "one-shot": frozenset({"pulse_width"}),
    "edge-delay": frozenset({"delay", "delay_rising", "delay_falling"}),
    "rc-timer": frozenset({"frequency", "period", "pulse_width", "duty"}),
}
"""The times that a function makes."""

_STAGES = ("supply.", "ambient.", "strap.", "rate.", "timing.", "output.")


def block_outcomes(book: Book, depth: Depth) -> tuple[BlockOutcome, ...]:
    """Every block with its facts, in source order; without facts where only verdicts are wanted."""
    return tuple(
        _block_outcome(book, subject, subject.block, depth)
        for subject in book.subjects("block")
        if subject.block is not None
    )


def _block_outcome(book: Book, subject: Subject, block: Block, depth: Depth) -> BlockOutcome:
    """One block, with as much as the depth asks for."""
    facts = {} if depth == "verdicts" else block_facts(book, subject, depth)
    if depth != "all":
        return BlockOutcome(block, facts)
    from drc.gate.surroundings import expected, strap_draws, surroundings  # only what is drawn needs it

    drawn = surroundings(book, block)
    return BlockOutcome(block, facts, drawn, strap_draws(book, block), expected(book, block))


def chain_outcomes(book: Book, depth: Depth) -> tuple[ChainOutcome, ...]:
    """Every pair of a chain with its facts, by driver; none where only verdicts are wanted."""
    if depth == "verdicts":
        return ()
    names = [entry.name for entry in ENTRIES if entry.subject == "pair"]
    about = {subject.path: subject for subject in book.subjects("pair")}
    return tuple(
        ChainOutcome(
            chain.driver.path,
            chain.driven.path,
            chain.role,
            chain.inverted,
            chain.through,
            loop_of(book, chain),
            {name: rounded_fact(book.fact(about[chain.path], name)) for name in names},
        )
        for chain in chains(book)
    )


def block_facts(book: Book, subject: Subject, depth: Depth) -> dict[str, Fact]:
    """The facts about one block that bear on what it is, by name; numbers rounded."""
    names = (
        entry.name for entry in ENTRIES if entry.subject == "block" and _told(entry.name, subject, depth)
    )
    return {name: rounded_fact(book.fact(subject, name)) for name in names}


def _told(name: str, subject: Subject, depth: Depth) -> bool:
    """Whether a fact is one to gather for this block."""
    block = subject.block
    if block is None or not name.startswith(_STAGES):
        return False
    if name.endswith(".monte_carlo") and depth != "all":
        return False
    if name.startswith("timing."):
        return name.split(".")[1] in TIMING.get(block.part.function, frozenset())
    if name.startswith("strap."):
        return block.part.strap is not None
    return block.part.rate is not None if name.startswith("rate.") else True
