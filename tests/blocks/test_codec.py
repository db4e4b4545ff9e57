"""A part as JSON and back: nothing is lost, whatever a part file may hold."""

import json
import math
from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drc.blocks.codec import decode_part, encode
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
from drc.trouble import Place

number = st.floats(-1e12, 1e12)
value = st.none() | st.floats(0, 1e12)
text = st.text(max_size=6)
truth = st.none() | st.booleans()
level = st.none() | st.sampled_from(["high", "low"])


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """The value or None, for what a part file may leave out."""
    return st.none() | strategy


def rows(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A tuple of a few."""
    return st.lists(strategy, max_size=3).map(tuple)


def by_name(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Mapping[str, Any]]:
    """A table of a few."""
    return st.dictionaries(text, strategy, max_size=3)


span = st.builds(
    Span, number | st.just(-math.inf), st.none() | number, number | st.just(math.inf), st.sampled_from(NAMED)
)
supply = st.builds(SupplyRating, maybe(span), value)
error = st.builds(ErrorRow, number, *[maybe(span)] * 5)
none = st.none()
edge = st.builds(
    Timing, value, value, value, rows(error), value, st.booleans(), value, maybe(span), value, none, none
)
timing = st.builds(
    lambda base, rising, falling: base._replace(rising=rising, falling=falling),
    edge,
    maybe(edge),
    maybe(edge),
)
relative = st.builds(Relative, number, number)
pair = st.tuples(number, number)
names = rows(text)
drive = st.builds(
    Drive, st.sampled_from(["push-pull", "open-drain"]), value, value, value, maybe(pair), maybe(pair), value,
    maybe(span), level,
)  # fmt: skip
pin = st.builds(
    InputPin, maybe(relative), maybe(relative), maybe(relative), value,
    maybe(st.tuples(st.sampled_from(["up", "down"]), number)), level, maybe(relative), value,
)  # fmt: skip
strap = st.builds(
    StrapPin, st.integers(2, 64), rows(number), value, value, value, value, st.none() | st.just("once"),
    maybe(span),
)  # fmt: skip
FIELDS: dict[str, st.SearchStrategy[Any]] = {
    "name": text,
    "place": st.builds(Place, text, st.integers(0, 99), st.integers(1, 99), st.integers(0, 9)),
    "title": text,
    "source": text,
    "function": st.sampled_from(["oscillator", "gate", "unknown"]),
    "pins": names,
    "alias": by_name(names),
    "supply": supply,
    "supplies": by_name(supply),
    "ambient": maybe(span),
    "rate": maybe(
        st.builds(RatePin, maybe(span), maybe(span), maybe(span), value, st.none() | st.just("ratio"))
    ),
    "timing": maybe(timing),
    "strap": maybe(strap),
    "codes": rows(st.builds(Code, st.integers(), st.integers(), st.booleans(), by_name(text), level)),
    "outputs": rows(drive),
    "inputs": by_name(pin),
    "modulate": maybe(st.builds(Modulation, rows(pair), value, st.just("rate"))),
    "trigger": maybe(st.builds(Trigger, st.none() | st.just("both"), truth, value, truth)),
    "signal": maybe(st.builds(Signal, st.none() | st.just("rising"), truth)),
    "reset_active": level,
    "ladder": maybe(st.builds(Ladder, number, number, value, maybe(span))),
    "discharge": maybe(st.builds(Discharge, value, value)),
    "regulator": maybe(st.builds(Regulator, maybe(span), maybe(span), value, value)),
    "gate": maybe(st.builds(Gate, st.none() | st.just("nand"), truth, maybe(span))),
    "switch": maybe(st.builds(Switch, level, truth, value, value)),
    "packages": by_name(names),
    "units": rows(st.builds(PartUnit, text, names, by_name(names))),
    "consumption": maybe(span),
    "startup": value,
}
"""What each field of a part may hold."""


@pytest.mark.parametrize("field", Part._fields)
@given(st.data())
@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow])
def test_a_part_comes_back_from_its_json(field: str, data: st.DataObject) -> None:
    """A part with whatever a file may give, written as strict JSON and read back, is the same part."""
    part = Part("P", Place("p.toml", 1))._replace(**{field: data.draw(FIELDS[field])})
    written = json.dumps(encode(part), allow_nan=False)
    assert decode_part(json.loads(written)) == part
