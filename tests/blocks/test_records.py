"""Parts as plain JSON and back where every field is given, and what is no record."""

import json
import math
from collections import OrderedDict
from enum import IntEnum
from typing import NamedTuple

import numpy as np
import pytest

from drc.blocks.codec import Encoders, decode_part, decode_span, encode, encode_span, names, record, rows
from drc.blocks.model import Part
from drc.blocks.parts import load_parts, parse_parts
from drc.quantity.span import Span
from drc.quantity.unit import OHM, VOLT, Dimension, Unit
from tests.blocks.test_describe_ratings import HELPERS, RATED
from tests.blocks.test_values import part


class Level(IntEnum):
    """A number with a name."""

    HIGH = 3


class Pair(NamedTuple):
    """A record for these tests."""

    one: object
    other: object = None


def again(found: Part) -> Part:
    """The part through JSON text."""
    return decode_part(json.loads(json.dumps(encode(found), allow_nan=False)))


def test_a_part_of_every_rating_comes_back() -> None:
    """Clock, edges, strap, codes, outputs, inputs, law of duty, supplies, packages: each as it was."""
    rated = part(RATED)
    assert again(rated) == rated
    for helper in parse_parts(HELPERS).by_name.values():
        assert again(helper) == helper
    for built_in in load_parts([]).by_name.values():
        assert again(built_in) == built_in


def test_rows_that_come_back_are_tuples() -> None:
    """What the model has as a tuple is one again, so that parts compare and hash as they did."""
    rated = again(part(RATED))
    lists: list[object] = [
        rated.pins,
        rated.codes,
        rated.outputs,
        rated.packages["S9"],
        rated.alias["output"],
    ]
    assert [type(found) for found in lists] == [tuple] * 5
    assert rated.strap is not None
    assert rated.modulate is not None
    drive, points = rated.outputs[0], rated.modulate.points
    pairs: list[object] = [rated.strap.thresholds, points, points[0], drive.high_drop, drive.low_drop]
    assert [type(pair) for pair in pairs] == [tuple] * 5
    assert type(rated.outputs[0].high_drop) is type(rated.outputs[0].low_drop) is tuple
    assert type(rated.inputs["enable"].pull) is tuple
    assert type(rated.codes[0].when) is dict


@pytest.mark.parametrize(
    ("value", "wanted"),
    [
        (None, None),
        (True, True),
        ("x", "x"),
        (2.5, 2.5),
        ((1, ("a", None)), [1, ["a", None]]),
        (Pair(1, Pair("x")), [1, ["x", None]]),
        ({"a": (1,), "b": {}}, {"a": [1], "b": {}}),
        (OrderedDict(a=1), {"a": 1}),
        (np.float64(2.5), 2.5),
        (Level.HIGH, 3),
        (Span(1.0, None, 2.0, VOLT), [1.0, None, 2.0, "V"]),
        ((), []),
    ],
)
def test_what_values_become(value: object, wanted: object) -> None:
    """Records and tuples are lists, tables are tables, and numbers of any make are numbers."""
    assert encode(value) == wanted
    assert json.loads(json.dumps(encode(value))) == wanted


@pytest.mark.parametrize("value", [[1], {1, 2}, object(), b"x", 1j, (1, [2])])
def test_what_is_no_record(value: object) -> None:
    """Anything that JSON has not, or that would not come back as it was, is refused by its type's name."""
    with pytest.raises(TypeError, match=r"no record holds a (list|set|object|bytes|complex)"):
        encode(value)


def test_a_type_may_be_encoded_in_its_own_way() -> None:
    """The caller's way comes before that of any tuple, however deep, and in place of the span's own."""
    own: Encoders = {Pair: lambda pair: "pair"}
    assert encode((Pair(1), {"a": (Pair(2),)}), own) == ["pair", {"a": ["pair"]}]
    assert encode(Span(1.0, None, 2.0, VOLT), own) == [1.0, None, 2.0, ["V", [*VOLT.dimension]]]


@pytest.mark.parametrize(
    "span",
    [
        Span(1.0, 2.0, 3.0, OHM),
        Span(-math.inf, None, 5.0, VOLT),
        Span(0.0, 1.0, math.inf, VOLT),
        Span(1.0, None, 2.0, Unit("furlong", Dimension(1, 2, 3))),
        Span(1.0, None, 2.0, Unit("V", Dimension(1, 2, 3))),
    ],
)
def test_a_span_comes_back_with_its_unit_and_its_open_ends(span: Span) -> None:
    """Ends without a bound by name, for JSON has no infinity; a unit that is not ours by its dimension."""
    found = decode_span(json.loads(json.dumps(encode_span(span), allow_nan=False)))
    assert found == span
    assert found is not None
    assert found.unit == span.unit
    assert decode_span(None) is None


def test_decoders_of_records_rows_and_tables() -> None:
    """A field with a decoder is decoded where it is given; the others are taken as they stand."""
    decode = record(Pair, other=rows(record(Pair, one=tuple)))
    assert decode([[1], [[[2], 3], [None, 4]]]) == Pair([1], (Pair((2,), 3), Pair(None, 4)))
    assert decode([1, None]) == Pair(1, None)
    assert decode(None) is None
    assert names(tuple)({"a": [1, 2]}) == {"a": (1, 2)}
    assert rows(tuple)([]) == ()
