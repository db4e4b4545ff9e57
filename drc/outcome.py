"""What a whole review is: types only, read by every report."""

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple

from drc.blocks.model import Block
from drc.circuit.model import SourceFile
from drc.facts.model import Fact
from drc.judge.model import Edit, Finding, Remedy, TallyEntry
from drc.quantity.span import Span
from drc.trouble import Level, Place

State = Literal["new", "known", "accepted"]

KNOWN_GONE = "known-finding-gone"
"""The rule of a finding about a known finding that is no longer met."""


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


class Neighbour(NamedTuple):
    """An element near a block: its path, letter, value or part as a reader knows it, and its nets by name.

    `polarity` tells kinds of one letter apart where a model says so: `npn`, `pnp`, `nmos`, `pmos`. `role` is
    that of a timing block's or helper's pin on the net that led here; `fitted` False: assembly leaves it out.
    """

    path: str
    kind: str
    text: str
    nets: tuple[str, ...]
    polarity: str = ""
    role: str = ""
    fitted: bool = True


class Surroundings(NamedTuple):
    """What hangs on a block's pins, as far as a drawing shows it.

    `rails` maps nets that hold themselves to (their voltage as text, whether they lie above ground);
    `grounds` are nets at node 0. `left_out` are nets on which more hangs than is listed.
    """

    elements: tuple[Neighbour, ...] = ()
    rails: Mapping[str, tuple[str, bool]] = {}
    grounds: frozenset[str] = frozenset()
    left_out: frozenset[str] = frozenset()


class Histogram(NamedTuple):
    """Draws of a Monte Carlo run counted in columns of equal width from `low` to `high`; what was drawn."""

    low: float
    high: float
    counts: tuple[int, ...]
    note: str


class Expected(NamedTuple):
    """An expectation of a block: the statement as written and where, what it wants, and what comes out.

    `quantity` is what it speaks of, as it is written: `period`, `pulse-width`.
    """

    text: str
    place: Place
    quantity: str
    wanted: Fact
    actual: Fact


class BlockOutcome(NamedTuple):
    """A block and the facts that the reports print of it, by catalogue name.

    `surroundings`, `strap_draws` (of the strap's ratio) and `expected` are there where a report draws the
    block.
    """

    block: Block
    facts: Mapping[str, Fact]
    surroundings: Surroundings | None = None
    strap_draws: Histogram | None = None
    expected: tuple[Expected, ...] = ()


class ChainOutcome(NamedTuple):
    """A block whose output acts on a pin of another, and the facts of the pair by catalogue name.

    `driver` and `driven` are block paths; `inverted` None: the level may arrive either way; `through` are
    the paths of the elements between; `loop` the blocks that act on each other, empty where none does.
    """

    driver: str
    driven: str
    role: str
    inverted: bool | None
    through: tuple[str, ...]
    loop: tuple[str, ...]
    facts: Mapping[str, Fact]


MarginKind = Literal["strap", "timing", "supply", "load"]

MARGINS: tuple[MarginKind, ...] = ("strap", "timing", "supply", "load")


class Margin(NamedTuple):
    """How much is left of a block before it fails, at worst: below zero it does.

    `strap`: to the nearest threshold, steps. `timing`: to the nearer end of what is expected, as a share of
    what is wanted. `supply`: to the nearer end of the rated supply, V. `load`: of the output's rated current,
    as a share of it. `about` says what was compared.
    """

    kind: MarginKind
    left: float
    block: str
    about: str


class BoardOutcome(NamedTuple):
    """One board's review. `error` is set, and the rest empty, where it could not be read as a whole.

    `bug`: the error is our own fault, not the board's. `alike` are wired like timing blocks, their parts
    unknown: no rule speaks of them. `dated`: an acceptance ends on some day, so the day bears on the rulings.
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
    chains: tuple[ChainOutcome, ...] = ()
    alike: tuple[Block, ...] = ()
    dated: bool = False
    margins: tuple[Margin, ...] = ()


class RuleText(NamedTuple):
    """What a report says of a rule: its name, what it wants, why, and what to do where it is broken."""

    name: str
    title: str
    because: str
    advice: str = ""


class Review(NamedTuple):
    """All boards of one run, and the settings that bear on the verdict. `date` is ISO 8601.

    `rules` are those in force, the gate's own last.
    """

    version: str
    date: str
    seed: int
    draws: int
    gate: Level
    passed: bool
    inputs: tuple[SourceFile, ...]
    boards: Sequence[BoardOutcome]
    rules: tuple[RuleText, ...] = ()


class MendedFile(NamedTuple):
    """A file that remedies change: its path, and its text before and after."""

    path: str
    before: str
    after: str


class Mended(NamedTuple):
    """What mending a board came to: remedies applied, those refused with what they would spoil, the rest.

    `left` are the findings of the review after it. `written`: the files were changed.
    """

    steps: tuple[tuple[Finding, Remedy], ...]
    refused: tuple[tuple[Finding, Remedy, tuple[TallyEntry, ...]], ...]
    files: tuple[MendedFile, ...]
    left: tuple[Finding, ...]
    written: bool


SwapVerdict = Literal["drop-in", "drop-in with changed values", "not a replacement"]


class Change(NamedTuple):
    """A fact of a block that is not what it was, and what makes it so: inputs by label, `part`, `wiring`.

    A side is None where the block has no such fact there.
    """

    name: str
    before: Fact | None
    after: Fact | None
    because: tuple[str, ...]


class BlockSwap(NamedTuple):
    """A block before and after a swap; a side is None where nothing answers to the other."""

    before: BlockOutcome | None
    after: BlockOutcome | None
    matched_by: Literal["name", "wiring"] | None
    changes: tuple[Change, ...]


class BoardSwap(NamedTuple):
    """A board before and after a swap, and whether the new parts do the old ones' work.

    `gained` and `lost` are findings by fingerprint. `edits` bring the old timing back on the new parts, `why`
    says of each step what it is for; `restored` is the review with them made, `files` what they change, and
    `left` the findings gained that remain. `reason` gives the first few of `objections`, which are all that
    speaks against the new parts, with the edits made where there are any. `notes` tell what else there is.
    """

    verdict: SwapVerdict
    reason: str
    before: BoardOutcome
    after: BoardOutcome
    blocks: tuple[BlockSwap, ...]
    gained: tuple[Ruling, ...]
    lost: tuple[Ruling, ...]
    edits: tuple[Edit, ...] = ()
    why: tuple[str, ...] = ()
    restored: BoardOutcome | None = None
    files: tuple[MendedFile, ...] = ()
    left: tuple[Ruling, ...] = ()
    objections: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


class Alone(NamedTuple):
    """A board that only one side has: there is nothing to hold it against."""

    path: str
    side: Literal["before", "after"]


class SwapReview(NamedTuple):
    """All boards of one swap, and the settings that bear on the verdicts. `date` is ISO 8601.

    `passed`: every board is a replacement, none is gone and none gained a finding at the gate. `swapped` says
    what was compared, for a heading. `untouched` counts boards that a list of replacements does not mean, and
    `notes` tell what else there is to know.
    """

    version: str
    date: str
    seed: int
    draws: int
    gate: Level
    passed: bool
    swapped: str
    inputs: tuple[SourceFile, ...]
    boards: tuple[BoardSwap, ...]
    rules: tuple[RuleText, ...] = ()
    alone: tuple[Alone, ...] = ()
    untouched: int = 0
    notes: tuple[str, ...] = ()


class Sized(NamedTuple):
    """One way to make a wanted time: resistors in ohm (`timing` with the control resistor, `strap` pair).

    `spans` are what comes out; `error` the worst departure; `margin` the strap's in steps, None without one;
    `current` in A; `farad` the timing capacitor of an RC timer. `new` counts values not yet on the board;
    `troubles` are what a review says against it.
    """

    part: str
    prescale: int
    inverted: bool
    timing: tuple[float, ...]
    strap: tuple[float, ...]
    spans: tuple[Span, ...]
    error: float
    margin: float | None
    current: float
    new: int
    troubles: tuple[str, ...]
    netlist: str
    farad: float | None = None
