"""A block before and after a swap, and with the edits made, as a table: a row a fact, a column a side."""

from collections.abc import Iterator, Mapping, Sequence
from math import inf
from typing import NamedTuple

from drc.facts.model import Cases, Fact, Unknown
from drc.outcome import BlockOutcome, BlockSwap, BoardOutcome, Change
from drc.quantity.span import Span
from drc.quantity.text import format_value
from drc.report.brief import TIMES, UNKNOWN, known_times, nominal, short, spread
from drc.report.text import Piece, Row, harmless, row, shortened, wrapped

_LABEL, _GAP, _INDENT = 12, 1, 3
_WIDEST = 34
_NARROWEST = 14

_SPREAD = {
    "timing.frequency": "frequency",
    "timing.period": "period",
    "timing.pulse_width": "pulse width",
    "timing.delay": "delay",
    "timing.delay_rising": "rising",
    "timing.delay_falling": "falling",
    "timing.duty": "duty",
}
"""The times, by what the table calls them."""

_RATED = (
    ("supply", "supply.voltage", "supply.rated"),
    ("rate R", "rate.resistance", "rate.resistance_rated"),
    ("rate I", "rate.current", "rate.current_rated"),
)
_DRIVE = (("source", "output.source", "output.source_rated"), ("sink", "output.sink", "output.sink_rated"))
"""What stands beside its rating: label, fact, rating."""


class Line(NamedTuple):
    """A row: its label, a text a side, the facts that it shows, and shorter texts for a narrow page."""

    label: str
    cells: tuple[str, ...]
    facts: tuple[str, ...]
    brief: tuple[str, ...] = ()

    def within(self, room: int) -> "Line":
        """The row with its shorter texts where the others do not fit."""
        return self._replace(cells=self.brief) if self.brief and max(map(len, self.cells)) > room else self


def block_table(pair: BlockSwap, restored: BoardOutcome | None, width: int) -> Iterator[Row]:
    """The table of a pair, `width` columns; one line where nothing about it has changed."""
    after = with_edits(pair.after, restored)
    sides = [side for side in (pair.before, pair.after, after) if side is not None]
    if pair.before is None or pair.after is None:
        yield _head(pair)
        return
    if not pair.changes and (after is None or _does_the_same(after, pair.after)):
        yield _head(pair, f": as it was, {_times(pair.after)}")
        return
    yield _head(pair)
    names = ["before", "after", *(["with the edits"] if after is not None else [])]
    lines = [line for line in _lines(sides) if any(line.cells)]
    room = min(_WIDEST, (width - _INDENT - _LABEL + _GAP) // len(names) - _GAP)
    lines = [line.within(room) for line in lines]
    columns = zip(names, *(line.cells for line in lines), strict=True)
    widths = [min(room, max(_NARROWEST, *map(len, column))) for column in columns]
    yield row(Piece(_joined("", names, widths).rstrip(), "quiet"))
    changes = {change.name: change for change in pair.changes}
    for line in lines:
        yield from _row(line, widths, changes, width)
    if after is None:
        yield from _pins(pair.changes, width)
    yield from _unknown(sides, names, width)


def with_edits(after: BlockOutcome | None, restored: BoardOutcome | None) -> BlockOutcome | None:
    """The block of the board with the edits made; None where there are none."""
    if after is None or restored is None:
        return None
    return next((each for each in restored.blocks if each.block.path == after.block.path), None)


def _does_the_same(one: BlockOutcome, other: BlockOutcome) -> bool:
    """Whether all that the table shows of two blocks is the same."""
    return [*_lines((one,))] == [*_lines((other,))]


def _times(side: BlockOutcome) -> str:
    """What a block does, in one line."""
    return ", ".join(spread(side.facts[f"timing.{name}"]) for name in known_times(side)) or "its time unknown"


def _head(pair: BlockSwap, more: str = "") -> Row:
    """The block's name and part, on both boards where they differ."""
    sides = [side.block for side in (pair.before, pair.after) if side is not None]
    name = " to ".join(dict.fromkeys(block.path for block in sides))
    part = " -> ".join(dict.fromkeys(block.part.name for block in sides))
    works = " -> ".join(dict.fromkeys(block.part.function for block in sides))
    told = ""
    if pair.after is None:
        told = ": gone, nothing on the new board answers to it"
    elif pair.before is None:
        told = ": new, nothing on the old board answers to it"
    elif pair.matched_by == "wiring":
        told = ", matched by its wiring"
    return row("  ", Piece(harmless(name), "name"), harmless(f"  {part}, {works}{told}{more}"))


def _lines(sides: Sequence[BlockOutcome]) -> Iterator[Line]:
    """The rows of a table; a cell is empty where the block has no such thing."""
    if any(side.block.part.strap is not None for side in sides):
        names = ("strap.code", "strap.prescale", "strap.polarity")
        yield Line("strap", tuple(_strap(side) for side in sides), names)
        yield Line("margin", tuple(_margin(side) for side in sides), ("strap.margin",))
    times = dict.fromkeys(name for side in sides for name in known_times(side))
    times = times or dict.fromkeys(TIMES[sides[0].block.part.function][:1])
    for name in [f"timing.{name}" for name in times]:
        cells = tuple(spread(side.facts[name]) if name in side.facts else "" for side in sides)
        brief = tuple(cell.replace(" +", "+").replace(" %", "%") for cell in cells)
        yield Line(_SPREAD[name], cells, (name,), brief)
    yield Line("at rest", tuple(_name(side, "output.rest") for side in sides), ("output.rest",))
    for label, name, rated in _RATED:
        cells = tuple(_rated(side, name, rated) for side in sides)
        yield Line(label, cells, (name,), tuple(cell.partition(" (")[0] for cell in cells))
    for label, name, rated in _DRIVE:
        yield Line(label, tuple(_most(side, name, rated) for side in sides), (name,))


def _strap(side: BlockOutcome) -> str:
    """Code, prescale and polarity as `5 x50 inverted`."""
    if side.block.part.strap is None:
        return ""
    code, prescale = (_whole(side, name) for name in ("strap.code", "strap.prescale"))
    if code == prescale == UNKNOWN:
        return UNKNOWN
    polarity = _name(side, "strap.polarity")
    return f"{code} x{prescale}" + (f" {polarity}" if polarity == "inverted" else "")


def _whole(side: BlockOutcome, name: str) -> str:
    span = side.facts[name].span if name in side.facts else None
    return UNKNOWN if span is None else str(round(span.middle))


def _name(side: BlockOutcome, name: str) -> str:
    fact = side.facts.get(name)
    if fact is None:
        return ""
    return fact.value if isinstance(fact.value, str) else UNKNOWN


def _margin(side: BlockOutcome) -> str:
    """The strap's worst margin."""
    fact = side.facts.get("strap.margin")
    if fact is None:
        return ""
    span = fact.span
    if span is None:
        return UNKNOWN
    return "tied" if span.low == inf else format_value(span.low, span.unit, 3)


def _rated(side: BlockOutcome, name: str, rated: str) -> str:
    """A value with the span that the part is rated for."""
    fact = side.facts.get(name)
    if fact is None:
        return ""
    rating = side.facts[rated].span if rated in side.facts else None
    return short(fact) + ("" if rating is None else f" ({_ends(rating)})")


def _most(side: BlockOutcome, name: str, rated: str) -> str:
    """The highest current, and what the part is rated for."""
    fact = side.facts.get(name)
    if fact is None:
        return ""
    rating = side.facts[rated].span if rated in side.facts else None
    spans = spans_of(fact)
    if not spans:
        return UNKNOWN
    most = format_value(max(span.high for span in spans), spans[0].unit, 3)
    return most + ("" if rating is None else f" of {format_value(rating.high, rating.unit, 3)}")


def spans_of(fact: Fact) -> list[Span]:
    """The span of a fact, or those of its cases; none where it is unknown."""
    if isinstance(fact.value, Cases):
        return [case.value for case in fact.value.cases]
    return [] if fact.span is None else [fact.span]


def _ends(span: Span) -> str:
    """The ends of a span in few characters: `2..5.4 V`."""
    return nominal(Span(span.low, None, span.high, span.unit))


def _row(line: Line, widths: Sequence[int], changes: Mapping[str, Change], width: int) -> Iterator[Row]:
    """A row with what made its values others: beside it where there is room, else beneath."""
    text = _joined(line.label, line.cells, widths)
    causes = dict.fromkeys(cause for name in line.facts if name in changes for cause in changes[name].because)
    if list(causes) in ([], ["part"]):
        yield row(text.rstrip())
        return
    told = harmless(", ".join(causes))
    if len(text) + _GAP + len(told) <= width:
        yield row(text, " " * _GAP, Piece(told, "quiet"))
        return
    yield row(text.rstrip())
    lead = " " * (_INDENT + _LABEL)
    yield from (row(lead, Piece(each, "quiet")) for each in wrapped(told, width - len(lead)))


def _joined(label: str, cells: Sequence[str], widths: Sequence[int]) -> str:
    gap = " " * _GAP
    texts = (shortened(harmless(cell), room).ljust(room) for cell, room in zip(cells, widths, strict=True))
    return " " * _INDENT + label.ljust(_LABEL) + gap.join(texts)


def _pins(changes: Sequence[Change], width: int) -> Iterator[Row]:
    """The pins that are on other nets now."""
    moved = [
        f"{change.name.removeprefix('pin.')} {_net(change.before)} -> {_net(change.after)}"
        for change in changes
        if change.name.startswith("pin.")
    ]
    if moved:
        first, *rest = wrapped(harmless(", ".join(moved)), width - _INDENT - _LABEL)
        yield row(" " * _INDENT, "pins".ljust(_LABEL), first)
        yield from (row(" " * (_INDENT + _LABEL), line) for line in rest)


def _net(fact: Fact | None) -> str:
    return "none" if fact is None or not isinstance(fact.value, str) else fact.value


def _unknown(sides: Sequence[BlockOutcome], names: Sequence[str], width: int) -> Iterator[Row]:
    """Why the times of a side are not known."""
    for side, name in zip(sides, names, strict=False):
        if known_times(side):
            continue
        facts = (side.facts.get(f"timing.{each}") for each in TIMES[side.block.part.function])
        reasons = [
            fact.value.because for fact in facts if fact is not None and isinstance(fact.value, Unknown)
        ]
        told = "; ".join(dict.fromkeys(piece for reason in reasons for piece in reason.split("; ")))
        if told:
            text = harmless(f"{UNKNOWN} {name}: {told}")
            yield from (row(" " * _INDENT, Piece(each, "quiet")) for each in wrapped(text, width - _INDENT))
