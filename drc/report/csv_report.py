"""The blocks of a review as comma-separated values (RFC 4180), a row a time that a block makes."""

import csv
import io
import math
from collections.abc import Iterator, Mapping

from drc.facts.model import Fact
from drc.outcome import BlockOutcome, BoardOutcome, Review
from drc.quantity.span import Span
from drc.report.text import harmless

HEADINGS = (
    "board", "block", "part", "function", "found by", "supply low V", "supply nominal V", "supply high V",
    "strap code", "prescale", "polarity", "strap margin low steps", "rate low ohm", "rate nominal ohm",
    "rate high ohm", "quantity", "unit", "nominal", "extreme low", "extreme high", "rss low", "rss high",
    "monte carlo low", "monte carlo high", "open findings",
)  # fmt: skip

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet would take as the beginning of a formula."""


def render(review: Review) -> str:
    """A heading, then every block's times in SI units; what is unknown or unbounded is left empty."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for board in review.boards:
        for block in board.blocks:
            writer.writerows(_rows(board, block))
    return text.getvalue()


def _rows(board: BoardOutcome, outcome: BlockOutcome) -> Iterator[list[str]]:
    """A row a time, or one row without a time where none is known."""
    block, facts = outcome.block, outcome.facts
    findings = sum(r.finding.block == block.path and r.state == "new" for r in board.rulings)
    polarity = facts["strap.polarity"].value if "strap.polarity" in facts else ""
    margin = _span(facts, "strap.margin")
    head = [
        *map(cell, (board.path, block.path, block.part.name, block.part.function, block.found_by)),
        *_three(facts, "supply.voltage"),
        *(number(None if span is None else span.middle) for span in _strap(facts)),
        cell(polarity) if isinstance(polarity, str) else "",
        number(None if margin is None else margin.low),
        *_three(facts, "rate.resistance"),
    ]
    times = [name for name in facts if name.startswith("timing.") and name.count(".") == 1]
    for name in [name for name in times if facts[name].span] or [""]:
        yield [*head, *_time(facts, name), str(findings)]


def _strap(facts: Mapping[str, Fact]) -> tuple[Span | None, Span | None]:
    return _span(facts, "strap.code"), _span(facts, "strap.prescale")


def _time(facts: Mapping[str, Fact], name: str) -> list[str]:
    """Quantity, unit, nominal, and the ends by each method."""
    span = _span(facts, name)
    if span is None:
        return [""] * 9
    ends = [end for suffix in ("", ".rss", ".monte_carlo") for end in _ends(_span(facts, name + suffix))]
    return [name.removeprefix("timing."), span.unit.symbol, number(span.nominal), *ends]


def _ends(span: Span | None) -> tuple[str, str]:
    return ("", "") if span is None else (number(span.low), number(span.high))


def _three(facts: Mapping[str, Fact], name: str) -> list[str]:
    """Low, nominal and high."""
    span = _span(facts, name)
    return ["", "", ""] if span is None else [number(n) for n in (span.low, span.nominal, span.high)]


def _span(facts: Mapping[str, Fact], name: str) -> Span | None:
    return facts[name].span if name in facts else None


def number(value: float | None) -> str:
    """A number in SI units; empty for none, and for one without bound."""
    return "" if value is None or not math.isfinite(value) else f"{value:.9g}"


def cell(text: str) -> str:
    """A name that no spreadsheet takes as a formula."""
    text = harmless(text)
    return f"'{text}" if text.startswith(_FORMULA) else text
