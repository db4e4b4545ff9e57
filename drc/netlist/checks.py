"""What only the whole netlist shows: duplicate names, wrong pin counts, recursion, undefined parameters."""

import re
from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import TOP, Definition, Tables
from drc.netlist.evaluate import strip_braces
from drc.netlist.expression import CONSTANTS, FUNCTIONS, RANDOM, ExpressionError, Node, parse
from drc.netlist.lines import SourceLines
from drc.netlist.lookup import TextLines
from drc.netlist.scopes import Names
from drc.netlist.waveform import waveform_of
from drc.netlist.words import Word
from drc.quantity.notation import scaled_number
from drc.trouble import Place, Trouble

if TYPE_CHECKING:
    from drc.circuit.columns import Ints

_BRACED = re.compile(r"\{([^{}\r\n]*)\}|(?<==)[ \t]*'([^'\r\n]*)'")
_GIVEN = re.compile(r"(?<![^\s=(){}'\",])([^\s=(){}'\",]++)[ \t]*+=")
_EXPRESSIONS_CHECKED = 20_000
_SOURCES = (ord("V"), ord("I"))


class Checker:
    """The finished tables beside the text they came from."""

    def __init__(
        self, tables: Tables, lines: TextLines, sources: list[SourceLines], names: list[Names]
    ) -> None:
        self.tables, self.lines, self.sources, self.names = tables, lines, sources, names
        self._ports = np.array([definition.ports.size for definition in tables.definitions])

    def troubles(self, cut: "list[tuple[int, int]]") -> Iterator[Trouble]:
        """Everything that is wrong, definition by definition."""
        for definition in self.tables.definitions:
            yield from self._duplicates(definition)
            yield from self._pin_counts(definition)
        for index, child in cut:
            yield self._recursion(index, child)
        yield from self._expressions()
        for index, definition in enumerate(self.tables.definitions):
            yield from self._source_values(definition, index)

    def _trouble(
        self, kind: str, row: tuple[Definition, int], message: str, other: Place, nets: tuple[str, ...] = ()
    ) -> Trouble:
        """A trouble at an element's name, with the other place it contradicts."""
        definition, index = row
        source, offset = int(definition.sources[index]), int(definition.offsets[index])
        place = self.lines.place(source, offset)
        return Trouble(kind, "error", place, message, self.sources[source].excerpt(offset), (other,), nets)

    def _name(self, definition: Definition, index: int) -> str:
        return self.lines.name(int(definition.sources[index]), int(definition.offsets[index]))

    def _place(self, definition: Definition, index: int) -> Place:
        return self.lines.place(int(definition.sources[index]), int(definition.offsets[index]))

    def _duplicates(self, definition: Definition) -> Iterator[Trouble]:
        """Elements of one definition that share a name; both stay."""
        keys = definition.keys
        if keys.size < 2:
            return
        order = np.argsort(keys, kind="stable")
        ordered = keys[order]
        again = np.flatnonzero(ordered[1:] == ordered[:-1]) + 1
        firsts: dict[str, int] = {}
        for at in sorted({int(i) for pair in (again - 1, again) for i in order[pair].tolist()}):
            name = self._name(definition, at)
            first = firsts.setdefault(name.lower(), at)
            if first != at:
                other = self._place(definition, first)
                message = f"'{name}' stands already at {other}; both stay, rename one"
                yield self._trouble("duplicate-name", (definition, at), message, other)

    def _pin_counts(self, definition: Definition) -> Iterator[Trouble]:
        """Instances with more or fewer nodes than the subcircuit has."""
        rows = np.flatnonzero(definition.children >= 0)
        if not rows.size:
            return
        ports = self._ports[definition.children[rows]]
        given = (definition.starts[1:] - definition.starts[:-1])[rows]
        for at in np.flatnonzero(given != ports).tolist():
            row = int(rows[at])
            child = self.tables.definitions[int(definition.children[row])]
            written = self.tables.names.written
            nets = definition.nets[int(definition.starts[row]) : int(definition.starts[row + 1])]
            name = self._name(definition, row)
            message = (
                f"'{name}' gives {given[at]} nodes, '{child.name}' at {child.place} has {ports[at]};"
                " give as many as it has"
            )
            touched = tuple(written[n] for n in nets.tolist()) if definition.outer < 0 else ()
            yield self._trouble("pin-count", (definition, row), message, child.place, touched)

    def _recursion(self, index: int, child: int) -> Trouble:
        """A subcircuit that places itself, here or further in."""
        definition, inner = self.tables.definitions[index], self.tables.definitions[child]
        for row in range(definition.kinds.size):
            number = int(definition.parts[row])
            if number >= 0 and self.tables.names.written[number].lower() == inner.name.lower():
                message = (
                    f"'{inner.name}' at {inner.place} contains itself here; taken as a part, break the loop"
                )
                return self._trouble("recursive-subcircuit", (definition, row), message, inner.place)
        return Trouble(
            "recursive-subcircuit", "error", inner.place, f"'{inner.name}' contains itself; break the loop"
        )

    def _owners(self) -> "Iterator[tuple[int, Ints, Ints]]":
        """For each file the offsets of its elements, sorted, and the definition of each."""
        definitions = self.tables.definitions
        sizes = [definition.kinds.size for definition in definitions]
        sources = np.concatenate([definition.sources for definition in definitions])
        offsets = np.concatenate([definition.offsets for definition in definitions])
        owners = np.repeat(np.arange(len(definitions)), sizes)
        order = np.lexsort((offsets, sources))
        bounds = np.searchsorted(sources[order], np.arange(len(self.sources) + 1))
        for number in range(len(self.sources)):
            rows = order[bounds[number] : bounds[number + 1]]
            yield number, offsets[rows], owners[rows]

    def _expressions(self) -> Iterator[Trouble]:
        """Expressions on element lines that do not read, or name a parameter that nothing defines."""
        if not any("{" in lines.text or "'" in lines.text for lines in self.sources):
            return
        for number, offsets, owners in self._owners():
            lines = self.sources[number]
            if not offsets.size:
                continue
            seen: set[tuple[str, int]] = set()
            for match in _BRACED.finditer(lines.text):
                at = int(np.searchsorted(offsets, match.start(), side="right")) - 1
                if at < 0 or match.start() >= lines.logical_end(int(offsets[at])):
                    continue
                if lines.text[int(offsets[at])].upper() not in "RCLVIXUMDQJ":
                    continue
                body = match.group(1) if match.group(1) is not None else match.group(2)
                key = (body, int(owners[at]))
                if key in seen or len(seen) >= _EXPRESSIONS_CHECKED:
                    continue
                seen.add(key)
                yield from self._expression(
                    lines, body, match.start(1 if match.group(1) is not None else 2), key[1]
                )

    def _source_values(self, definition: Definition, index: int) -> Iterator[Trouble]:
        """Voltages and currents of independent sources that no reading gives a value.

        A word in place of a resistor's value may be a model; in place of a source's it stands for nothing.
        A form that is not known here (`PAT(...)`) and one that takes its levels from a file are no fault of
        the netlist: those sources are unknown where somebody asks.
        """
        rows = np.flatnonzero(np.isin(definition.kinds, _SOURCES))
        for row in rows[:_EXPRESSIONS_CHECKED].tolist():
            number, offset = int(definition.sources[row]), int(definition.offsets[row])
            lines = self.sources[number]
            found: list[Trouble] = []

            def worth(word: Word, lines: SourceLines = lines, found: list[Trouble] = found) -> float:
                form = lines.text[word.end : word.end + 1] == "("
                if word.kind == "w" and not form and scaled_number(word.text) is None:
                    found += self._expression(lines, word.text, word.start, index)
                return 1.0

            card = self.lines.card(number, offset)
            try:
                waveform_of(card, worth)
            except ExpressionError as error:
                if not card.pairs:
                    place, excerpt = self._place(definition, row), lines.excerpt(offset)
                    yield Trouble("unreadable-expression", "error", place, error.message, excerpt)
            yield from found

    def _expression(self, lines: SourceLines, body: str, start: int, definition: int) -> Iterator[Trouble]:
        """What is wrong with one expression as seen from a definition."""
        try:
            unknown = list(self._unknown(parse(strip_braces(body)), definition))
        except ExpressionError as error:
            span = (start + error.start, start + max(error.end, error.start + 1))
            yield Trouble(error.kind, "error", lines.place(*span), error.message, lines.excerpt(start))
            return
        for name, at in unknown:
            offset = start + max(body.lower().find(name.lower(), at), 0)
            message = f"parameter '{name}' has no definition here; set it with .param {name}=VALUE"
            place = lines.place(offset, offset + len(name))
            yield Trouble("undefined-parameter", "error", place, message, lines.excerpt(start))

    def _unknown(self, node: Node, definition: int) -> Iterator[tuple[str, int]]:
        """Names in a tree that no parameter, constant or function stands behind."""
        pending = [node]
        while pending:
            node = pending.pop()
            low = node.text.lower()
            if node.form == "call" and low in ("v", "i"):
                continue
            pending += reversed(node.parts)
            if node.form == "name" and low not in CONSTANTS and not self._defined(low, definition):
                yield node.text, node.start
            usual = low in FUNCTIONS or low in RANDOM
            if node.form == "call" and not usual and not self._has_function(low, definition):
                yield node.text, node.start

    def _defined(self, low: str, definition: int) -> bool:
        """Whether a parameter is defined in a definition or around it; an instance may give it too."""
        at = definition
        while at >= 0:
            if low in self.names[at].parameters:
                return True
            at = self.names[at].outer
        return low in ("temper", "temp", "time", "hertz", "freq") or (
            definition != TOP and low in self._given
        )

    @cached_property
    def _given(self) -> frozenset[str]:
        """Every name, lower case, that any line gives a value to."""
        return frozenset(name.lower() for lines in self.sources for name in _GIVEN.findall(lines.text))

    def _has_function(self, low: str, definition: int) -> bool:
        while definition >= 0:
            if low in self.names[definition].functions:
                return True
            definition = self.names[definition].outer
        return False
