"""The lines of one file, in order: elements into rows, cards to their actions, plain runs by the lane."""

from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.model import Annotation
from drc.netlist.cards import Card, card_of
from drc.netlist.conditions import Conditions
from drc.netlist.dot_cards import CARDS, CONDITION_CARDS, IGNORED, parameters
from drc.netlist.draft import Rows, merge, part_of
from drc.netlist.expression import ExpressionError
from drc.netlist.lines import Logical
from drc.netlist.mistakes import NO_LETTER, message_of
from drc.netlist.plain import read_plain
from drc.netlist.remarks import doubtful_m, is_foreign, unreadable_value
from drc.netlist.structure import Structure
from drc.netlist.words import LineError, Statement, UnsureError, Word, split_words, take_apart
from drc.trouble import Level, Place

if TYPE_CHECKING:
    from numpy.typing import NDArray

EXPLAINED_LIMIT = 5000
"""How many lines of a board may need the grammar before the rest of such lines is refused unexplained."""


class FileReader:
    """Reads one file (or one section of it) into the structure, from the definition `scope` on."""

    def __init__(self, structure: Structure, number: int, scope: int) -> None:
        self.structure, self.number = structure, number
        self.lines = structure.sources[number]
        self.scope = self.base = scope
        self.conditions = Conditions()
        self.opened: list[Word] = []
        self.skip_to = ""
        self.skip_word: Word | None = None
        self.done = False
        self._rows = Rows(number)
        self._bracketed = False

    def run(self, logical: Logical, section: str | None = None) -> bool:
        """Takes every logical line in order, or those from `.lib section` to its `.endl`.

        False where there is no such section.
        """
        self._remarks(logical)
        rest = ~self._plain_lane(logical)
        starts, ends = logical.starts[rest].tolist(), logical.ends[rest].tolist()
        self._parameters_ahead(starts, ends)
        inside = section is None
        for start, end in zip(starts, ends, strict=True):
            if section is not None:
                mark = self._section_mark(start, end, section)
                if mark == ".lib" and not inside:
                    inside = True
                    self._pass_by(start)
                    continue
                if mark == ".endl" and inside:
                    self.flush(start)
                    self.done = True
            if self.done:
                break
            if inside:
                self._line(start, end)
        if inside:
            self._end()
        return inside

    def note(
        self, kind: str, level: Level, word: Word, message: str, *others: Place, nets: tuple[str, ...] = ()
    ) -> None:
        """Notes something wrong at a word of this file."""
        end = max(word.end, word.start + 1)
        self.structure.note(kind, level, (self.lines, word.start, end), message, *others, nets=nets)

    def place(self, word: Word) -> Place:
        """Where a word of this file stands."""
        return self.lines.place(word.start, word.end)

    def _remarks(self, logical: Logical) -> None:
        """Hands on `*@` comments, and notes continuations of nothing."""
        for start in logical.strays.tolist():
            message = (
                "a continuation with no line before it; take away the '+' or put the line before it back"
            )
            self.note("stray-continuation", "warning", Word("+", start, start + 1), message)
        for start in logical.remarks.tolist():
            end = self.lines.line_end(start)
            annotation = Annotation(self.lines.text[start + 2 : end], self.lines.place(start + 2, end))
            self.structure.annotations.append(annotation)

    def _plain_lane(self, logical: Logical) -> "NDArray[np.bool_]":
        """Offers the lines that stand alone to the plain lane; tells which it took, (logical,)."""
        offered = np.flatnonzero(logical.single)
        spans = logical.starts[offered], logical.ends[offered]
        plain = read_plain(self.lines.letters, self.number, *spans, self.structure.pool)
        taken = np.zeros(logical.starts.size, np.bool_)
        taken[offered] = plain.taken
        self._plain, self._capitals = plain.piece, plain.capitals
        self._plain_starts = np.concatenate((np.zeros(1, np.int64), np.cumsum(plain.piece.counts)))
        self._plain_at = 0
        return taken

    def _parameters_ahead(self, starts: list[int], ends: list[int]) -> None:
        """Takes the parameters of the board first where conditions may ask for one that comes later."""
        text = self.lines.text
        cards = [(s, e) for s, e in zip(starts, ends, strict=True) if text[s] == "."]
        if not any(text[s : s + 3].lower() == ".if" for s, _ in cards):
            return
        depth = 0
        for start, end in cards:
            name = text[start : start + 12].split(None, 1)[0].lower()
            depth += (name in (".if", ".subckt")) - (name in (".endif", ".ends"))
            if depth == 0 and name.startswith(".param"):
                try:
                    parameters(self, split_words(text, start, end), end)
                except LineError:
                    continue

    def _section_mark(self, start: int, end: int, section: str) -> str:
        """`.lib` where the line opens the section, `.endl` where it closes one, else nothing."""
        if self.lines.text[start] != ".":
            return ""
        words = split_words(self.lines.text, start, min(end, start + 400))
        name = words[0].text.lower() if words else ""
        if name == ".lib" and len(words) == 2:
            return name if words[1].text.strip("\"'").lower() == section else ""
        return name if name == ".endl" else ""

    def _pass_by(self, limit: int) -> None:
        """Drops the plain elements up to an offset: they stand in lines that do not count."""
        self._plain_at = int(np.searchsorted(self._plain.offsets, limit))

    def flush(self, limit: int) -> None:
        """Hands the elements up to an offset to the definition that is open."""
        low = self._plain_at
        self._pass_by(limit)
        if self._capitals.size and self._plain_at > low:
            first = int(self._plain.offsets[low])
            found = self._capitals[(self._capitals[:, 0] > first) & (self._capitals[:, 0] < limit)]
            for start, end in found.tolist():
                self.doubt(Word(self.lines.text[start:end], start, end))
        piece = part_of(self._plain, self._plain_starts, low, self._plain_at)
        if self._rows.offsets:
            piece = merge(piece, self._rows.piece())
            self._rows = Rows(self.number)
        if piece.offsets.size:
            self.structure.drafts[self.scope].pieces.append(piece)

    def skip(self, word: Word, until: str) -> None:
        """Leaves out the lines up to a card."""
        self.flush(word.start)
        self.skip_to, self.skip_word = until, word

    def _line(self, start: int, end: int) -> None:
        """Takes one logical line; one that does not read is noted and passed over."""
        card = self.lines.text[start] == "."
        if self.skip_to:
            if card and self.lines.text[start:end].split(None, 1)[0].lower() == self.skip_to:
                self.skip_to, self.skip_word = "", None
                self._pass_by(end)
            return
        if not card and not self.conditions.active:
            return
        words = split_words(self.lines.text, start, end)
        if not words:
            return
        try:
            if card:
                self._card(words, end)
            else:
                self._element(self.statement(words, end))
        except LineError as error:
            nets = () if card else tuple(dict.fromkeys(w.text for w in words[1:] if w.kind == "w"))
            self.note("unreadable-line", "error", error.word, error.message, nets=nets)
        except ExpressionError as error:
            self.note(error.kind, "error", Word("", start, end), error.message)

    def statement(self, words: list[Word], end: int) -> Statement:
        """A line taken apart: by hand where it is plainly in order, else by the grammar.

        Raises LineError where the grammar refuses it.
        """
        try:
            return take_apart(words)
        except UnsureError:
            self.structure.unsure += 1
            if self.structure.unsure > EXPLAINED_LIMIT:
                message = f"'{words[0].text}' does not read; mend the lines noted before this one first"
                raise LineError(message, words[0]) from None
        if not words[0].text[0].isascii():
            # Capitals of some letters beyond ASCII are element letters, or two of them.
            raise LineError(message_of(NO_LETTER, words[0].text, words[0].text), words[0])
        from drc.netlist.grammar import grammar_statement

        return grammar_statement(self.lines.text, words[0].start, end)

    def _card(self, words: list[Word], end: int) -> None:
        """Takes a line that begins with a dot."""
        name = words[0].text.lower()
        condition = CONDITION_CARDS.get(name)
        if condition is not None:
            if self.conditions.active:
                self.flush(words[0].start)
            self._pass_by(end)
            condition(self, words, end)
        elif self.conditions.active:
            action = CARDS.get(name)
            if action is not None:
                action(self, words, end)
            elif name[1:] not in IGNORED:
                message = f"'{words[0].text}' is no card that is known here; it was passed over"
                self.note("unknown-card", "note", words[0], message)

    def _element(self, statement: Statement) -> None:
        """Takes an element line, and notes what is odd about it."""
        card = card_of(statement)
        self._rows.add(card, self.structure.pool, self.structure.loose)
        if card.kind in "RCL":
            self._odd_value(card)
        if not self._bracketed:
            self._odd_net(card)
        first = statement.words[0] if statement.words else statement.head
        if is_foreign(card, first.kind == "p" and first.text == "(") and not self.structure.foreign:
            self.structure.foreign = True
            message = (
                "this file is written in another netlist language (nodes in brackets before the component's"
                " word); export it as SPICE: its lines are read as far as they are alike"
            )
            self.note("foreign-language", "warning", card.name, message)

    def _odd_net(self, card: Card) -> None:
        """Notes, once a file, that a net's name holds brackets."""
        for word in card.nodes:
            if word.kind == "w" and "(" in word.text:
                self._bracketed = True
                message = (
                    f"'{word.text}' is read as the name of one net, and so are others like it; a circuit"
                    " simulator parts words at brackets and reads this file otherwise"
                )
                self.note("bracketed-net-name", "note", word, message)
                return

    def _odd_value(self, card: Card) -> None:
        """Notes words that make no value, and a capital M that may be milli or mega."""
        lost = unreadable_value(card, self.lines.text)
        if lost is not None:
            message = (
                f"'{lost.text}' is no value for '{card.name.text}'; write one value after the nodes"
                " (a net's name can't hold blanks)"
            )
            nets = tuple(dict.fromkeys(w.text for w in (*card.nodes, *card.tail) if w.kind == "w"))
            self.note("unreadable-value", "warning", lost, message, nets=nets)
        if card.kind == "R" and card.tail and card.tail[0].kind == "w" and "M" in card.tail[0].text:
            self.doubt(card.tail[0])

    def doubt(self, word: Word) -> None:
        """Notes a resistor's or a parameter's value whose M may be milli or mega."""
        message = doubtful_m(word.text, self.structure.options.m_means)
        if message is not None:
            self.note("milli-or-mega", "warning", word, message)

    def _end(self) -> None:
        """Takes what is left, and notes what the end of the file leaves open."""
        if self.skip_to or not self.conditions.active:
            self._pass_by(len(self.lines.text))
        if not self.done:
            self.flush(len(self.lines.text))
        if self.skip_word is not None:
            message = f"'{self.skip_word.text}' is never closed, the rest was left out; write {self.skip_to}"
            self.note("unclosed-block", "warning", self.skip_word, message)
        for word in self.opened:
            message = f"'{word.text}' is never closed; write .ends where it ends"
            self.note("unclosed-subcircuit", "error", word, message)
        for word in self.conditions.opened:
            message = f"'{word.text}' is never closed; write .endif where it ends"
            self.note("unclosed-condition", "error", word, message)
        self.scope = self.base
