"""The blocks of boards and their timing, unjudged, as one aligned table."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from drc.blocks.model import Block
from drc.blocks.stub import part_file_stub
from drc.facts.model import Fact, Unknown
from drc.outcome import BlockOutcome, BoardOutcome
from drc.report.brief import UNKNOWN, known_times, short, spread
from drc.report.text import Piece, Row, harmless, row, shortened, wrapped

HEADINGS = ("block", "part", "function", "strap", "timing", "rate R", "supply")
LABELS = {"duty": "duty ", "delay_rising": "rising ", "delay_falling": "falling "}
_GAP = 2
_NARROWEST = 8


class Line(NamedTuple):
    """One line of the table, as texts under HEADINGS."""

    cells: tuple[str, ...]


def inventory(boards: Sequence[BoardOutcome], width: int, shown: Callable[[str], str]) -> list[Row]:
    """A table a board: block, part, function, strap code with prescale and polarity, times, rate, supply.

    A block with several times takes a line each. `?` is a value that is not known.
    """
    tables = {board.path: [line for block in board.blocks for line in _block(block)] for board in boards}
    widths = _widths([line for lines in tables.values() for line in lines], width)
    rows: list[Row] = []
    for board in boards:
        rows.append(row(Piece(harmless(shown(board.path)), "heading")))
        if board.error is not None:
            rows.append(row("  ", Piece("not read", "error"), f"  {harmless(board.error)}"))
        elif not board.blocks:
            rows.append(row("  ", Piece("no timing block found", "quiet")))
        else:
            rows.append(row(Piece(_joined(HEADINGS, widths), "quiet")))
            rows += [row(_joined(line.cells, widths)) for line in tables[board.path]]
            rows += [row("  ", line) for text in _unknown(board.blocks) for line in wrapped(text, width - 2)]
        rows += _alike(board.alike, width)
        rows.append(())
    return rows[:-1]


def _unknown(blocks: Sequence[BlockOutcome]) -> list[str]:
    """Why the time of a block is not known: a sentence for each reason."""
    sentences = []
    for outcome in blocks:
        if not known_times(outcome):
            values = (fact.value for name, fact in outcome.facts.items() if name.startswith("timing."))
            reasons = dict.fromkeys(value.because for value in values if isinstance(value, Unknown))
            sentences += [harmless(f"{UNKNOWN} {outcome.block.path}: {reason}") for reason in reasons]
    return sentences


def _alike(blocks: Sequence[Block], width: int) -> list[Row]:
    """What is wired like a timing block, its roles pin by pin, and the table of each part to fill in."""
    rows: list[Row] = []
    for block in blocks:
        text = harmless(f"{block.path} ({block.part.name}): {block.alike}")
        rows += [(), *(row("  ", line) for line in wrapped(text, width - 2))]
    stubs = dict.fromkeys(part_file_stub(block) for block in blocks)
    if stubs:
        text = "If it is one, fill in this table, save it as parts.toml, and name it with --parts:"
        rows += [(), *(row("  ", Piece(line, "quiet")) for line in wrapped(text, width - 2))]
    for stub in stubs:
        rows += [(), *(row(harmless(line)) for line in stub.rstrip("\n").split("\n"))]
    return rows


def _block(outcome: BlockOutcome) -> list[Line]:
    """The lines of one block."""
    block, facts = outcome.block, outcome.facts
    times = _times(outcome)
    rate = facts.get("rate.resistance")
    first = Line(
        (
            harmless(block.path),
            harmless(block.part.name),
            block.part.function,
            _strap(outcome),
            times[0],
            "" if rate is None else short(rate).replace(" kohm", "k").replace(" Mohm", "M"),
            short(facts["supply.voltage"]) if "supply.voltage" in facts else UNKNOWN,
        )
    )
    return [first, *(Line(("", "", "", "", time, "", "")) for time in times[1:])]


def _times(outcome: BlockOutcome) -> list[str]:
    """The times a block makes, a text each; `?` alone where none is known."""
    facts = outcome.facts
    known = known_times(outcome)
    return [LABELS.get(name, "") + spread(facts[f"timing.{name}"]) for name in known] or [UNKNOWN]


def _strap(outcome: BlockOutcome) -> str:
    """Code, prescale and polarity as `5 x50 inv`."""
    if outcome.block.part.strap is None:
        return ""
    facts = outcome.facts
    code, prescale = (_whole(facts.get(f"strap.{name}")) for name in ("code", "prescale"))
    polarity = facts["strap.polarity"].value if "strap.polarity" in facts else ""
    return f"{code} x{_factor(prescale)}" + (" inv" if polarity == "inverted" else "")


def _factor(text: str) -> str:
    """A prescale in few characters: `10000` as `10k`, `1024` as it is."""
    for zeros, prefix in (("000000", "M"), ("000", "k")):
        if text.endswith(zeros) and text != "0":
            return text.removesuffix(zeros) + prefix
    return text


def _whole(fact: Fact | None) -> str:
    span = None if fact is None else fact.span
    return UNKNOWN if span is None else str(round(span.middle))


def _widths(lines: Sequence[Line], width: int) -> list[int]:
    """Column widths that fit the page: that of the widest cell; functions are cut first, then the widest."""
    cells = [HEADINGS, *(line.cells for line in lines)]
    widths = [max(len(line[n]) for line in cells) for n in range(len(HEADINGS))]
    function = HEADINGS.index("function")
    while sum(widths) + _GAP * len(widths) > width and max(widths) > _NARROWEST:
        cut = function if widths[function] > _NARROWEST else widths.index(max(widths))
        widths[cut] -= 1
    return widths


def _joined(cells: Sequence[str], widths: Sequence[int]) -> str:
    gap = " " * _GAP
    texts = (shortened(cell, room).ljust(room) for cell, room in zip(cells, widths, strict=True))
    return (gap + gap.join(texts)).rstrip()
