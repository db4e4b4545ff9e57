"""Quantities and spans as text: `4.7kohm`, `2.0V .. 5.5V`, `0.60V +/- 2%`, read and written.

The notation is SI with its letter case (`M` mega, `m` milli). This is the one place that knows prefixes.
Digits may stand in groups of three (`1 000 000`). Nothing is guessed: a prefix without a unit, a percentage
of a percentage, a wrong case are refused.
"""

import math
import re
from typing import NamedTuple, NoReturn

from drc.quantity.span import Span, exact
from drc.quantity.unit import (
    AMPERE,
    CELSIUS,
    COULOMB,
    FARAD,
    HENRY,
    HERTZ,
    OHM,
    PER_KELVIN,
    PER_VOLT,
    POINT,
    RATIO,
    SECOND,
    SIEMENS,
    STEP,
    VOLT,
    WATT,
    Dimension,
    Unit,
)

PREFIXES = {
    "T": 1e12, "G": 1e9, "M": 1e6, "k": 1e3, "": 1.0, "m": 1e-3, "u": 1e-6, "\N{MICRO SIGN}": 1e-6,
    "\N{GREEK SMALL LETTER MU}": 1e-6, "n": 1e-9, "p": 1e-12, "f": 1e-15,
}  # fmt: skip
"""SI prefixes that are read, with their factors; both code points of the micro sign."""

_PREFIXED = {
    "V": VOLT, "A": AMPERE, "s": SECOND, "Hz": HERTZ, "ohm": OHM, "\N{OHM SIGN}": OHM,
    "\N{GREEK CAPITAL LETTER OMEGA}": OHM, "F": FARAD, "H": HENRY, "W": WATT, "S": SIEMENS, "C": COULOMB,
}  # fmt: skip
_ALONE = {
    "%": (0.01, RATIO), "ppm": (1e-6, RATIO), "points": (1.0, POINT), "point": (1.0, POINT),
    "steps": (1.0, STEP), "step": (1.0, STEP), "min": (60.0, SECOND), "h": (3600.0, SECOND),
    "degC": (1.0, CELSIUS), "\N{DEGREE SIGN}C": (1.0, CELSIUS), "\N{DEGREE CELSIUS}": (1.0, CELSIUS),
}  # fmt: skip
_KELVIN = Unit("K", Dimension(kelvin=1))
_TOKENS: dict[str, tuple[float, Unit]] = {
    **{
        prefix + name: (factor, unit)
        for prefix, factor in PREFIXES.items()
        for name, unit in _PREFIXED.items()
    },
    **_ALONE,
}
_DIVISORS: dict[str, tuple[float, Unit]] = {**_TOKENS, "K": (1.0, _KELVIN)}

_SPACE = re.compile(r"[ \t]*")
_NUMBER = re.compile(
    r"[+\-\N{MINUS SIGN}]?(?:(?:[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+)"
    r"(?:[eE][+-]?[0-9]+)?"
)
_FRACTION = re.compile(r"/([0-9]{1,9})(?![0-9.])")
_UNIT = re.compile(r"%|(?:[^\W\d_]|[\N{DEGREE SIGN}\N{DEGREE CELSIUS}])+")
_PLUS_MINUS = re.compile(r"\+/-|\N{PLUS-MINUS SIGN}")
_ONE_SIDED = re.compile(r"at[ \t]+(least|most)(?=[ \t])")
_NOMINAL = re.compile(r"\([ \t]*nominal(?=[ \t])")
_ANYTHING = re.compile(r"[^\s]+")


class QuantityError(ValueError):
    """Text that is no quantity: `column` (from 1) in `text`, what was `found` there, what was `expected`."""

    def __init__(self, text: str, column: int, found: str, expected: str) -> None:
        super().__init__(f"column {column}: found {found}, expected {expected}")
        self.text = text
        self.column = column
        self.found = found
        self.expected = expected


class Quantity(NamedTuple):
    """A value in SI base units, and its unit (percent and ppm are ratios; points stay 0..100)."""

    value: float
    unit: Unit


def parse_quantity(text: str) -> Quantity:
    """One quantity and nothing else: `10kHz`, `-40degC`, `0.1%/V`, `50ppm`, `1/3`, `2.5h`.

    Raises QuantityError.
    """
    quantity, at = take_quantity(text, 0)
    _end(text, at)
    return quantity


def parse_span(text: str) -> Span:
    """A span and nothing else, in SI base units.

    `10kHz` (no width), `2.0V .. 5.5V` (no nominal), `2.7 V .. 4.2 V (nominal 3.6 V)`, `0.60V +/- 2%`,
    `15ms +/- 1ms`, `+/- 50ppm` (nominal 0), `at least 5ms`, `at most 1s`. Raises QuantityError.
    """
    start = _skip(text, 0)
    if match := _ONE_SIDED.match(text, start):
        quantity, at = take_quantity(text, match.end())
        _end(text, at)
        if match[1] == "least":
            return Span(quantity.value, None, math.inf, quantity.unit)
        return Span(-math.inf, None, quantity.value, quantity.unit)
    if match := _PLUS_MINUS.match(text, start):
        width, at = _width(text, match.end())
        _end(text, at)
        return Span(-width.value, 0.0, width.value, width.unit)
    first, at = take_quantity(text, start)
    at = _skip(text, at)
    if text.startswith("..", at):
        return _from_to(text, start, first, at + 2)
    if match := _PLUS_MINUS.match(text, at):
        return _around(text, first, match.end())
    _end(text, at)
    return exact(first.value, first.unit)


def take_quantity(text: str, at: int) -> tuple[Quantity, int]:
    """The quantity that stands at an offset, and the offset behind it; what follows is the caller's.

    Raises QuantityError.
    """
    at = _skip(text, at)
    number = _NUMBER.match(text, at)
    if not number:
        _refuse(text, at, "a number, such as 4.7kohm or 10kHz")
    value = float(number[0].replace("\N{MINUS SIGN}", "-").replace(" ", ""))
    if not abs(value) < 1e100:
        _refuse(text, at, "a number of a size that parts have", number[0])
    at = number.end()
    if re.match(r",[0-9]", text[at:]):
        _refuse(text, at, "a point as the decimal sign")
    if fraction := _FRACTION.match(text, at):
        if int(fraction[1]) == 0:
            _refuse(text, at, "a divisor that is not 0")
        value, at = value / int(fraction[1]), fraction.end()
    return _take_unit(text, at, value)


def _take_unit(text: str, at: int, value: float) -> tuple[Quantity, int]:
    """The unit behind a number; a word after a space that is no unit is left for the caller."""
    start = _skip(text, at)
    word = _UNIT.match(text, start)
    unit = RATIO
    if word and word[0] in _TOKENS:
        factor, unit = _TOKENS[word[0]]
        value, at = _scaled(value, factor), word.end()
    elif word and (start == at or _meant(word[0])):
        _refuse(text, start, _unit_hint(word[0]), word[0])
    over = re.compile(r"/").match(text, at)
    if over:
        below = _UNIT.match(text, over.end())
        if not below or below[0] not in _DIVISORS:
            _refuse(
                text, over.end(), "a unit below the stroke, such as /K or /V", below[0] if below else None
            )
        factor, divisor = _DIVISORS[below[0]]
        value, unit, at = value / factor, unit / divisor, below.end()
    return Quantity(value, unit), at


def _scaled(value: float, factor: float) -> float:
    """value * factor, rounded as decimal text is: 0.3ms is the float nearest to 0.0003."""
    return value * factor if factor >= 1 else value / round(1 / factor)


def _from_to(text: str, start: int, low: Quantity, at: int) -> Span:
    """The rest of `LOW .. HIGH`, with `(nominal X)` behind it if it stands there."""
    second = _skip(text, at)
    high, at = take_quantity(text, second)
    unit = _common_unit(text, start, low, second, high)
    if low.value > high.value:
        _refuse(text, second, "a high end that is not below the low end", text[second:at].strip())
    nominal = None
    at = _skip(text, at)
    if match := _NOMINAL.match(text, at):
        third = _skip(text, match.end())
        middle, at = take_quantity(text, third)
        _common_unit(text, second, high, third, middle)
        if not low.value <= middle.value <= high.value:
            _refuse(text, third, "a nominal value between the ends", text[third:at].strip())
        nominal = middle.value
        at = _skip(text, at)
        if not text.startswith(")", at):
            _refuse(text, at, "a closing bracket")
        at += 1
    _end(text, at)
    return Span(low.value, nominal, high.value, unit)


def _around(text: str, centre: Quantity, at: int) -> Span:
    """The rest of `CENTRE +/- WIDTH`: a width in percent or ppm is relative to the centre."""
    start = _skip(text, at)
    width, at = _width(text, start)
    _end(text, at)
    half = width.value
    if width.unit == RATIO and text[start:at].rstrip()[-1] in "%m":
        if centre.unit == RATIO and not any(sign in text[:start] for sign in ("%", "ppm")):
            _refuse(
                text, start, f"a unit on the number before it, or a plain number in place of {text[start:at]}"
            )
        if centre.unit == RATIO:
            _refuse(text, start, "points, or LOW .. HIGH: a percentage of a percentage can be read two ways")
        half = abs(centre.value) * width.value
    elif width.unit == POINT and centre.unit == RATIO:
        half = width.value / 100
    elif width.unit != centre.unit:
        _refuse(text, start, f"a width in {_unit_name(centre.unit)}, or in %", text[start:at].strip())
    return Span(centre.value - half, centre.value, centre.value + half, centre.unit)


def _width(text: str, at: int) -> tuple[Quantity, int]:
    """The quantity behind `+/-`, which has no sign of its own."""
    at = _skip(text, at)
    width, end = take_quantity(text, at)
    if width.value < 0:
        _refuse(text, at, "a width without a sign", text[at:end].strip())
    return width, end


def _common_unit(text: str, first_at: int, first: Quantity, second_at: int, second: Quantity) -> Unit:
    """The unit of both; a bare 0 takes the other's."""
    if first.unit == second.unit or (second.unit == RATIO and second.value == 0):
        return first.unit
    if first.unit == RATIO and first.value == 0:
        return second.unit
    if first.unit == RATIO and second.unit != RATIO:
        _refuse(text, first_at, f"a unit ({_unit_name(second.unit)}), as at the other end")
    return _refuse(text, second_at, f"a quantity in {_unit_name(first.unit)}, as at the other end")


def _unit_name(unit: Unit) -> str:
    """A unit's symbol, or words for a plain number."""
    return unit.symbol or "no unit"


def _meant(word: str) -> bool:
    """Whether a word that is no unit looks like one in the wrong letter case, or like a lone prefix."""
    lower = word.casefold()
    return word in PREFIXES or any(token.casefold() == lower for token in _TOKENS)


def _unit_hint(word: str) -> str:
    """What to write in place of a word that is no unit."""
    if word in PREFIXES:
        return f"a unit behind the prefix, such as {word}ohm or {word}Hz"
    lower = word.casefold()
    close = sorted({token for token in _TOKENS if token.casefold() == lower})
    if close:
        return f"{' or '.join(close)} (letter case counts)"
    if lower.startswith("meg"):
        return "M for mega, then a unit"
    return "a unit: V A s Hz ohm F H W degC min h % ppm points steps, with an SI prefix where it takes one"


def _skip(text: str, at: int) -> int:
    """The offset of the next character that is not a blank."""
    match = _SPACE.match(text, at)
    return match.end() if match else at


def _end(text: str, at: int) -> None:
    """Refuses anything but blanks from an offset on."""
    if text[at:].strip():
        _refuse(text, _skip(text, at), "nothing more")


def _refuse(text: str, at: int, expected: str, found: str | None = None) -> NoReturn:
    """Raises QuantityError at an offset; `found` is by default the run of characters that stands there."""
    if found is None:
        run = _ANYTHING.match(text, _skip(text, at))
        found = run[0] if run else ""
    raise QuantityError(text, at + 1, f'"{found}"' if found else "the end", expected)


def format_value(value: float, unit: Unit, digits: int = 4) -> str:
    """A value as an engineer writes it: `10 kHz`, `4.7 kohm`, `12.3 points`; infinities are `unbounded`.

    Four significant digits, engineering prefixes, long times in min and h; a plain number of a million or
    more whole and in groups, `1 000 000`, as ISO 80000-1 sets them. nan is `unknown`.
    """
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "unbounded"
    return _written(value, *_scale(value, unit, digits), digits)


def format_span(span: Span) -> str:
    """A span on one line: `9.7 kHz .. 10.3 kHz (nominal 10 kHz)`, `at least 5 ms`, `4.7 kohm`.

    All numbers share one prefix unless an end would lose its digits by it; digits grow until ends that
    differ look different.
    """
    low, high, unit = span.low, span.high, span.unit
    if math.isnan(low) or math.isnan(high):
        return "unknown"
    if math.isinf(low) and math.isinf(high):
        return "unbounded"
    nominal = f" (nominal {format_value(span.nominal, unit)})" if span.nominal is not None else ""
    if math.isinf(high):
        return f"at least {format_value(low, unit)}{nominal}"
    if math.isinf(low):
        return f"at most {format_value(high, unit)}{nominal}"
    if low == high:
        return format_value(low, unit)
    return _written_span(span)


def _written_span(span: Span) -> str:
    """A span of finite width, with the prefix of its larger end."""
    values = [span.low, span.high] + ([span.nominal] if span.nominal is not None else [])
    largest = max(values, key=abs)
    for digits in (4, 5, 6, 7, 8):
        factor, symbol = _scale(largest, span.unit, digits)
        smallest = min((abs(v) for v in values if v), default=1.0)
        shared = smallest / factor >= 0.01
        texts = [
            _written(v, factor, symbol, digits) if shared or not v else format_value(v, span.unit, digits)
            for v in values
        ]
        if len(set(texts)) == len(set(values)):
            break
    nominal = f" (nominal {texts[2]})" if len(texts) == 3 else ""
    return f"{texts[0]} .. {texts[1]}{nominal}"


def _scale(value: float, unit: Unit, digits: int) -> tuple[float, str]:
    """The factor to divide by, and the symbol to write: prefix and unit."""
    size = abs(value)
    if unit == SECOND and size >= 1000:
        return (3600.0, "h") if size >= 7200 else (60.0, "min")
    if unit == PER_KELVIN:
        return 1e-6, "ppm/K"
    if unit == PER_VOLT:
        return 0.01, "%/V"
    if unit not in _PREFIXED.values() or size == 0:
        return 1.0, unit.symbol
    # A mantissa that rounds up to 1000 takes the next prefix.
    size *= 1 + 0.5 * 10.0**-digits
    for prefix in ("T", "G", "M", "k", "", "m", "u", "n", "p"):
        if size >= PREFIXES[prefix] * (1 - 1e-12):
            return PREFIXES[prefix], prefix + unit.symbol
    return PREFIXES["f"], "f" + unit.symbol


def _written(value: float, factor: float, symbol: str, digits: int) -> str:
    """value/factor to so many significant digits, and the symbol."""
    if not symbol and 1e6 <= abs(value) < 1e15:
        return f"{value:,.0f}".replace(",", " ")
    number = f"{value / factor:.{digits}g}"
    if "e" in number and 1e-4 <= abs(value / factor) < 1e6:
        number = f"{value / factor:.0f}"
    number = "0" if float(number) == 0 else number
    return f"{number} {symbol}" if symbol else number
