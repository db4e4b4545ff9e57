"""A Part as plain JSON and back, cheaply: records are lists in the order of their fields."""

import math
from collections.abc import Callable, Mapping
from typing import Any

from drc.blocks.model import (
    Code,
    Discharge,
    Drive,
    ErrorRow,
    Gate,
    InputPin,
    Ladder,
    Modulation,
    Part,
    PartUnit,
    RatePin,
    Regulator,
    Relative,
    Signal,
    StrapPin,
    SupplyRating,
    Switch,
    Timing,
    Trigger,
)  # fmt: skip
from drc.quantity.span import Span
from drc.quantity.unit import NAMED
from drc.resources import JSON
from drc.trouble import Place

Decoder = Callable[[Any], Any]

_UNITS = {unit.symbol: unit for unit in NAMED}


def encode(value: object) -> JSON:
    """A Part, or anything in one, as plain JSON. An unbounded end of a span is null."""
    if isinstance(value, Span):
        low, high = (None if math.isinf(end) else end for end in (value.low, value.high))
        return [low, value.nominal, high, value.unit.symbol]
    if isinstance(value, tuple):
        return [encode(entry) for entry in value]
    if isinstance(value, Mapping):
        return {key: encode(entry) for key, entry in value.items()}
    if value is None or isinstance(value, (bool, int, float, str)):
        return value
    raise TypeError(f"no part holds a {type(value).__name__}")


def _span(row: list[Any] | None) -> Span | None:
    if row is None:
        return None
    low, nominal, high, symbol = row
    return Span(
        -math.inf if low is None else low, nominal, math.inf if high is None else high, _UNITS[symbol]
    )


def _record(kind: type[Any], **decoders: Decoder) -> Decoder:
    """A decoder of one record type; fields without a decoder are plain."""
    make = kind._make
    steps = [(kind._fields.index(name), decoder) for name, decoder in decoders.items()]

    def decode(row: list[Any] | None) -> object:
        if row is None:
            return None
        for index, decoder in steps:
            if row[index] is not None:
                row[index] = decoder(row[index])
        return make(row)

    return decode


def _rows(decoder: Decoder) -> Decoder:
    return lambda rows: tuple([decoder(row) for row in rows])


def _names(decoder: Decoder) -> Decoder:
    return lambda table: {key: decoder(entry) for key, entry in table.items()}


_supply = _record(SupplyRating, rated=_span)
_error = _record(ErrorRow, current=_span, supply=_span, ambient=_span, prescale=_span, code=_span)
_edge = _record(Timing, errors=_rows(_error), offset=_span)
_relative = _record(Relative)
_input = _record(InputPin, low=_relative, high=_relative, hysteresis=_relative, limit=_relative, pull=tuple)
_part = _record(
    Part,
    place=_record(Place),
    pins=tuple,
    alias=_names(tuple),
    supply=_supply,
    supplies=_names(_supply),
    ambient=_span,
    rate=_record(RatePin, voltage=_span, current=_span, resistance=_span),
    timing=_record(Timing, errors=_rows(_error), offset=_span, rising=_edge, falling=_edge),
    strap=_record(StrapPin, thresholds=tuple, reference=_span),
    codes=_rows(_record(Code)),
    outputs=_rows(_record(Drive, high_drop=tuple, low_drop=tuple, at_supply=_span)),
    inputs=_names(_input),
    modulate=_record(Modulation, points=_rows(tuple)),
    trigger=_record(Trigger),
    signal=_record(Signal),
    ladder=_record(Ladder, resistance=_span),
    discharge=_record(Discharge),
    regulator=_record(Regulator, output=_span, feedback=_span),
    gate=_record(Gate, delay=_span),
    switch=_record(Switch),
    packages=_names(tuple),
    units=_rows(_record(PartUnit, pins=tuple, alias=_names(tuple))),
    consumption=_span,
)


def decode_part(row: JSON) -> Part:
    """The Part that `encode` made JSON of. The lists in `row` are used up."""
    part: Part = _part(row)
    return part
