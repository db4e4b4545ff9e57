"""Readers of single values in part files: each takes a TOML value and where it stands.

A reader returns the value in SI base units, or None after noting a refusal.
"""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from drc.blocks.model import Relative
from drc.blocks.refusal import At, Words, nearest
from drc.quantity.span import Span, exact
from drc.quantity.text import Quantity, QuantityError, parse_quantity, parse_span
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

M = TypeVar("M", Quantity, Span)

Reader = Callable[[object, At], Any]
"""(value, where it stands) to what the model holds, or None when refused."""

_EXAMPLE: Mapping[Unit, tuple[str, str, str]] = {
    VOLT: ("a voltage", "3.3V", "2.0V .. 5.5V"),
    AMPERE: ("a current", "12mA", "1.5uA .. 30uA"),
    SECOND: ("a time", "0.8ms", "60ns .. 200ns"),
    OHM: ("a resistance", "25ohm", "20kohm .. 400kohm"),
    FARAD: ("a capacitance", "20pF", "10pF .. 20pF"),
    CELSIUS: ("a temperature", "25degC", "-40degC .. 125degC"),
    RATIO: ("a ratio", "1.5%", "10% .. 90%"),
    POINT: ("points of duty", "3.5points", "1points .. 2points"),
}
_AT = re.compile(r"(?<!\s)\s++at\s+")
_RELATIVE = re.compile(
    r"\s*(?:(?P<factor>\d+(?:\.\d+)?|\.\d+)\s*)?supply\s*(?:(?P<sign>[+-])\s*(?P<offset>[^\s+-].*?))?\s*$",
    re.IGNORECASE,
)


def text(value: object, at: At) -> str | None:
    """A string on one line."""
    if isinstance(value, str) and "\n" not in value:
        return value
    at.refuse(value, "text in quotes, on one line")
    return None


def truth(value: object, at: At) -> bool | None:
    """`true` or `false`."""
    if isinstance(value, bool):
        return value
    at.refuse(value, "true or false")
    return None


def integer(low: int, high: int) -> Reader:
    """A whole number between two others, both included."""

    def read(value: object, at: At) -> int | None:
        if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
            return value
        at.refuse(value, f"a whole number from {low} to {high}")
        return None

    return read


def choice(*names: str) -> Reader:
    """One of a few words."""

    def read(value: object, at: At) -> str | None:
        if isinstance(value, str) and value in names:
            return value
        hint = nearest(value, names) if isinstance(value, str) else ""
        at.refuse(value, "one of " + ", ".join(f'"{n}"' for n in names) + hint)
        return None

    return read


def quantity(unit: Unit, positive: bool = True) -> Reader:
    """One quantity of a unit; not below zero unless `positive` is false."""
    what, example, _ = _EXAMPLE[unit]
    read = _measured(parse_quantity, unit, f'{what}, such as "{example}"')

    def checked(value: object, at: At) -> float | None:
        found = read(value, at)
        if found is not None and positive and found.value < 0:
            at.refuse(value, f"{what} that is not below zero")
            return None
        return None if found is None else found.value

    return checked


def span(unit: Unit, positive: bool = True) -> Reader:
    """A span of a unit; a single quantity is a span of no width."""
    what, _, example = _EXAMPLE[unit]
    read = _measured(parse_span, unit, f'{what} or a span of one, such as "{example}"')

    def checked(value: object, at: At) -> Span | None:
        found = read(value, at)
        if found is not None and positive and (-math.inf < found.low < 0 or found.high < 0):
            at.refuse(value, f"{what} that is not below zero")
            return None
        return found

    return checked


def _measured(parse: Callable[[str], M], unit: Unit, wanted: str) -> Callable[[object, At], M | None]:
    """A reader of text that `parse` understands, of one unit."""

    def read(value: object, at: At) -> M | None:
        if not isinstance(value, str):
            at.refuse(value, f"{wanted}: a string with its unit")
            return None
        try:
            found = parse(value)
        except QuantityError as error:
            at.refuse(value, f"{wanted} ({error})")
            return None
        if found.unit != unit:
            at.refuse(value, wanted)
            return None
        return found

    return read


def width(unit: Unit) -> Reader:
    """Half the width of an error, without or with `+/-` before it: `1.5%` and `+/- 1.5%` say the same.

    A relative one is written with its % or ppm: a bare 1.5 could mean either 150 % or 1.5 %.
    """
    inner = quantity(unit)

    def read(value: object, at: At) -> float | None:
        bare = unsigned(value)[0]
        if unit == RATIO and not _marked(bare):
            at.refuse(value, 'a ratio in % or ppm, such as "1.5%"')
            return None
        found: float | None = inner(bare, at)
        return found

    return read


def _marked(value: object) -> bool:
    """Whether a ratio is written with a sign of its scale."""
    return isinstance(value, str) and ("%" in value or "ppm" in value)


def unsigned(value: object) -> tuple[Any, bool]:
    """A value without the `+/-` before it, and whether that stood there."""
    if isinstance(value, str):
        bare = value.strip()
        for sign in ("+/-", "\N{PLUS-MINUS SIGN}"):
            if bare.startswith(sign):
                return bare[len(sign) :].strip(), True
    return value, False


def per(unit: Unit) -> Reader:
    """A relative error per kelvin or per volt; the `/K` of a temperature coefficient may be left out."""
    example = '"50ppm" or "50ppm/K"' if unit == PER_KELVIN else '"0.1%/V"'
    wanted = f"a ratio per {'kelvin' if unit == PER_KELVIN else 'volt'}, such as {example}"

    def read(value: object, at: At) -> float | None:
        if not isinstance(value, str):
            at.refuse(value, f"{wanted}: a string with its unit")
            return None
        try:
            found = parse_quantity(value)
        except QuantityError as error:
            at.refuse(value, f"{wanted} ({error})")
            return None
        if found.unit == unit or (found.unit == RATIO and unit == PER_KELVIN and _marked(value)):
            return found.value
        at.refuse(value, wanted)
        return None

    return read


def supply_error(value: object, at: At) -> float | None:
    """A relative error per volt of supply, with or without `+/-` before it."""
    found: float | None = per(PER_VOLT)(unsigned(value)[0], at)
    return found


def fraction(value: object, at: At) -> float | None:
    """A fraction from 0 to 1: a number, or a string such as `1/3` or `40%`."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        number: float | None = float(value)
    elif isinstance(value, str):
        found = _parsed(value)
        number = found.value if found and found.unit == RATIO else None
    else:
        number = None
    if number is None or not 0 <= number <= 1:
        at.refuse(value, 'a fraction from 0 to 1, such as 0.25, "1/3" or "40%"')
        return None
    return number


def number_span(value: object, at: At) -> Span | None:
    """A plain number, or a span of plain numbers in a string: `128`, `"1 .. 128"`."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return exact(float(value))
    if isinstance(value, str):
        found: Span | None = span(RATIO)(value, at)
        return found
    at.refuse(value, 'a number or a span of numbers, such as 128 or "1 .. 128"')
    return None


def relative(value: object, at: At) -> Relative | None:
    """A voltage that may depend on the supply: `0.8V`, `0.3 supply`, `supply + 0.3V`."""
    wanted = 'a voltage, or one by the supply, such as "0.8V", "0.3 supply" or "supply + 0.3V"'
    if not isinstance(value, str):
        at.refuse(value, wanted)
        return None
    match = _RELATIVE.match(value)
    plain = value if match is None else match["offset"]
    offset = 0.0
    if plain is not None:
        found = _parsed(plain)
        if found is None or found.unit != VOLT:
            at.refuse(value, wanted)
            return None
        offset = found.value
    if match is None:
        return Relative(0.0, offset)
    return Relative(float(match["factor"] or 1), -offset if match["sign"] == "-" else offset)


def apart(value: object, at: At) -> Relative | None:
    """How far two voltages lie apart, written as `relative`; it is never less than nothing."""
    found = relative(value, at)
    if found is not None and found.of_supply <= 0 and found.offset < 0:
        at.refuse(value, 'a voltage of 0 V or more, such as "0.3V" or "0.1 supply"')
        return None
    return found


def _parsed(text: str) -> Quantity | None:
    """The quantity that a text is, None if it is none."""
    try:
        return parse_quantity(text)
    except QuantityError:
        return None


def drop(value: object, at: At) -> tuple[float, float] | None:
    """A voltage at a current: `0.4V at 10mA`, as (V, A)."""
    pieces = _AT.split(value) if isinstance(value, str) else []
    if len(pieces) == 2:
        volts, amperes = _parsed(pieces[0]), _parsed(pieces[1])
        if volts and amperes and (volts.unit, amperes.unit) == (VOLT, AMPERE) and amperes.value > 0:
            return volts.value, amperes.value
    at.refuse(value, 'a voltage at a current, such as "0.4V at 10mA"')
    return None


def pull(value: object, at: At) -> tuple[str, float] | None:
    """A pull resistor: `up 100kohm`, as ("up", ohm)."""
    pieces = value.split(None, 1) if isinstance(value, str) else []
    if len(pieces) == 2 and pieces[0] in {"up", "down"}:
        ohm = _parsed(pieces[1])
        if ohm and ohm.unit == OHM and ohm.value > 0:
            return pieces[0], ohm.value
    at.refuse(value, 'a direction and a resistance, such as "up 100kohm"')
    return None


def rows(reader: Reader, what: str, least: int = 1) -> Reader:
    """A list, each entry read by one reader; None if any entry is refused."""

    def read(value: object, at: At) -> tuple[Any, ...] | None:
        if not isinstance(value, list) or len(value) < least:
            at.refuse(value, what)
            return None
        found = [reader(entry, at.below(str(i))) for i, entry in enumerate(value, 1)]
        return None if any(f is None for f in found) else tuple(found)

    return read


def table(
    value: object, at: At, fields: Mapping[str, Reader], needed: Sequence[str] = ()
) -> dict[str, Any] | None:
    """A table whose keys are all known, each read by its reader; refused values are left out.

    None if the value is no table. Unknown and missing keys are refused, and the rest is still read.
    """
    if not isinstance(value, dict):
        at.refuse(value, "a table with the keys " + ", ".join(fields))
        return None
    found = {}
    for key, entry in value.items():
        if key not in fields:
            at.below(key).refuse(
                Words("an unknown key"), "one of " + ", ".join(fields) + nearest(key, fields)
            )
            continue
        read = fields[key](entry, at.below(key))
        if read is not None:
            found[key] = read
    for key in needed:
        if key not in value:
            at.below(key).refuse(Words("nothing"), "this key: it has no default")
    return found
