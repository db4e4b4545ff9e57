"""A board's outcome as JSON text and back, so that it can be sent, spooled and kept; never more than data.

What comes back equals what went in, but for views of the circuit: blocks keep names in their place.
"""

import json
from functools import lru_cache
from typing import Any, NamedTuple, cast

from drc.blocks.codec import Encoders, decode_part, decode_span, encode, encode_span, names, record, rows
from drc.blocks.model import Block, Part
from drc.circuit.model import SourceFile, Token
from drc.facts.model import Case, Cases, Fact, Input, Unknown, Value
from drc.judge.model import Edit, Finding, Remedy, TallyEntry
from drc.outcome import (
    Acceptance,
    BlockOutcome,
    BoardOutcome,
    ChainOutcome,
    Expected,
    Histogram,
    Margin,
    Neighbour,
    Ruling,
    Surroundings,
)
from drc.quantity.span import Span
from drc.resources import JSON
from drc.trouble import Place


class NamedNet(NamedTuple):
    """What is left of a net when its circuit is let go: the name, and whether it is ground."""

    name: str
    is_ground: bool


class NamedElement(NamedTuple):
    """What is left of an element when its circuit is let go."""

    path: str
    kind: str
    part: str | None


def encode_outcome(outcome: BoardOutcome) -> bytes:
    """A board's outcome as JSON; each part that it speaks of is written once, as a text of its own."""
    parts = _PartList()
    own: Encoders = {**_OWN, Block: parts.encode_block}
    body = encode(outcome, own)
    return json.dumps([parts.texts, body], separators=(",", ":")).encode("ascii")


def decode_outcome(data: bytes) -> BoardOutcome:
    """The outcome that `encode_outcome` made JSON of."""
    texts, body = json.loads(data)
    parts = [_part(text) for text in texts]
    for block in (*(outcome[0] for outcome in body[_BLOCKS]), *body[_ALIKE]):
        block[_PART] = parts[block[_PART]]
    outcome: BoardOutcome = _board(body)
    return outcome


class _PartList:
    """The parts that one outcome speaks of, numbered."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self._numbers: dict[int, int] = {}

    def encode_block(self, block: Block) -> JSON:
        """A block with its part's number in place of the part, and names in place of views."""
        part, element = block.part, block.element
        if id(part) not in self._numbers:
            self._numbers[id(part)] = len(self.texts)
            self.texts.append(json.dumps(encode(part), separators=(",", ":")))
        pins = {
            role: [NamedNet(net.name, net.is_ground) for net in nets] for role, nets in block.pins.items()
        }
        row: list[object] = list(block)
        row[_PART] = self._numbers[id(part)]
        row[_ELEMENT] = NamedElement(element.path, element.kind, element.part)
        row[_PINS] = {role: tuple(nets) for role, nets in pins.items()}
        return encode(tuple(row))


@lru_cache(maxsize=256)
def _part(text: str) -> Part:
    """A part; an archive uses the same few over and over."""
    return decode_part(json.loads(text))


def _encode_value(value: Cases | Unknown) -> JSON:
    """What a fact may be beside a span (a list) and what is plain: a table."""
    if isinstance(value, Cases):
        return {"cases": [[case.label, encode_span(case.value)] for case in value.cases]}
    return {"because": value.because, "missing": list(value.missing)}


def _value(row: Any) -> Value:  # noqa: ANN401  (plain JSON)
    if isinstance(row, list):
        return cast(Span, decode_span(row))
    if not isinstance(row, dict):
        return cast(str | bool, row)
    if "cases" in row:
        return Cases(tuple([Case(label, cast(Span, decode_span(span))) for label, span in row["cases"]]))
    return Unknown(row["because"], tuple(row["missing"]))


_OWN: Encoders = {Span: encode_span, Cases: _encode_value, Unknown: _encode_value, frozenset: sorted}
_PART, _ELEMENT, _PINS = (Block._fields.index(name) for name in ("part", "element", "pins"))
_BLOCKS, _ALIKE = (BoardOutcome._fields.index(name) for name in ("blocks", "alike"))

_place = record(Place)
_fact = record(Fact, value=_value, inputs=rows(record(Input, place=_place)), assumptions=tuple)
_block = record(Block, element=record(NamedElement), pins=names(rows(record(NamedNet))), place=_place)
_finding = record(
    Finding,
    place=_place,
    evidence=names(_fact),
    missing=tuple,
    remedies=rows(record(Remedy, edits=rows(record(Edit, token=record(Token))))),
    others=rows(_place),
)
_surroundings = record(
    Surroundings,
    elements=rows(record(Neighbour, nets=tuple)),
    rails=names(tuple),
    grounds=frozenset,
    left_out=frozenset,
)
_block_outcome = record(
    BlockOutcome,
    block=_block,
    facts=names(_fact),
    surroundings=_surroundings,
    strap_draws=record(Histogram, counts=tuple),
    expected=rows(record(Expected, place=_place, wanted=_fact, actual=_fact)),
)
_board = record(
    BoardOutcome,
    blocks=rows(_block_outcome),
    rulings=rows(record(Ruling, finding=_finding, acceptance=record(Acceptance))),
    tally=rows(record(TallyEntry, missing=tuple)),
    inputs=rows(record(SourceFile)),
    chains=rows(record(ChainOutcome, through=tuple, loop=tuple, facts=names(_fact))),
    alike=rows(_block),
    margins=rows(record(Margin)),
)
