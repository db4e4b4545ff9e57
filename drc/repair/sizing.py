"""Sizing: the timing resistor and strap pair for a wanted time, over one part or all, ranked.

Each choice is put into a netlist and reviewed as any board is: what is shown is what a review will say.
"""

from collections.abc import Iterator, Mapping
from math import ceil
from typing import NamedTuple

from drc.blocks.find import find_blocks
from drc.blocks.model import Code, Part, Parts
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.facts.model import Subject
from drc.facts.options import FactOptions
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.judge.rule import RuleBook
from drc.netlist.read import read_text
from drc.quantity.span import Span, exact
from drc.quantity.text import format_value
from drc.quantity.unit import HERTZ, POINT, SECOND, VOLT, Unit
from drc.repair.picking import Means, Point, modulate_pair, period_charge, rates, steered, strap_pair
from drc.repair.rcshape import TOLERANCES, astables, one_shots
from drc.repair.stanza import NETS, RcValues, Surroundings, Values, stanza

QUANTITIES: Mapping[str, tuple[str, ...]] = {
    "frequency": ("oscillator", "slow-oscillator", "pulse-modulator", "rc-timer"),
    "period": ("oscillator", "slow-oscillator", "pulse-modulator", "rc-timer"),
    "pulse-width": ("one-shot", "rc-timer"),
    "delay": ("edge-delay",),
}
"""What can be sized, and the functions that make it."""

_TRIGGERED = ("pulse-width", "delay")
"""What comes of a signal from elsewhere."""

_SHAPES = 3
"""How many sets of values of an RC timer are shown for a part."""


class Wish(NamedTuple):
    """What is wanted: a quantity and its span; further a polarity, a duty (0..1), or steering.

    `steering` is two points of a falling line; `wanted` is then the span between their frequencies.
    """

    quantity: str
    wanted: Span
    inverted: bool | None = None
    duty: float | None = None
    steering: tuple[Point, Point] | None = None

    def targets(self) -> "tuple[Target, ...]":
        """What has to come out, one statement each."""
        if self.steering is not None:
            return tuple(
                Target("frequency", Span(f, f, f, HERTZ), f" when CTL = {v:.6g}V") for v, f in self.steering
            )
        duty = () if self.duty is None else (Target("duty", exact(100 * self.duty, POINT)),)
        return (Target(self.quantity, self.wanted), *duty)


class Target(NamedTuple):
    """A quantity of the block, what is wanted of it, and under which condition."""

    quantity: str
    wanted: Span
    condition: str = ""

    def error(self, actual: Span) -> float:
        """The worst departure: relative, of a duty in hundredths."""
        middle = self.wanted.middle
        scale = 100.0 if self.quantity == "duty" else middle
        return max(abs(actual.high - middle), abs(actual.low - middle)) / scale

    def statement(self, error: float) -> str:
        """The expectation: the wish's own width, else the error that the parts allow."""
        unit, low, high = _unit(self.quantity), self.wanted.low, self.wanted.high
        if low == high:
            reach = ceil(error * 1000) / 1000
            if self.quantity == "duty":
                return f"{low - 100 * reach:.4g}% .. {low + 100 * reach:.4g}%{self.condition}"
            return f"{format_value(low, unit, 6)} +/- {100 * reach:.4g}%{self.condition}"
        return f"{format_value(low, unit, 6)} .. {format_value(high, unit, 6)}{self.condition}"


class Choice(NamedTuple):
    """One way to do it. `spans` are what comes out for each target; `error` is the worst of them.

    `margin` is the strap's at worst, in steps, None without a strap. `current` is drawn by strap, timing
    resistor and the part's own consumption where known, A. `new` counts values not yet on the board.
    `troubles` are what a review says against it.
    """

    part: Part
    code: Code
    values: Values | RcValues
    spans: tuple[Span, ...]
    error: float
    margin: float | None
    current: float
    new: int
    netlist: str
    troubles: tuple[str, ...]

    @property
    def rank(self) -> tuple[bool, float, float, int, float]:
        """Best first: no trouble, least error (to a tenth of a percent), most margin, fewest values."""
        margin = 0.0 if self.margin is None else round(self.margin, 2)
        return (bool(self.troubles), round(self.error, 3), -margin, self.new, self.current)


class _Draft(NamedTuple):
    """A choice in the making."""

    part: Part
    code: Code
    values: Values | RcValues
    around: Surroundings


def size(wish: Wish, means: Means, parts: Parts, rules: RuleBook, wanted_part: str | None) -> list[Choice]:
    """Every choice that comes out near the wish, best first; those that a review objects to come last."""
    found = []
    for part in parts.by_name.values():
        named = wanted_part is None or part.name.lower() == wanted_part.lower()
        if named and _can(part, wish):
            drafts = _rc_drafts if part.function == "rc-timer" else _drafts
            for draft in drafts(part, wish, means):
                choice = _reviewed(draft, wish, means, rules)
                found += [] if choice is None else [choice]
    return sorted(found, key=lambda choice: (choice.rank, choice.part.name, choice.code.code))


def _can(part: Part, wish: Wish) -> bool:
    """Whether a part makes the quantity and has what the wish needs."""
    if part.function not in QUANTITIES[wish.quantity] or "*" in part.name:
        return False
    if part.function == "rc-timer":
        return part.ladder is not None and wish.steering is None and wish.inverted is None
    if part.strap is None:
        return False
    return wish.duty is None or (part.modulate is not None and part.modulate.reference == "absolute")


def _drafts(part: Part, wish: Wish, means: Means) -> Iterator[_Draft]:
    """The choices of one part: each row of its code table with a strap pair and the nearest resistors."""
    around = Surroundings(_supply(part, means), means.ambient, means.tolerance, means.tempco)
    modulate = None if wish.duty is None else modulate_pair(part, wish.duty, around.supply, means)
    time_s = 1 / wish.wanted.middle if wish.quantity == "frequency" else wish.wanted.middle
    for row in part.codes:
        allowed = wish.inverted is None or row.inverted == wish.inverted
        if not allowed or period_charge(part, row) is None or part.strap is None:
            continue
        pairs = (
            steered(part, row, wish.steering, means)
            if wish.steering is not None
            else ((rate, None) for rate in rates(part, row, time_s, means))
        )
        found = list(pairs)
        strap = strap_pair(part.strap, row.code, means) if found else None
        if strap is not None:
            yield from (
                _Draft(part, row, Values(rate, *strap, control, modulate), around) for rate, control in found
            )


def _rc_drafts(part: Part, wish: Wish, means: Means) -> Iterator[_Draft]:
    """The handiest values for an RC timer, each with the loosest capacitor that keeps to the wish."""
    if part.ladder is None:
        return
    around = Surroundings(_supply(part, means), means.ambient, means.tolerance, means.tempco)
    time_s = 1 / wish.wanted.middle if wish.quantity == "frequency" else wish.wanted.middle
    if wish.quantity == "pulse-width":
        shapes = one_shots(part.ladder, time_s, means.between)
    else:
        shapes = astables(part.ladder, time_s, wish.duty, means.between)
    for shape in shapes[:_SHAPES]:
        drafts = (
            _Draft(part, Code(0, 1), RcValues(shape.upper, shape.main, shape.farad, tolerance), around)
            for tolerance in TOLERANCES
        )
        *looser, last = drafts
        yield next((draft for draft in looser if _keeps(draft, wish)), last)


def _keeps(draft: _Draft, wish: Wish) -> bool:
    """Whether what comes out stays within a wish that has a width; a wish without one takes any."""
    if wish.wanted.low == wish.wanted.high:
        return True
    found = _measured(draft, wish)
    if found is None:
        return False
    made = found[1][0]
    return wish.wanted.low <= made.low and made.high <= wish.wanted.high


def _supply(part: Part, means: Means) -> Span:
    """The given supply, else 5 % about the voltage of the part's timing figures."""
    if means.supply is not None:
        return means.supply
    middle = part.timing.at_supply if part.timing else None
    if middle is None:
        middle = part.supply.rated.middle if part.supply.rated is not None else 3.3
    return Span(0.95 * middle, middle, 1.05 * middle, VOLT)


def _reviewed(draft: _Draft, wish: Wish, means: Means, rules: RuleBook) -> Choice | None:
    """The choice as a review sees it; None where what comes out is unknown."""
    targets = wish.targets()
    found = _measured(draft, wish)
    if found is None:
        return None
    margin, spans = found
    part, row, values, around = draft
    errors = [target.error(span) for target, span in zip(targets, spans, strict=True)]
    netlist = stanza(part, values, around, _statements(draft, wish, errors))
    book = _book(netlist, part)
    troubles = tuple(f"{f.message} [{f.rule}]" for f in assess(book, rules).findings if f.level != "note")
    new = len(values.distinct() - means.present)
    least, current = None if margin is None else margin.low, _current(draft)
    return Choice(part, row, values, spans, max(errors), least, current, new, netlist, troubles)


def _measured(draft: _Draft, wish: Wish) -> tuple[Span | None, tuple[Span, ...]] | None:
    """The strap's margin if it has one, and what comes out for each target (extreme value).

    None if any is unknown.
    """
    targets = wish.targets()
    wide = stanza(draft.part, draft.values, draft.around, _statements(draft, wish, [0.9] * len(targets)))
    book = _book(wide, draft.part)
    block = book.board.blocks[0]
    margin = book.fact(Subject("block", block.path, block.place, block), "strap.margin").span
    subjects = book.subjects("statement")[: len(targets)]
    spans = [book.fact(subject, "expect.actual").span for subject in subjects]
    known = tuple(span for span in spans if span is not None)
    lost = margin is None and draft.part.strap is not None
    return None if lost or len(known) < len(targets) else (margin, known)


def _book(netlist: str, part: Part) -> Book:
    circuit = read_text(netlist)
    board = find_blocks(circuit, Parts({part.name: part}))
    return open_book(board, read_annotations(circuit.annotations), FactOptions())


def _statements(draft: _Draft, wish: Wish, errors: list[float]) -> list[str]:
    """The statements of the stanza: what is expected, and what comes in from elsewhere."""
    expects = [
        f"expect XU1 {target.quantity} {target.statement(error)}"
        for target, error in zip(wish.targets(), errors, strict=True)
    ]
    if draft.part.strap is not None:
        expects.append(f"expect XU1 polarity {'inverted' if draft.code.inverted else 'normal'}")
    high = format_value(draft.around.supply.low, VOLT)
    inputs = [r for r in ("trigger", "signal") if r in draft.part.pins and wish.quantity in _TRIGGERED]
    signals = [f"signal {NETS[r]} 0V .. {high}" for r in inputs]
    if wish.steering is not None:
        low, top = sorted(volts for volts, _ in wish.steering)
        signals.append(f"signal {NETS['control']} {low:.6g}V .. {top:.6g}V")
    return [*expects, *signals]


def _unit(quantity: str) -> Unit:
    return HERTZ if quantity == "frequency" else SECOND


def _current(draft: _Draft) -> float:
    """Supply current at the highest supply, A: strap, rate pin, and the part's own where it is given.

    Of an RC timer what flows through the resistor on the supply while the switch is on.
    """
    part, values = draft.part, draft.values
    own = part.consumption.high if part.consumption else 0.0
    if isinstance(values, RcValues):
        return draft.around.supply.high / (values.upper or values.main) + own
    pair = (values.upper or 0.0) + (values.lower or 0.0)
    strap = draft.around.supply.high / pair if values.upper and values.lower else 0.0
    rate = part.rate.voltage.high / values.rate if part.rate and part.rate.voltage else 0.0
    return strap + rate + own
