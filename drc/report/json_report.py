"""A review as JSON, in the form that drc/report/review.schema.json describes."""

import json
import math
from collections.abc import Mapping

from drc.circuit.model import SourceFile
from drc.facts.model import Cases, Fact, Unknown, Value
from drc.judge.model import Edit, Remedy
from drc.outcome import BlockOutcome, BoardOutcome, ChainOutcome, Review, Ruling
from drc.quantity.span import Span
from drc.report.made_under import head_json
from drc.report.tally import counted_as, verdict_counts
from drc.resources import JSON
from drc.trouble import Place

SCHEMA = "tickproof-review/1"

TIMINGS = ("frequency", "period", "pulse_width", "delay", "delay_rising", "delay_falling", "duty")
"""The `timing.*` facts that are reported with all three worst-case methods."""

HANDED_ON = (
    "period", "high", "low", "bounce", "level_high", "level_low", "high_wanted", "low_wanted",
    "supply_driver", "supply_driven",
)  # fmt: skip
"""The `pair.*` facts that are reported of a chain."""


def render(review: Review) -> str:
    """The whole review; the same review gives the same text. Ends in a line end."""
    return json.dumps(review_json(review), indent=1, allow_nan=False) + "\n"


def review_json(review: Review) -> JSON:
    """The review as plain JSON values."""
    return {
        **head_json(SCHEMA, review),
        "inputs": [input_json(source) for source in review.inputs],
        "boards": [board_json(board) for board in review.boards],
    }


def span_json(span: Span) -> JSON:
    """A span; an unbounded end is null."""
    return {
        "unit": span.unit.symbol,
        "low": _number(span.low),
        "nominal": None if span.nominal is None else _number(span.nominal),
        "high": _number(span.high),
    }


def value_json(value: Value) -> JSON:
    """Any fact's value: a span, a name, a truth, labelled cases, or why it is unknown."""
    if isinstance(value, Span):
        return span_json(value)
    if isinstance(value, Cases):
        return {"cases": [{"label": case.label, "value": span_json(case.value)} for case in value.cases]}
    if isinstance(value, Unknown):
        return {"unknown": value.because, "missing": list(value.missing)}
    return value


def _number(number: float) -> float | None:
    """The number, null if it has no bound."""
    return number if math.isfinite(number) else None


def input_json(source: SourceFile) -> JSON:
    """A file that was read."""
    return {"path": source.path, "kind": source.kind, "sha256": source.sha256}


def board_json(board: BoardOutcome) -> JSON:
    """One board's review."""
    entries: list[JSON] = [
        {"rule": entry.rule, "subject": entry.subject, "verdict": counted_as(entry)} for entry in board.tally
    ]
    return {
        "path": board.path,
        "sha256": board.sha256,
        "elements": board.elements,
        "nets": board.nets,
        "error": board.error,
        "blocks": [
            *(_block(block) for block in board.blocks),
            *(_block(BlockOutcome(block, {})) for block in board.alike),
        ],
        "chains": [_chain(chain) for chain in board.chains],
        "findings": [finding_json(ruling) for ruling in board.rulings],
        "tally": {"counts": dict(verdict_counts(board.tally)), "entries": entries},
    }


def _block(outcome: BlockOutcome) -> JSON:
    block, facts = outcome.block, outcome.facts
    assumptions = sorted({text for fact in facts.values() for text in fact.assumptions})
    return {
        "path": block.path,
        "unit": block.unit,
        "part": block.part.name,
        "function": block.part.function,
        "found_by": block.found_by,
        "pins": {role: [net.name for net in nets] for role, nets in sorted(block.pins.items())},
        "supply": _span(facts, "supply.voltage"),
        "strap": _strap(facts) if block.part.strap else None,
        "rate": _group(facts, {"resistance": "rate.resistance", "current": "rate.current"}),
        "timing": _timing(facts),
        "output": _group(facts, {"source": "output.source", "sink": "output.sink"}),
        "assumptions": list[JSON](assumptions),
    }


def _chain(chain: ChainOutcome) -> JSON:
    spans = {name: _span(chain.facts, f"pair.{name}") for name in HANDED_ON}
    return {
        "from": chain.driver,
        "to": chain.driven,
        "role": chain.role,
        "inverted": chain.inverted,
        "through": list[JSON](chain.through),
        "loop": list[JSON](chain.loop),
        **spans,
    }


def _strap(facts: Mapping[str, Fact]) -> JSON:
    misread = _span(facts, "strap.misread")
    return {
        "ratio": _span(facts, "strap.ratio"),
        "code": _integer(facts, "strap.code"),
        "prescale": _integer(facts, "strap.prescale"),
        "polarity": _name(facts, "strap.polarity"),
        "margin": _span(facts, "strap.margin"),
        "misread": [misread["low"], misread["high"]] if isinstance(misread, dict) else None,
    }


def _timing(facts: Mapping[str, Fact]) -> JSON:
    found: dict[str, JSON] = {}
    for name in TIMINGS:
        fact = facts.get(f"timing.{name}")
        if fact is None or fact.span is None:
            continue
        span = fact.span
        found[name] = {
            "unit": span.unit.symbol,
            "nominal": None if span.nominal is None else _number(span.nominal),
            "extreme": [_number(span.low), _number(span.high)],
            "rss": _ends(facts, f"timing.{name}.rss"),
            "monte_carlo": _ends(facts, f"timing.{name}.monte_carlo"),
        }
    return found


def _ends(facts: Mapping[str, Fact], name: str) -> JSON:
    """[low, high] of a span, null if it was not computed or is unknown."""
    span = facts[name].span if name in facts else None
    return None if span is None else [_number(span.low), _number(span.high)]


def _span(facts: Mapping[str, Fact], name: str) -> JSON:
    """The fact as a span; labelled cases as the span about them all, the cases beside; null if unknown."""
    fact = facts.get(name)
    if fact is None:
        return None
    if isinstance(fact.value, Cases) and fact.value.cases:
        spans = [case.value for case in fact.value.cases]
        whole = Span(min(s.low for s in spans), None, max(s.high for s in spans), spans[0].unit)
        cases = value_json(fact.value)
        return {**_object(span_json(whole)), **_object(cases)}
    return None if fact.span is None else span_json(fact.span)


def _object(value: JSON) -> dict[str, JSON]:
    return value if isinstance(value, dict) else {}


def _integer(facts: Mapping[str, Fact], name: str) -> JSON:
    span = facts[name].span if name in facts else None
    return None if span is None else round(span.middle)


def _name(facts: Mapping[str, Fact], name: str) -> JSON:
    value = facts[name].value if name in facts else None
    return value if isinstance(value, str) else None


def _group(facts: Mapping[str, Fact], names: Mapping[str, str]) -> JSON:
    """Facts under short keys, null where the block has none of them."""
    if not any(name in facts for name in names.values()):
        return None
    return {key: _span(facts, name) for key, name in names.items()}


def finding_json(ruling: Ruling) -> JSON:
    """A finding with what the gate makes of it."""
    finding = ruling.finding
    terms = ruling.acceptance
    return {
        "rule": finding.rule,
        "level": finding.level,
        "verdict": finding.verdict,
        "block": finding.block,
        "message": finding.message,
        "fingerprint": ruling.fingerprint,
        "location": _place(finding.place),
        "evidence": {name: value_json(fact.value) for name, fact in finding.evidence.items()},
        "missing": list[JSON](finding.missing),
        "remedies": [_remedy(remedy) for remedy in finding.remedies],
        "state": ruling.state,
        "acceptance": None
        if terms is None
        else {"because": terms.because, "by": terms.by, "until": terms.until},
    }


def _remedy(remedy: Remedy) -> JSON:
    return {"edits": [edit_json(edit) for edit in remedy.edits], "why": remedy.why}


def edit_json(edit: Edit) -> JSON:
    """A change of one run of characters."""
    return {
        "element": edit.element,
        "from": edit.token.text,
        "to": edit.new,
        "place": {"path": edit.token.path, "start": edit.token.start, "end": edit.token.end},
    }


def _place(place: Place) -> JSON:
    """A place; line 0, the file as a whole, is given as line and column null."""
    if not place.line:
        return {"path": place.path, "line": None, "column": None}
    return {"path": place.path, "line": place.line, "column": place.column}
