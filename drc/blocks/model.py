"""Parts as their files describe them, and the blocks found on a board.

What a part file does not give is None: unknown, never guessed. Quantities are SI; ratings are spans.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.circuit.model import Circuit, Element, Net
from drc.quantity.span import Span
from drc.trouble import Place, Trouble

Function = Literal["oscillator", "slow-oscillator", "pulse-modulator", "one-shot", "edge-delay", "rc-timer"]
Helper = Literal["regulator", "reference", "gate", "transistor-switch"]

TIMING_FUNCTIONS: tuple[Function, ...] = (
    "oscillator", "slow-oscillator", "pulse-modulator", "one-shot", "edge-delay", "rc-timer",
)  # fmt: skip


class Relative(NamedTuple):
    """A voltage that may depend on the supply: `offset` volts + `of_supply` * supply."""

    of_supply: float
    offset: float = 0.0

    def volts(self, supply: float) -> float:
        """The voltage at a supply, V."""
        return self.of_supply * supply + self.offset


class SupplyRating(NamedTuple):
    """`rated`: where the part works to its figures; `limit`: the absolute maximum, V."""

    rated: Span | None = None
    limit: float | None = None


class RatePin(NamedTuple):
    """The rate pin: its regulated voltage, and the rated current and resistance.

    `capacitance` is the most it stands, F. `law`: with "ratio" the output time is period * prescale *
    (at_current / nominal voltage) * voltage / current, so that the pin voltage's own tolerance cancels for a
    resistor to ground; with "current" it is period * prescale * at_current / current.
    """

    voltage: Span | None = None
    current: Span | None = None
    resistance: Span | None = None
    capacitance: float | None = None
    law: Literal["ratio", "current"] | None = None


class ErrorRow(NamedTuple):
    """A timing error that holds under conditions; a None condition holds always. `error` is relative."""

    error: float
    current: Span | None = None
    supply: Span | None = None
    ambient: Span | None = None
    prescale: Span | None = None
    code: Span | None = None


class Timing(NamedTuple):
    """The part's own clock: `period` seconds at `at_current` amperes and `at_supply` volts.

    `tempco` is relative per kelvin from 25 degC; `tempco_signed` makes it a bias of known sign.
    `supply_error` is relative per volt from `at_supply`. `offset` seconds are added to the output time.
    `rising` and `falling` are whole: what the file gives for an edge laid over what it gives for both.
    """

    period: float | None = None
    at_current: float | None = None
    at_supply: float | None = None
    errors: tuple[ErrorRow, ...] = ()
    tempco: float | None = None
    tempco_signed: bool = False
    supply_error: float | None = None
    offset: Span | None = None
    jitter: float | None = None
    rising: "Timing | None" = None
    falling: "Timing | None" = None


class StrapPin(NamedTuple):
    """The strap's converter. `thresholds` are the fractions between codes, ascending, levels - 1 of them.

    `threshold_error` is +/- of full scale. `reference` None: the block's own supply, else a fixed voltage.
    """

    levels: int
    thresholds: tuple[float, ...]
    threshold_error: float | None = None
    leakage: float | None = None
    source_resistance: float | None = None
    read_after: float | None = None
    read: Literal["once", "continuous"] | None = None
    reference: Span | None = None


class Code(NamedTuple):
    """A row of the code table. `when`: the level another pin (by role) must have for the row to hold."""

    code: int
    prescale: int
    inverted: bool = False
    when: Mapping[str, str] = {}
    rest: Literal["low", "high"] | None = None


class Drive(NamedTuple):
    """An output's rating, valid for supplies in `at_supply` (None: any). Currents in A, both positive.

    `resistance` ohm in each state unless `high_drop`/`low_drop` (volts at amperes) are given.
    """

    kind: Literal["push-pull", "open-drain", "open-source", "three-state"]
    source: float | None = None
    sink: float | None = None
    resistance: float | None = None
    high_drop: tuple[float, float] | None = None
    low_drop: tuple[float, float] | None = None
    capacitance: float | None = None
    at_supply: Span | None = None
    disabled: Literal["low", "high", "open"] | None = None


class InputPin(NamedTuple):
    """An input by role. `pull` is ("up" or "down", ohm); `width` the shortest pulse seen, s."""

    low: Relative | None = None
    high: Relative | None = None
    hysteresis: Relative | None = None
    leakage: float | None = None
    pull: tuple[Literal["up", "down"], float] | None = None
    active: Literal["high", "low"] | None = None
    limit: Relative | None = None
    width: float | None = None


class Modulation(NamedTuple):
    """The modulate pin's law: straight segments through `points` (volts or fractions, duty 0..1), clamped.

    `reference`: what the pin's voltage is measured against; absolute volts, or a fraction of rate voltage
    or supply. `error` is in points of duty, as a fraction (0.035 for 3.5 points).
    """

    points: tuple[tuple[float, float], ...]
    error: float | None = None
    reference: Literal["absolute", "rate", "supply"] = "absolute"


class Trigger(NamedTuple):
    """How a one-shot starts: the edge, whether again while running, dead time after, level or edge."""

    edge: Literal["rising", "falling", "both"] | None = None
    retriggerable: bool | None = None
    recovery: float | None = None
    level: bool | None = None


class Signal(NamedTuple):
    """What an edge delay delays; `restart`: a new edge while counting starts the count again."""

    edges: Literal["rising", "falling", "both"] | None = None
    restart: bool | None = None


class Ladder(NamedTuple):
    """The threshold ladder of an RC timer: fractions of the supply, relative error, absolute ohms a rung."""

    lower: float
    upper: float
    error: float | None = None
    resistance: Span | None = None


class Discharge(NamedTuple):
    """The discharge transistor of an RC timer: on-resistance (ohm), and the current it stands (A)."""

    resistance: float | None = None
    current: float | None = None


class Regulator(NamedTuple):
    """A regulator's or reference's output: a fixed span, or a feedback voltage that a divider sets."""

    output: Span | None = None
    feedback: Span | None = None
    dropout: float | None = None
    current: float | None = None


class Gate(NamedTuple):
    """A logic gate: its function, whether a lone input comes out inverted, and its delay (s)."""

    logic: Literal["buffer", "inverter", "and", "nand", "or", "nor", "xor", "xnor"] | None = None
    inverts: bool | None = None
    delay: Span | None = None


class Switch(NamedTuple):
    """A transistor switch: which side it stands on, whether it inverts, on-resistance (ohm), current (A)."""

    side: Literal["low", "high"] | None = None
    inverts: bool | None = None
    resistance: float | None = None
    current: float | None = None


class PartUnit(NamedTuple):
    """One of several timers in a package: its name and its pins' roles by position (`-`: not its own).

    `alias` are names in `.subckt` headers that belong to this unit alone (`output`: `OUTA`).
    """

    name: str
    pins: tuple[str, ...]
    alias: Mapping[str, tuple[str, ...]] = {}


class Part(NamedTuple):
    """Everything a part file says of one part.

    `function` is "unknown" only for a part that nobody described and that is wired like a timing block.
    """

    name: str
    place: Place
    title: str = ""
    source: str = ""
    function: Function | Helper | Literal["unknown"] = "unknown"
    pins: tuple[str, ...] = ()
    alias: Mapping[str, tuple[str, ...]] = {}
    supply: SupplyRating = SupplyRating()
    supplies: Mapping[str, SupplyRating] = {}
    ambient: Span | None = None
    rate: RatePin | None = None
    timing: Timing | None = None
    strap: StrapPin | None = None
    codes: tuple[Code, ...] = ()
    outputs: tuple[Drive, ...] = ()
    inputs: Mapping[str, InputPin] = {}
    modulate: Modulation | None = None
    trigger: Trigger | None = None
    signal: Signal | None = None
    reset_active: Literal["high", "low"] | None = None
    ladder: Ladder | None = None
    discharge: Discharge | None = None
    regulator: Regulator | None = None
    gate: Gate | None = None
    switch: Switch | None = None
    packages: Mapping[str, tuple[str, ...]] = {}
    units: tuple[PartUnit, ...] = ()
    consumption: Span | None = None
    startup: float | None = None


class Parts(NamedTuple):
    """All parts in force, by name or pattern as written; look one up with `drc.blocks.parts.find_part`."""

    by_name: Mapping[str, Part]
    files: tuple[tuple[str, str], ...] = ()
    """(path, sha256) of every file they came from."""


class Block(NamedTuple):
    """A timing block: an element, or one unit of it, whose pins have roles.

    `path` is the element's, with `/UNIT` behind it where the part has units. `pins` maps a role to its
    nets (a role may repeat). `alike`: for blocks found by connections, why they look like one. `package`:
    the package whose pin order was used, empty for the part's own.
    """

    path: str
    unit: str | None
    part: Part
    element: Element
    found_by: Literal["part", "pin-names", "connections"]
    pins: Mapping[str, tuple[Net, ...]]
    place: Place
    alike: str = ""
    package: str = ""

    def net(self, role: str) -> Net | None:
        """The first net with that role, None where the block has no such pin."""
        nets = self.pins.get(role, ())
        return nets[0] if nets else None


class Board(NamedTuple):
    """The circuit with parts taken as leaves, its timing blocks in source order, and its helpers.

    `helpers` are regulators, references, gates and transistor switches known from part files. `alike` are
    parts that nobody named and that are wired like a timing block: listed, told of in a note, and never
    judged; of their `part` only `pins` and perhaps `function` are known.
    """

    circuit: Circuit
    blocks: tuple[Block, ...]
    helpers: tuple[Block, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    alike: tuple[Block, ...] = ()
