"""The statements of an intent, one type a kind, each with its place."""

from typing import Literal, NamedTuple

from drc.quantity.span import Span
from drc.trouble import Place, Trouble

Method = Literal["extreme", "rss", "monte-carlo"]
Polarity = Literal["normal", "inverted"]


class Pattern(NamedTuple):
    """A name, or with `*` in it a pattern. Case is ignored; an exact path where `*` is absent.

    A pattern without a dot matches the last component of a path at any depth. A quoted name is literal.
    """

    text: str
    literal: bool = False


class Condition(NamedTuple):
    """`when vctl = 1.25V` (a net at a voltage) or `when XU2 = high` (another block's output)."""

    subject: Pattern
    level: Span | Literal["high", "low"]


class Expect(NamedTuple):
    """A wanted quantity of a block.

    `quantity` is one of frequency period pulse-width delay delay-rising delay-falling duty prescale code
    polarity rest. `wanted` is a Span (one-sided with an infinity), or a name (`normal`, `low`, ...).
    `method` None: the default, extreme value.
    """

    place: Place
    text: str
    block: Pattern
    quantity: str
    wanted: Span | str
    method: Method | None = None
    condition: Condition | None = None


class Supply(NamedTuple):
    """`supply NET SPAN`: the net feeds supply pins at this voltage."""

    place: Place
    text: str
    net: Pattern
    voltage: Span


class NotSupply(NamedTuple):
    """`not supply NET`: the net is no rail, whatever its name says."""

    place: Place
    text: str
    net: Pattern


class Ramp(NamedTuple):
    """`ramp NET TIME`: the net's supply takes so long to rise, in seconds."""

    place: Place
    text: str
    net: Pattern
    rise: Span


class Signal(NamedTuple):
    """`signal NET ...`: a voltage (span), a pulse train (period, high, low), bounce, or a mix."""

    place: Place
    text: str
    net: Pattern
    voltage: Span | None = None
    period: Span | None = None
    high: Span | None = None
    low: Span | None = None
    bounce: Span | None = None


class Load(NamedTuple):
    """`load NET CURRENT`: what hangs on a net beyond the netlist, in amperes, positive."""

    place: Place
    text: str
    net: Pattern
    current: Span


class Same(NamedTuple):
    """`same A B`: two nets that are joined elsewhere."""

    place: Place
    text: str
    nets: tuple[Pattern, ...]


class Ambient(NamedTuple):
    """`ambient LOW .. HIGH`, degC."""

    place: Place
    text: str
    span: Span


class Assume(NamedTuple):
    """`assume PATTERN tolerance 1%, tempco 100ppm`, or `assume RV1 value 0ohm .. 10kohm`.

    `tolerance` is relative (low, high); `tempco` in 1/K, a bias of known sign if `tempco_signed`.
    """

    place: Place
    text: str
    element: Pattern
    tolerance: tuple[float, float] | None = None
    tempco: float | None = None
    tempco_signed: bool = False
    value: Span | None = None


class Adjust(NamedTuple):
    """`adjust RV1 0ohm .. 10kohm`: some setting in the span must do."""

    place: Place
    text: str
    element: Pattern
    value: Span


class Fit(NamedTuple):
    """`fit R12 no`: assembly leaves it out (or, with yes, fits it whatever the netlist says)."""

    place: Place
    text: str
    element: Pattern
    fitted: bool


class Accept(NamedTuple):
    """`accept RULE at SUBJECT because REASON by WHO until DATE` (ISO 8601 date; None: no end)."""

    place: Place
    text: str
    rule: str
    subject: Pattern
    because: str
    by: str | None
    until: str | None


Statement = (
    Expect | Supply | NotSupply | Ramp | Signal | Load | Same | Ambient | Assume | Adjust | Fit | Accept
)


class Intent(NamedTuple):
    """All statements about one board, in the order written (files first, then the netlist's own)."""

    statements: tuple[Statement, ...] = ()
    troubles: tuple[Trouble, ...] = ()
