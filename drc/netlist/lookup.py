"""The text of an element looked up when it is asked for: name, value, waveform, parameters, model."""

import re
from collections.abc import Mapping
from functools import lru_cache

from drc.circuit.columns import Scope
from drc.circuit.model import Model, Reading, Token, Waveform
from drc.netlist.cards import Card, card_of
from drc.netlist.evaluate import Evaluator
from drc.netlist.expression import ExpressionError
from drc.netlist.lines import SourceLines
from drc.netlist.scopes import ModelCard, Names
from drc.netlist.statement import read_statement
from drc.netlist.waveform import waveform_of
from drc.netlist.words import Word, split_words, take_apart
from drc.quantity.notation import MChoice, Notation, percent, read_value
from drc.trouble import Place

_NAME = re.compile(r"[^\s=(){}'\",]+")
_VALUE_NAMES = {"R": ("r", "value", "val"), "C": ("c", "value", "val"), "L": ("l", "value", "val")}
_TOLERANCES = ("tol", "tolerance", "dev")


class TextLines:
    """Answers for elements from their place in the text."""

    def __init__(
        self, sources: list[SourceLines], names: list[Names], evaluator: Evaluator, m_means: MChoice
    ) -> None:
        self._sources, self._names, self._evaluator, self._m_means = sources, names, evaluator, m_means
        self._card = lru_cache(maxsize=20_000)(self._read_card)

    def name(self, source: int, offset: int) -> str:
        """The element's name as written."""
        match = _NAME.match(self._sources[source].text, offset)
        return match.group() if match else ""

    def place(self, source: int, offset: int) -> Place:
        """Where the element's name stands."""
        return self._sources[source].place(offset, offset + len(self.name(source, offset)))

    def _read_card(self, source: int, offset: int) -> Card:
        lines = self._sources[source]
        return card_of(read_statement(lines.text, offset, lines.logical_end(offset)))

    def part(self, source: int, offset: int) -> str | None:
        """The model or part name on the line, for kinds whose part is not a column."""
        part = self._card(source, offset).part
        return part.text if part else None

    def parameters(self, source: int, offset: int) -> Mapping[str, str]:
        """`name=value` pairs as written, names in lower case."""
        text = self._sources[source].text
        pairs = self._card(source, offset).pairs
        return {p.name.text.lower(): text[p.values[0].start : p.values[-1].end] for p in pairs}

    def waveform(self, source: int, offset: int, scope: Scope) -> Waveform | None:
        """What an independent source does, None where the line does not say."""
        lines = self._sources[source]

        def number(word: Word) -> float:
            return self._evaluator.worth(lines.token(word.start, word.end), scope).value

        try:
            return waveform_of(self._card(source, offset), number)
        except ExpressionError:
            return None

    def reading(self, source: int, offset: int, scope: Scope) -> Reading:
        """What the line says of the value, expressions evaluated in the scope."""
        card = self._card(source, offset)
        lines = self._sources[source]
        if card.kind in "VI":
            wave = self.waveform(source, offset, scope)
            settled = wave.settled if wave else None
            return Reading(settled, "" if settled is not None else "the source takes no settled value")
        if card.kind not in _VALUE_NAMES:
            return self._gain(card, lines, scope)
        try:
            return self._passive(card, lines, scope)
        except ExpressionError as error:
            return Reading(None, error.message)

    def _gain(self, card: Card, lines: SourceLines, scope: Scope) -> Reading:
        """The first number after the nodes and the part, for kinds without a value of their own."""
        words = [word for word in card.tail if word.kind != "p"]
        if not words:
            return Reading(None, "the line gives no value")
        try:
            worth = self._evaluator.worth(lines.token(words[0].start, words[0].end), scope)
        except ExpressionError as error:
            return Reading(None, error.message)
        return Reading(worth.value, token=worth.token)

    def _passive(self, card: Card, lines: SourceLines, scope: Scope) -> Reading:
        """The value of an R, C or L: from the line, else from its model."""
        pairs = {pair.name.text.lower(): pair for pair in card.pairs}
        words = [word for word in card.tail if not (word.kind == "p" and word.text != ",")]
        while words and words[0].kind == "p":
            words.pop(0)
        keyed = next((pairs[n] for n in _VALUE_NAMES[card.kind] if n in pairs), None)
        found = Reading(None, "no value is given")
        if words:
            found = self._worded(card, words, lines, scope)
        elif keyed is not None:
            token = lines.token(keyed.values[0].start, keyed.values[-1].end)
            found = self._tokened(token, card.kind, scope)
        model = self.model(card.part.text, scope) if card.part else None
        if found.value is None and card.part is not None and found.fitted:
            found = self._from_model(card, model, pairs, scope, found, lines)
        elif found.value is not None and model is not None:
            factor = model.parameters.get(card.kind.lower(), 1.0)
            found = found._replace(value=found.value * factor)
        return self._coefficients(found, card, pairs, model, scope, lines)

    def _worded(self, card: Card, words: list[Word], lines: SourceLines, scope: Scope) -> Reading:
        """A value that stands by position, with what follows it."""
        first = words[0]
        if first.kind == "e" or (first.kind == "w" and self._evaluator_knows(first, card.kind, scope)):
            token = lines.token(first.start, first.end)
            found = self._tokened(token, card.kind, scope)
            shares = [percent(word.text) for word in words[1:]]
            share = next((s for s in shares if s is not None), None)
            return found._replace(tolerance=share) if share else found
        text = lines.text[first.start : words[-1].end]
        notation = read_value(
            " ".join(text.split()) if "\n" not in text else first.text, card.kind, self._m_means
        )
        return _reading(notation, self._value_token(notation, words, lines, card.kind))

    def _evaluator_knows(self, word: Word, kind: str, scope: Scope) -> bool:
        """Whether a bare word is a parameter's name and no value in itself."""
        return read_value(word.text, kind).value is None and self._evaluator.defines(word.text, scope)

    def _value_token(self, notation: Notation, words: list[Word], lines: SourceLines, kind: str) -> Token | None:
        """The characters of the value itself, without tolerance, rating and the like."""
        if notation.value is None:
            return None
        start, end = words[0].start, words[-1].end
        for word in words:
            low = word.start
            for high in sorted({w.end for w in words if w.end > low}, reverse=True):
                piece = re.split(r"[/|;_%]", lines.text[low:high])[0].rstrip()
                alone = read_value(piece, kind, self._m_means)
                if alone.value == notation.value and not alone.rating and alone.tolerance is None:
                    return lines.token(low, low + len(piece))
        return lines.token(start, end)

    def _tokened(self, token: Token, kind: str, scope: Scope) -> Reading:
        """The value of a token: an expression, a parameter's name, or a number in any notation."""
        if not token.text.startswith(("{", "'", '"')):
            notation = read_value(token.text, kind, self._m_means)
            if notation.value is not None or not notation.fitted:
                return _reading(notation, token)
        worth = self._evaluator.worth(token, scope)
        notation = read_value(worth.token.text, kind, self._m_means)
        if notation.value is not None and notation.value != worth.value and notation.pointed:
            return _reading(notation, worth.token)
        return Reading(worth.value, token=worth.token)

    def _from_model(
        self, card: Card, model: Model | None, pairs: Mapping[str, object], scope: Scope, found: Reading,
        lines: SourceLines,
    ) -> Reading:  # fmt: skip
        """The value that a model gives by itself: sheet resistance times squares, or its own value."""
        name = card.part.text if card.part else ""
        if model is None:
            return found._replace(because=f"'{name}' is no value")
        length, width = self._pair(card, "l", scope, lines), self._pair(card, "w", scope, lines)
        sheet = model.parameters.get("rsh")
        width = width if width is not None else model.parameters.get("defw")
        if card.kind == "R" and sheet is not None and length and width:
            narrow = model.parameters.get("narrow", 0.0)
            return Reading(sheet * (length - narrow) / (width - narrow))
        own = model.parameters.get(card.kind.lower())
        if own is not None:
            return Reading(own)
        return found._replace(because=f"model '{name}' gives no value")

    def _pair(self, card: Card, name: str, scope: Scope, lines: SourceLines) -> float | None:
        """The number of one pair on the line, None where it is absent or has no value."""
        for pair in card.pairs:
            if pair.name.text.lower() == name:
                try:
                    return self._evaluator.worth(
                        lines.token(pair.values[0].start, pair.values[-1].end), scope
                    ).value
                except ExpressionError:
                    return None
        return None

    def _coefficients(
        self, found: Reading, card: Card, pairs: Mapping[str, object], model: Model | None, scope: Scope,
        lines: SourceLines,
    ) -> Reading:  # fmt: skip
        """Adds tolerance, temperature coefficients and multiplicity that the line or the model states."""
        tolerance = found.tolerance
        for name in _TOLERANCES:
            if tolerance is None and name in pairs:
                tolerance = self._tolerance(card, name, scope, lines)
        first, second = (self._pair(card, name, scope, lines) for name in ("tc1", "tc2"))
        for pair in card.pairs:
            if pair.name.text.lower() == "tc":
                first, second = (
                    self._number(word, scope, lines)
                    for word in (*pair.values[:2], *pair.values[1:2], None)[:2]
                )
                if len(pair.values) < 2:
                    second = None
        if model is not None:
            first = first if first is not None else model.parameters.get("tc1", model.parameters.get("tc"))
            second = second if second is not None else model.parameters.get("tc2")
            if tolerance is None and "dev" in model.parameters:
                tolerance = (-model.parameters["dev"], model.parameters["dev"])
        tempco = (first or 0.0, second or 0.0) if first is not None or second is not None else None
        value = found.value
        times, scale = (self._pair(card, name, scope, lines) for name in ("m", "scale"))
        if value is not None and times:
            value = value * times if card.kind == "C" else value / times
        if value is not None and scale:
            value *= scale
        return found._replace(value=value, tolerance=tolerance, tempco=tempco)

    def _number(self, word: Word | None, scope: Scope, lines: SourceLines) -> float | None:
        if word is None:
            return None
        try:
            return self._evaluator.worth(lines.token(word.start, word.end), scope).value
        except ExpressionError:
            return None

    def _tolerance(
        self, card: Card, name: str, scope: Scope, lines: SourceLines
    ) -> tuple[float, float] | None:
        """A tolerance given as `tol=1%`, `tol=0.01` or a parameter; a bare number above a half is none."""
        for pair in card.pairs:
            if pair.name.text.lower() != name:
                continue
            share = percent(lines.text[pair.values[0].start : pair.values[-1].end])
            if share is not None:
                return share
            number = self._number(pair.values[0], scope, lines)
            if number is not None and 0 <= number <= 0.5:
                return (-number, number)
        return None

    def model(self, name: str, scope: Scope) -> Model | None:
        """The `.model` of that name as seen from the scope, outward."""
        definition = scope.definition
        while definition >= 0:
            card = self._names[definition].models.get(name.lower())
            if card is not None:
                return self._model(card, scope, 0)
            definition = self._names[definition].outer
        return None

    def _model(self, card: ModelCard, scope: Scope, depth: int) -> Model:
        """A model with its numbers; those without a value are left out."""
        lines = self._sources[card.source]
        numbers: dict[str, float] = {}
        kind = card.kind
        if card.base and depth < 8:
            for definition in (scope.definition, 0):
                base = self._names[definition].models.get(card.base.lower())
                if base is not None and base is not card:
                    inherited = self._model(base, scope, depth + 1)
                    numbers.update(inherited.parameters)
                    break
        for pair in card.pairs:
            token = lines.token(pair.values[0].start, pair.values[-1].end)
            share = percent(token.text)
            if share is not None:
                numbers[pair.name.text.lower()] = share[1]
                continue
            try:
                numbers[pair.name.text.lower()] = self._evaluator.worth(token, scope).value
            except ExpressionError:
                continue
        return Model(card.name, kind, numbers, lines.place(card.offset, card.offset + card.length))


def _reading(notation: Notation, token: Token | None) -> Reading:
    """A notation as the reading of an element."""
    return Reading(
        notation.value, notation.because, notation.tolerance, None, notation.fitted, notation.rating, token
    )
