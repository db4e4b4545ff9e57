"""Readers of single values: what each takes and gives in SI units, and what it refuses and says.

Prefixes and units: the International System of Units (BIPM brochure); the rest is the part file's contract.
"""

from typing import Any

import pytest

from drc.blocks import readers as r
from drc.blocks.model import Relative
from drc.blocks.refusal import At, Owner, Source
from drc.quantity.unit import (
    AMPERE,
    CELSIUS,
    FARAD,
    OHM,
    PER_KELVIN,
    PER_VOLT,
    POINT,
    RATIO,
    SECOND,
    VOLT,
    Unit,
)  # fmt: skip
from drc.trouble import Trouble


def given(reader: r.Reader, value: object) -> tuple[Any, list[str]]:
    """What a reader makes of a value at the key k of part P, and the refusals, without `part P, key k: `."""
    sink: list[Trouble] = []
    owner = Owner("P", Source("p.toml", "[part.P]\nk = 1\n"))
    found = reader(value, At(lambda keys: owner, sink, ("k",)))
    assert all(t.message.startswith("part P, key k") for t in sink)
    return found, [t.message.removeprefix("part P, key k").removeprefix(": ") for t in sink]


def refused(reader: r.Reader, value: object) -> str:
    """The one refusal of a value that is not taken."""
    found, (message,) = given(reader, value)
    assert found is None
    return message


def taken(reader: r.Reader, value: object) -> Any:  # noqa: ANN401  (whatever the reader gives)
    """What a reader makes of a value that it does not refuse."""
    found, messages = given(reader, value)
    assert messages == []
    return found


@pytest.mark.parametrize(
    ("reader", "value", "wanted"),
    [
        (r.text, "a word", "a word"),
        (r.text, "", ""),
        (r.truth, True, True),
        (r.truth, False, False),
        (r.integer(2, 5), 2, 2),
        (r.integer(2, 5), 5, 5),
        (r.choice("up", "down"), "down", "down"),
        (r.quantity(VOLT), "3.3V", 3.3),
        (r.quantity(VOLT), "0V", 0.0),
        (r.quantity(VOLT, positive=False), "-3.3V", -3.3),
        (r.quantity(FARAD), "20pF", 20e-12),
        (r.quantity(SECOND), "0.8ms", 0.8e-3),
        (r.quantity(OHM), "100kohm", 1e5),
        (r.width(RATIO), "1.5%", 0.015),
        (r.width(RATIO), "+/- 1.5%", 0.015),
        (r.width(RATIO), " +/-200ppm", 2e-4),
        (r.width(RATIO), "\N{PLUS-MINUS SIGN} 1%", 0.01),
        (r.width(POINT), "3.5points", 3.5),
        (r.width(POINT), "+/- 3.5points", 3.5),
        (r.per(PER_KELVIN), "50ppm", 50e-6),
        (r.per(PER_KELVIN), "-50ppm/K", -50e-6),
        (r.per(PER_KELVIN), "0.01%", 1e-4),
        (r.per(PER_KELVIN), "0.01%/K", 1e-4),
        (r.per(PER_VOLT), "0.1%/V", 1e-3),
        (r.supply_error, "+/- 0.1%/V", 1e-3),
        (r.supply_error, "-0.1%/V", -1e-3),
        (r.fraction, 0, 0.0),
        (r.fraction, 1, 1.0),
        (r.fraction, 0.25, 0.25),
        (r.fraction, "1/3", 1 / 3),
        (r.fraction, "40%", 0.4),
        (r.fraction, "0.4", 0.4),
        (r.drop, "0.4V at 10mA", (0.4, 0.01)),
        (r.drop, "-0.4V at 10mA", (-0.4, 0.01)),
        (r.pull, "up 100kohm", ("up", 1e5)),
        (r.pull, "down   4.7 kohm", ("down", 4700.0)),
        (r.relative, "0.8V", Relative(0.0, 0.8)),
        (r.relative, "supply", Relative(1.0, 0.0)),
        (r.relative, "0.3 supply", Relative(0.3, 0.0)),
        (r.relative, "supply+0.3V", Relative(1.0, 0.3)),
        (r.relative, "2 SUPPLY - 100mV", Relative(2.0, -0.1)),
        (r.relative, "-0.3V", Relative(0.0, -0.3)),
        (r.apart, "0V", Relative(0.0, 0.0)),
        (r.apart, "0.1 supply", Relative(0.1, 0.0)),
        (r.apart, "0.1 supply - 100mV", Relative(0.1, -0.1)),
        (r.rows(r.truth, "flags"), [True, False], (True, False)),
        (r.rows(r.truth, "two flags", least=2), [True, True], (True, True)),
        (r.rows(r.truth, "flags", least=0), [], ()),
    ],
)
def test_what_is_taken(reader: r.Reader, value: object, wanted: object) -> None:
    """Each value comes out in SI units, at the ends of a range as between them, and nothing is refused."""
    found = taken(reader, value)
    assert type(found) is type(wanted)
    assert found == (pytest.approx(wanted) if type(wanted) is float else wanted)


_VOLTAGE = 'a voltage, such as "3.3V"'
_RATIO_WIDTH = 'a ratio in % or ppm, such as "1.5%"'
_KELVIN = 'a ratio per kelvin, such as "50ppm" or "50ppm/K"'
_PER_VOLT = 'a ratio per volt, such as "0.1%/V"'
_FRACTION = 'a fraction from 0 to 1, such as 0.25, "1/3" or "40%"'
_DROP = 'a voltage at a current, such as "0.4V at 10mA"'
_PULL = 'a direction and a resistance, such as "up 100kohm"'
_RELATIVE = 'a voltage, or one by the supply, such as "0.8V", "0.3 supply" or "supply + 0.3V"'
_SPAN = 'a voltage or a span of one, such as "2.0V .. 5.5V"'
_NUMBERS = 'a number or a span of numbers, such as 128 or "1 .. 128"'
_COLUMN_1 = '(column 1: found "x", expected a number, such as 4.7kohm or 10kHz)'


@pytest.mark.parametrize(
    ("reader", "value", "found", "expected"),
    [
        (r.text, "two\nlines", '"two\\nlines"', "text in quotes, on one line"),
        (r.text, 3, "3", "text in quotes, on one line"),
        (r.truth, 1, "1", "true or false"),
        (r.truth, "true", '"true"', "true or false"),
        (r.integer(2, 5), 1, "1", "a whole number from 2 to 5"),
        (r.integer(2, 5), 6, "6", "a whole number from 2 to 5"),
        (r.integer(0, 1), True, "true", "a whole number from 0 to 1"),
        (r.integer(2, 5), 3.0, "3.0", "a whole number from 2 to 5"),
        (r.integer(2, 5), "3", '"3"', "a whole number from 2 to 5"),
        (r.choice("up", "down"), "downn", '"downn"', 'one of "up", "down"; did you mean down?'),
        (r.choice("up", "down"), "left", '"left"', 'one of "up", "down"'),
        (r.choice("up", "down"), 3, "3", 'one of "up", "down"'),
        (r.choice("up", "down"), [], "an empty list", 'one of "up", "down"'),
        (r.quantity(VOLT), "-1mV", '"-1mV"', "a voltage that is not below zero"),
        (r.quantity(VOLT), 3, "3", f"{_VOLTAGE}: a string with its unit"),
        (r.quantity(VOLT), "3A", '"3A"', _VOLTAGE),
        (r.quantity(VOLT), "x", '"x"', f"{_VOLTAGE} {_COLUMN_1}"),
        (r.span(VOLT), "-1V .. 1V", '"-1V .. 1V"', "a voltage that is not below zero"),
        (r.span(VOLT), "at most -1V", '"at most -1V"', "a voltage that is not below zero"),
        (r.span(VOLT), "3A", '"3A"', _SPAN),
        (r.span(VOLT), 3, "3", f"{_SPAN}: a string with its unit"),
        (r.span(VOLT), "x", '"x"', f"{_SPAN} {_COLUMN_1}"),
        (r.width(RATIO), "1.5", '"1.5"', _RATIO_WIDTH),
        (r.width(RATIO), 1.5, "1.5", _RATIO_WIDTH),
        (r.width(RATIO), "-1.5%", '"-1.5%"', "a ratio that is not below zero"),
        (r.width(POINT), 3.5, "3.5", 'points of duty, such as "3.5points": a string with its unit'),
        (r.per(PER_KELVIN), 50, "50", f"{_KELVIN}: a string with its unit"),
        (r.per(PER_KELVIN), "x", '"x"', f"{_KELVIN} {_COLUMN_1}"),
        (r.per(PER_KELVIN), "50", '"50"', _KELVIN),
        (r.per(PER_KELVIN), "50ppm/V", '"50ppm/V"', _KELVIN),
        (r.per(PER_VOLT), 1, "1", f"{_PER_VOLT}: a string with its unit"),
        (r.per(PER_VOLT), "x", '"x"', f"{_PER_VOLT} {_COLUMN_1}"),
        (r.per(PER_VOLT), "0.1%", '"0.1%"', _PER_VOLT),
        (r.per(PER_VOLT), "0.1%/K", '"0.1%/K"', _PER_VOLT),
        (r.fraction, -0.1, "-0.1", _FRACTION),
        (r.fraction, 1.1, "1.1", _FRACTION),
        (r.fraction, True, "true", _FRACTION),
        (r.fraction, "1V", '"1V"', _FRACTION),
        (r.fraction, "x", '"x"', _FRACTION),
        (r.fraction, [], "an empty list", _FRACTION),
        (r.number_span, True, "true", _NUMBERS),
        (r.number_span, [1], "a list of 1", _NUMBERS),
        (r.number_span, "1V", '"1V"', 'a ratio or a span of one, such as "10% .. 90%"'),
        (r.relative, 0.8, "0.8", _RELATIVE),
        (r.apart, "x", '"x"', _RELATIVE),
        (r.apart, "-0.3V", '"-0.3V"', 'a voltage of 0 V or more, such as "0.3V" or "0.1 supply"'),
        (r.relative, "0.8A", '"0.8A"', _RELATIVE),
        (r.relative, "x", '"x"', _RELATIVE),
        (r.relative, "supply + 1A", '"supply + 1A"', _RELATIVE),
        (r.relative, "supply + x", '"supply + x"', _RELATIVE),
        (r.relative, "supply 0.3V", '"supply 0.3V"', _RELATIVE),
        (r.drop, "0.4V", '"0.4V"', _DROP),
        (r.drop, "0.4V at 10mA at 1mA", '"0.4V at 10mA at 1mA"', _DROP),
        (r.drop, "0.4V at 0mA", '"0.4V at 0mA"', _DROP),
        (r.drop, "0.4V at -1mA", '"0.4V at -1mA"', _DROP),
        (r.drop, "0.4V at 10mV", '"0.4V at 10mV"', _DROP),
        (r.drop, "0.4A at 10mA", '"0.4A at 10mA"', _DROP),
        (r.drop, "x at 10mA", '"x at 10mA"', _DROP),
        (r.drop, "0.4V at x", '"0.4V at x"', _DROP),
        (r.drop, 0.4, "0.4", _DROP),
        (r.pull, "up", '"up"', _PULL),
        (r.pull, "left 1kohm", '"left 1kohm"', _PULL),
        (r.pull, "up 1V", '"up 1V"', _PULL),
        (r.pull, "up 0ohm", '"up 0ohm"', _PULL),
        (r.pull, "up x", '"up x"', _PULL),
        (r.pull, 100, "100", _PULL),
        (r.rows(r.truth, "flags"), [], "an empty list", "flags"),
        (r.rows(r.truth, "two flags", least=2), [True], "a list of 1", "two flags"),
        (r.rows(r.truth, "flags"), True, "true", "flags"),
        (lambda v, at: r.table(v, at, {"a": r.truth, "b": r.truth}), 3, "3", "a table with the keys a, b"),
    ],
)
def test_what_is_refused(reader: r.Reader, value: object, found: str, expected: str) -> None:
    """One refusal, with the value as the file has it and what would be taken, and nothing comes out."""
    assert refused(reader, value) == f"found {found}, expected {expected}"


@pytest.mark.parametrize(
    ("unit", "words", "good"),
    [
        (VOLT, "a voltage", "3.3V"),
        (AMPERE, "a current", "12mA"),
        (SECOND, "a time", "0.8ms"),
        (OHM, "a resistance", "25ohm"),
        (FARAD, "a capacitance", "20pF"),
        (CELSIUS, "a temperature", "25degC"),
        (RATIO, "a ratio", "1.5%"),
        (POINT, "points of duty", "3.5points"),
    ],
)
def test_every_example_is_taken_where_it_is_given(unit: Unit, words: str, good: str) -> None:
    """What a refusal gives as an example, of a quantity as of a span, is itself taken."""
    message = refused(r.quantity(unit), 0)
    assert message == f'found 0, expected {words}, such as "{good}": a string with its unit'
    assert taken(r.quantity(unit), good) >= 0
    wide = refused(r.span(unit, positive=False), 0)
    assert wide.startswith(f"found 0, expected {words} or a span of one, such as ")
    example = wide.partition('such as "')[2].partition('"')[0]
    found = taken(r.span(unit, positive=False), example)
    assert found.low < found.high
    assert found.unit == unit


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("2V .. 5V", 2, 5),
        ("0V .. 5V", 0, 5),
        ("3V", 3, 3),
        ("at most 5V", -float("inf"), 5),
        ("at most 0V", -float("inf"), 0),
    ],
)
def test_a_span_may_be_open_below_and_begin_at_nothing(text: str, low: float, high: float) -> None:
    """`at most` names no low end, so it is not below zero; only an end that is given can be."""
    found = taken(r.span(VOLT), text)
    assert (found.low, found.high, found.unit) == (low, high, VOLT)


def test_a_span_of_numbers_is_a_number_or_a_text() -> None:
    """A bare number is itself; a text is a span of numbers, of which percent are a hundredth."""
    assert taken(r.number_span, 128)[:3] == (128, 128, 128)
    assert taken(r.number_span, 0.5)[:3] == (0.5, 0.5, 0.5)
    assert (taken(r.number_span, "1 .. 128").low, taken(r.number_span, "1 .. 128").high) == (1, 128)
    assert taken(r.number_span, "50%").low == 0.5


@pytest.mark.parametrize(
    ("value", "bare", "random"),
    [
        ("+/- 5", "5", True),
        (" +/-5 ", "5", True),
        ("\N{PLUS-MINUS SIGN}5", "5", True),
        (" 5", " 5", False),
        (5, 5, False),
    ],
)
def test_a_sign_of_both_is_taken_off_and_told(value: object, bare: object, random: bool) -> None:
    """Behind `+/-` or its one sign stands the value; without, it is left as it is."""
    assert r.unsigned(value) == (bare, random)


def test_a_list_is_read_entry_by_entry() -> None:
    """Each entry is refused at its number, counted from 1, and one that is refused takes the whole list."""
    found, messages = given(r.rows(r.truth, "flags"), [True, 3, False, "x"])
    assert found is None
    assert messages == [
        ".2: found 3, expected true or false",
        '.4: found "x", expected true or false',
    ]


def test_a_table_is_read_key_by_key() -> None:
    """What is known and right is kept; unknown keys, wrong values and missing keys are each told."""
    fields: dict[str, r.Reader] = {"edge": r.choice("rising", "falling"), "level": r.truth, "limit": r.truth}
    value = {"edge": "rising", "levle": True, "level": 3}
    found, messages = given(lambda v, at: r.table(v, at, fields, needed=("edge", "limit", "level")), value)
    assert found == {"edge": "rising"}
    assert messages == [
        ".levle: found an unknown key, expected one of edge, level, limit; did you mean level?",
        ".level: found 3, expected true or false",
        ".limit: found nothing, expected this key: it has no default",
    ]
    assert given(lambda v, at: r.table(v, at, fields), {}) == ({}, [])
    assert given(lambda v, at: r.table(v, at, fields), {"level": False}) == ({"level": False}, [])
