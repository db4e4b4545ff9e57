"""The value of a resistor, capacitor or inductor, from its line or its model, and what goes with it."""

import re
from typing import NamedTuple

from drc.circuit.columns import Scope
from drc.circuit.model import Model, Reading, Token
from drc.netlist.cards import Card
from drc.netlist.evaluate import Evaluator
from drc.netlist.expression import ExpressionError
from drc.netlist.lines import SourceLines
from drc.netlist.words import Pair, Word
from drc.quantity.notation import MChoice, Notation, percent, read_value

_VALUE_NAMES = {"R": ("r", "value", "val"), "C": ("c", "value", "val"), "L": ("l", "value", "val")}
_TOLERANCE_NAMES = ("tol", "tolerance", "dev")
_LARGEST_TOLERANCE = 0.5
_VALUE_WORDS = 8
"""How many words a value may be spread over, rating and tolerance among them."""


class Line(NamedTuple):
    """An element's line seen from a scope: the card, its file, and who works out numbers."""

    card: Card
    lines: SourceLines
    scope: Scope
    evaluator: Evaluator
    m_means: MChoice

    def token(self, words: tuple[Word, ...]) -> Token:
        """The characters of a run of words."""
        return self.lines.token(words[0].start, words[-1].end)

    def pair(self, *names: str) -> Pair | None:
        """The first pair on the line that has one of the names."""
        found = {pair.name.text.lower(): pair for pair in self.card.pairs}
        return next((found[name] for name in names if name in found), None)

    def number(self, words: tuple[Word, ...]) -> float | None:
        """The value of words, None where there are none or they have none."""
        if not words:
            return None
        try:
            return self.evaluator.worth(self.token(words), self.scope).value
        except ExpressionError:
            return None

    def named(self, name: str) -> float | None:
        """The value of the pair of that name, None where there is none."""
        pair = self.pair(name)
        return None if pair is None else self.number(pair.values)


def passive_reading(line: Line, model: Model | None) -> Reading:
    """What an R, C or L line says. Raises ExpressionError where its expression has no value."""
    kind = line.card.kind
    words = tuple(word for word in line.card.tail if word.kind != "p" or word.text == ",")
    while words and words[0].kind == "p":
        words = words[1:]
    words = words[:_VALUE_WORDS]
    keyed = line.pair(*_VALUE_NAMES[kind])
    found = Reading(None, "no value is given")
    part = line.card.part
    if part is not None and not words and model is None and line.evaluator.defines(part.text, line.scope):
        words = (part,)
    if words:
        found = _worded(line, words)
    elif keyed is not None:
        found = _tokened(line, line.token(keyed.values))
    if found.value is None and line.card.part is not None and found.fitted:
        found = _modelled(line, model, found)
    elif found.value is not None and model is not None:
        found = found._replace(value=found.value * model.parameters.get(kind.lower(), 1.0))
    found = found._replace(value=_multiplied(line, found.value))
    return found._replace(tolerance=_tolerance(line, found, model), tempco=_tempco(line, model))


def _worded(line: Line, words: tuple[Word, ...]) -> Reading:
    """A value that stands by position, with what follows it."""
    kind, first = line.card.kind, words[0]
    is_parameter = read_value(first.text, kind).value is None and line.evaluator.defines(
        first.text, line.scope
    )
    if first.kind == "e" or is_parameter:
        found = _tokened(line, line.token(words[:1]))
        share = next((s for s in (percent(word.text) for word in words[1:]) if s is not None), None)
        return found._replace(tolerance=share) if share else found
    text = line.lines.text[first.start : words[-1].end]
    broken = "\n" in text or "\r" in text
    notation = read_value(" ".join(word.text for word in words) if broken else text, kind, line.m_means)
    return _reading(notation, _value_token(line, notation, words))


def _value_token(line: Line, notation: Notation, words: tuple[Word, ...]) -> Token | None:
    """The characters of the value itself, without tolerance, rating and the like."""
    if notation.value is None:
        return None
    text = line.lines.text
    for word in words:
        for high in sorted({w.end for w in words if w.end > word.start}, reverse=True):
            piece = re.split(r"[/|;_%]", text[word.start : high])[0].rstrip()
            alone = read_value(piece, line.card.kind, line.m_means)
            if alone.value == notation.value and not alone.rating and alone.tolerance is None:
                return line.lines.token(word.start, word.start + len(piece))
    return line.token(words)


def _tokened(line: Line, token: Token) -> Reading:
    """The value of a token: a number in any notation, a parameter's name, or an expression."""
    if not token.text.startswith(("{", "'", '"')):
        notation = read_value(token.text, line.card.kind, line.m_means)
        if notation.value is not None or not notation.fitted:
            return _reading(notation, token)
    worth = line.evaluator.worth(token, line.scope)
    notation = read_value(worth.token.text, line.card.kind, line.m_means)
    if notation.value is not None:
        return _reading(notation, worth.token)
    return Reading(worth.value, token=worth.token)


def _reading(notation: Notation, token: Token | None) -> Reading:
    """A notation as the reading of an element."""
    return Reading(
        notation.value, notation.because, notation.tolerance, None, notation.fitted, notation.rating, token
    )


def _modelled(line: Line, model: Model | None, found: Reading) -> Reading:
    """The value that a model gives by itself: sheet resistance times squares, or its own value.

    Source of the former: SPICE user's guide, "Semiconductor resistors".
    """
    name = line.card.part.text if line.card.part else ""
    if model is None:
        return found._replace(because=f"'{name}' is no value")
    length, width = line.named("l"), line.named("w")
    numbers = model.parameters
    width = width if width is not None else numbers.get("defw")
    narrow = numbers.get("narrow", 0.0)
    if line.card.kind == "R" and "rsh" in numbers and length and width and width != narrow:
        return Reading(numbers["rsh"] * (length - narrow) / (width - narrow))
    own = numbers.get(line.card.kind.lower())
    return Reading(own) if own is not None else found._replace(because=f"model '{name}' gives no value")


def _multiplied(line: Line, value: float | None) -> float | None:
    """The value times `scale`, and of `m` equal parts side by side."""
    times, scale = line.named("m"), line.named("scale")
    if value is not None and times:
        value = value * times if line.card.kind == "C" else value / times
    return value * scale if value is not None and scale else value


def _tolerance(line: Line, found: Reading, model: Model | None) -> tuple[float, float] | None:
    """The relative tolerance that the line (`1%`, `tol=1%`, `tol=0.01`) or the model (`dev`) states.

    A bare number of 1 and more is in percent: no part is off by its whole value. One between is no tolerance.
    """
    if found.tolerance is not None:
        return found.tolerance
    pair = line.pair(*_TOLERANCE_NAMES)
    if pair is not None:
        share = percent(line.token(pair.values).text)
        if share is not None:
            return share
        number = line.number(pair.values)
        if number is not None and number >= 1:
            number /= 100
        if number is not None and 0 <= number <= _LARGEST_TOLERANCE:
            return (-number, number)
    dev = model.parameters.get("dev") if model is not None else None
    return (-dev, dev) if dev is not None and 0 <= dev <= _LARGEST_TOLERANCE else None


def _tempco(line: Line, model: Model | None) -> tuple[float, float] | None:
    """First and second temperature coefficient (1/K, 1/K^2): `tc=a,b`, `tc1=`, `tc2=`, else the model's."""
    one, two = line.pair("tc1"), line.pair("tc2")
    first = None if one is None else _per_kelvin(line, one.values)
    second = None if two is None else _per_kelvin(line, two.values)
    pair = line.pair("tc")
    if pair is not None:
        values = tuple(word for word in pair.values if word.kind != "p")
        first, second = _per_kelvin(line, values[:1]), line.number(values[1:2])
    if model is not None:
        first = first if first is not None else model.parameters.get("tc1", model.parameters.get("tc"))
        second = second if second is not None else model.parameters.get("tc2")
    return None if first is None and second is None else (first or 0.0, second or 0.0)


def _per_kelvin(line: Line, words: tuple[Word, ...]) -> float | None:
    """A coefficient, 1/K: `3e-3`, `3m`, or `3000ppm`, which a drawing does not mean as 3000 pico.

    A number of 1 and more is in ppm: no part doubles in a kelvin.
    """
    text = line.token(words).text.replace(" ", "").lower() if words else ""
    if text.endswith("ppm"):
        try:
            return float(text.removesuffix("ppm")) * 1e-6
        except ValueError:
            return None
    number = line.number(words)
    return number * 1e-6 if number is not None and abs(number) >= 1 else number
