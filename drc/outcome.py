"""What a whole review is: types only, read by every report."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import SourceFile
from drc.facts.model import Fact
from drc.judge.model import Finding, TallyEntry
from drc.trouble import Level

State = Literal["new", "known", "accepted"]


class Acceptance(NamedTuple):
    """Who accepted a finding, why, and until when."""

    because: str
    by: str | None
    until: str | None


class Ruling(NamedTuple):
    """A finding with what the gate makes of it."""

    finding: Finding
    state: State
    fingerprint: str
    acceptance: Acceptance | None = None


class BlockOutcome(NamedTuple):
    """A block and the facts that the reports print of it, by catalogue name."""

    block: Block
    facts: Mapping[str, Fact]


class BoardOutcome(NamedTuple):
    """One board's review. `error` is set, and the rest empty, where it could not be read as a whole.

    `bug`: the error is our own fault, not the board's.
    """

    path: str
    sha256: str
    elements: int
    nets: int
    error: str | None
    blocks: tuple[BlockOutcome, ...]
    rulings: tuple[Ruling, ...]
    tally: tuple[TallyEntry, ...]
    inputs: tuple[SourceFile, ...]
    bug: bool = False


class Review(NamedTuple):
    """All boards of one run, and the settings that bear on the verdict. `date` is ISO 8601."""

    version: str
    date: str
    seed: int
    draws: int
    gate: Level
    passed: bool
    inputs: tuple[SourceFile, ...]
    boards: tuple[BoardOutcome, ...]
