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
from drc.netlist.passive import Line, passive_reading
from drc.netlist.scopes import ModelCard, Names
from drc.netlist.statement import read_statement
from drc.netlist.waveform import waveform_of
from drc.netlist.words import WORD, Word
from drc.quantity.notation import MChoice, percent, scaled_number
from drc.trouble import Place

_NAME = re.compile(WORD)
_BASES = 8
"""How many models may take their numbers one from another."""


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

    def card(self, source: int, offset: int) -> Card:
        """An element line taken apart."""
        return self._card(source, offset)

    def _line(self, source: int, offset: int, scope: Scope) -> Line:
        card = self._card(source, offset)
        return Line(card, self._sources[source], scope, self._evaluator, self._m_means)

    def part(self, source: int, offset: int) -> str | None:
        """The model or part name on the line, for kinds whose part is not a column."""
        part = self._card(source, offset).part
        return part.text if part else None

    def pin_tokens(self, source: int, offset: int) -> tuple[Token, ...]:
        """Where the nets of an element's pins are written, in order."""
        lines = self._sources[source]
        return tuple(lines.token(word.start, word.end) for word in self._card(source, offset).nodes)

    def part_token(self, source: int, offset: int) -> Token | None:
        """Where an element's part name is written."""
        part = self._card(source, offset).part
        return self._sources[source].token(part.start, part.end) if part else None

    def parameters(self, source: int, offset: int) -> Mapping[str, str]:
        """`name=value` pairs as written, names in lower case."""
        text = self._sources[source].text
        pairs = self._card(source, offset).pairs
        return {p.name.text.lower(): text[p.values[0].start : p.values[-1].end] for p in pairs}

    def waveform(self, source: int, offset: int, scope: Scope) -> Waveform | None:
        """What an independent source does, None where the line does not say."""
        try:
            return self._waveform(self._line(source, offset, scope))
        except ExpressionError:
            return None

    def _waveform(self, line: Line) -> Waveform | None:
        """The waveform of a V or I line. Raises ExpressionError where a value has none."""

        def number(word: Word) -> float:
            plain = scaled_number(word.text)
            return line.evaluator.worth(line.token((word,)), line.scope).value if plain is None else plain

        return waveform_of(line.card, number)

    def reading(self, source: int, offset: int, scope: Scope) -> Reading:
        """What the line says of the value, expressions evaluated in the scope."""
        line = self._line(source, offset, scope)
        card = line.card
        try:
            if card.kind in "VI":
                wave = self._waveform(line)
                settled = wave.settled if wave else None
                return Reading(settled, "" if settled is not None else "the source takes no settled value")
            if card.kind in "RCL":
                return passive_reading(line, self.model(card.part.text, scope) if card.part else None)
            words = tuple(word for word in card.tail if word.kind != "p")
            if not words:
                return Reading(None, "the line gives no value")
            worth = self._evaluator.worth(line.token(words[:1]), scope)
            return Reading(worth.value, token=worth.token)
        except ExpressionError as error:
            return Reading(None, error.message)

    def model(self, name: str, scope: Scope) -> Model | None:
        """The `.model` of that name as seen from the scope, outward."""
        found = self._model_card(name, scope)
        return None if found is None else self._model(*found, _BASES)

    def _model_card(self, name: str, scope: Scope) -> tuple[ModelCard, Scope] | None:
        """A model's card, and the scope that it stands in."""
        while True:
            card = self._names[scope.definition].models.get(name.lower())
            if card is not None:
                return card, scope
            if self._names[scope.definition].outer < 0:
                return None
            scope = self._evaluator.enclosing(scope)

    def _model(self, card: ModelCard, scope: Scope, bases: int) -> Model:
        """A model with its numbers; those without a value are left out."""
        lines = self._sources[card.source]
        numbers: dict[str, float] = {}
        base = self._model_card(card.base, scope) if card.base and bases else None
        if base is not None and base[0] is not card:
            numbers.update(self._model(*base, bases - 1).parameters)
        for pair in card.pairs:
            token = lines.token(pair.values[0].start, pair.values[-1].end)
            share = percent(token.text)
            try:
                value = share[1] if share else self._evaluator.worth(token, scope).value
            except ExpressionError:
                continue
            numbers[pair.name.text.lower()] = value
        return Model(card.name, card.kind, numbers, lines.place(card.offset, card.offset + card.length))
