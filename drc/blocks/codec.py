"""Records as plain JSON and back, cheaply: a record is a list in the order of its fields.

What any value becomes is said here once, and how a Part comes back from it.
"""

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
from drc.quantity.unit import NAMED, Dimension, Unit
from drc.resources import JSON
from drc.trouble import Place

Decoder = Callable[[Any], Any]
Encoders = Mapping[type, Callable[[Any], JSON]]
"""How values of some types are encoded in their own way."""

_UNITS = {unit.symbol: unit for unit in NAMED}
_PLAIN = frozenset({str, int, float, bool, type(None)})


def encode_span(span: Span) -> JSON:
    """A span; an end without a bound is its name, `inf` or `-inf`."""
    low, nominal, high, unit = span
    known = _UNITS.get(unit.symbol) == unit
    return [
        _end(low),
        None if nominal is None else _end(nominal),
        _end(high),
        unit.symbol if known else [unit.symbol, *unit.dimension],
    ]


def _end(number: float) -> float | str:
    return number if math.isfinite(number) else str(float(number))


_SPANS: Encoders = {Span: encode_span}


def encode(value: object, own: Encoders = _SPANS) -> JSON:
    """A Part, or any tuple of tuples, mappings and plain values, as plain JSON.

    TypeError where something is none of these.
    """
    kind = type(value)
    if kind in _PLAIN:
        return value  # type: ignore[return-value]  # the set says so, and this is the inner loop
    special = own.get(kind)
    if special is not None:
        return special(value)
    if isinstance(value, tuple):
        return [encode(entry, own) for entry in value]
    if isinstance(value, Mapping):
        return {key: encode(entry, own) for key, entry in value.items()}
    if isinstance(value, bool | int | float | str):
        return value
    raise TypeError(f"no record holds a {kind.__name__}")


def decode_span(row: list[Any] | None) -> Span | None:
    """The span that `encode_span` made JSON of."""
    if row is None:
        return None
    low, nominal, high, symbol = row
    unit = _UNITS[symbol] if isinstance(symbol, str) else Unit(symbol[0], Dimension(*symbol[1:]))
    return Span(_number(low), _number(nominal), _number(high), unit)


def _number(end: Any) -> Any:  # noqa: ANN401  (None, a number, or the name of an infinity)
    return float(end) if type(end) is str else end


def record(kind: type[Any], **decoders: Decoder) -> Decoder:
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


def rows(decoder: Decoder) -> Decoder:
    """A decoder of a tuple of any length."""
    return lambda rows: tuple([decoder(row) for row in rows])


def names(decoder: Decoder) -> Decoder:
    """A decoder of a mapping by name."""
    return lambda table: {key: decoder(entry) for key, entry in table.items()}


_supply = record(SupplyRating, rated=decode_span)
_error = record(
    ErrorRow,
    current=decode_span,
    supply=decode_span,
    ambient=decode_span,
    prescale=decode_span,
    code=decode_span,
)
_edge = record(Timing, errors=rows(_error), offset=decode_span)
_relative = record(Relative)
_input = record(InputPin, low=_relative, high=_relative, hysteresis=_relative, limit=_relative, pull=tuple)
_part = record(
    Part,
    place=record(Place),
    pins=tuple,
    alias=names(tuple),
    supply=_supply,
    supplies=names(_supply),
    ambient=decode_span,
    rate=record(RatePin, voltage=decode_span, current=decode_span, resistance=decode_span),
    timing=record(Timing, errors=rows(_error), offset=decode_span, rising=_edge, falling=_edge),
    strap=record(StrapPin, thresholds=tuple, reference=decode_span),
    codes=rows(record(Code)),
    outputs=rows(record(Drive, high_drop=tuple, low_drop=tuple, at_supply=decode_span)),
    inputs=names(_input),
    modulate=record(Modulation, points=rows(tuple)),
    trigger=record(Trigger),
    signal=record(Signal),
    ladder=record(Ladder, resistance=decode_span),
    discharge=record(Discharge),
    regulator=record(Regulator, output=decode_span, feedback=decode_span),
    gate=record(Gate, delay=decode_span),
    switch=record(Switch),
    packages=names(tuple),
    units=rows(record(PartUnit, pins=tuple, alias=names(tuple))),
    consumption=decode_span,
)


def decode_part(row: JSON) -> Part:
    """The Part that `encode` made JSON of. The lists in `row` are used up."""
    part: Part = _part(row)
    return part
