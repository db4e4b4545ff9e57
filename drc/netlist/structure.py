"""The lines of one file put into the draft: subcircuits, parameters, models, includes, conditions."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from drc.circuit.columns import TOP, NamePool
from drc.circuit.model import Annotation
from drc.netlist.cards import card_of
from drc.netlist.draft import Draft, Rows, merge, part_of
from drc.netlist.evaluate import Evaluator
from drc.netlist.expression import ExpressionError
from drc.netlist.lines import Logical, SourceLines
from drc.netlist.options import ReadOptions
from drc.netlist.plain import PlainLines, read_plain
from drc.netlist.scopes import Function, ModelCard, Names, Parameter, empty_names
from drc.netlist.words import LineError, Statement, UnsureError, Word, split_words, take_apart
from drc.trouble import Level, Place, Trouble

if TYPE_CHECKING:
    from drc.netlist.files import Files

IGNORED = frozenset(
    [
        "ac",
        "alter",
        "backanno",
        "connect",
        "dc",
        "disto",
        "end",
        "four",
        "fft",
        "ic",
        "machine",
        "meas",
        "measure",
        "mc",
        "nodeset",
        "noise",
        "op",
        "option",
        "options",
        "opt",
        "pz",
        "plot",
        "print",
        "probe",
        "protect",
        "prot",
        "unprotect",
        "unprot",
        "save",
        "sens",
        "step",
        "temp",
        "temperature",
        "tf",
        "title",
        "tnom",
        "tran",
        "wcase",
        "width",
        "hdl",
        "verilog",
        "pss",
        "sp",
        "csparam",
        "lin",
        "biaschk",
        "dcvolt",
        "stim",
        "data",
        "enddata",
        "optimize",
        "distribution",
        "settype",
        "load",
        "post",
        "endl",
        "net",
        "hb",
        "malias",
        "store",
    ]
)
"""Cards that steer a simulation and say nothing of what is connected."""

EXPLAINED_LIMIT = 5000
"""How many lines of a board may need the grammar before the rest of such lines is refused unexplained."""


class Structure:
    """The draft of a whole circuit and the state of reading it."""

    def __init__(self, options: ReadOptions, files: "Files") -> None:
        self.options, self.files = options, files
        self.pool = NamePool()
        self.sources: list[SourceLines] = []
        self.drafts: list[Draft] = []
        self.names: list[Names] = []
        self.troubles: list[Trouble] = []
        self.annotations: list[Annotation] = []
        self.shared: set[str] = set()
        self.loose = [0]
        self.title = ""
        self.unsure = 0
        self.evaluator = Evaluator(self.names, self.sources)

    def begin(self, path: str) -> None:
        """Starts the board itself."""
        self.drafts.append(Draft("", Place(path), -1, []))
        self.names.append(empty_names(-1))

    def trouble(
        self,
        kind: str,
        level: Level,
        lines: SourceLines,
        span: tuple[int, int],
        message: str,
        others: tuple[Place, ...] = (),
        nets: tuple[str, ...] = (),
    ) -> None:
        """Notes something wrong at a run of characters."""
        place = lines.place(*span)
        self.troubles.append(Trouble(kind, level, place, message, lines.excerpt(span[0]), others, nets))


class FileReader:
    """Reads one file (or one section of it) into the structure, from the definition `scope` on."""

    def __init__(self, structure: Structure, number: int, scope: int) -> None:
        self.structure, self.number = structure, number
        self.lines = structure.sources[number]
        self.scope = self.base = scope
        self.rows = Rows(number)
        self.conditions: list[list[bool]] = []
        self.condition_places: list[Word] = []
        self.skip_to: tuple[str, ...] = ()
        self.opened: list[Word] = []
        self.done = False

    def run(self, logical: Logical, section: str | None = None) -> bool:
        """Takes every logical line in order, or those from `.lib section` to its `.endl`.

        False where there is no such section.
        """
        self._remarks(logical)
        plain = self._plain_lane(logical)
        text = self.lines.text
        outside = section is not None
        found = not outside
        rest = ~plain.taken
        for start, end in zip(logical.starts[rest].tolist(), logical.ends[rest].tolist(), strict=True):
            if section is not None and text[start] == ".":
                mark = self._section_mark(start, end, section)
                if mark == ".lib" and outside:
                    outside, found = False, True
                    self._pass_by(start)
                    continue
                if mark == ".endl" and not outside:
                    self.flush(start)
                    self.done = True
            if self.done:
                break
            if not outside:
                self.line(start, end)
        if self.skip_to or not all(branch[0] for branch in self.conditions):
            self._pass_by(len(text))
        if not self.done and not outside:
            self.flush(len(text))
        self._close_open()
        return found

    def _remarks(self, logical: Logical) -> None:
        """Hands on `*@` comments, and notes continuations of nothing."""
        for start in logical.strays.tolist():
            message = (
                "a continuation with no line before it; take away the '+' or put the line before it back"
            )
            self.structure.trouble("stray-continuation", "warning", self.lines, (start, start + 1), message)
        for start in logical.remarks.tolist():
            end = int(self.lines.ends[np.searchsorted(self.lines.starts, start, side="right") - 1])
            place = self.lines.place(start + 2, end)
            self.structure.annotations.append(Annotation(self.lines.text[start + 2 : end], place))

    def _plain_lane(self, logical: Logical) -> PlainLines:
        """Offers the lines that stand alone to the plain lane."""
        offered = np.flatnonzero(logical.single)
        plain = read_plain(
            self.lines, self.number, logical.starts[offered], logical.ends[offered], self.structure.pool
        )
        taken = np.zeros(logical.starts.size, np.bool_)
        taken[offered] = plain.taken
        self._plain = plain.piece
        self._plain_starts = np.concatenate((np.zeros(1, np.int64), np.cumsum(plain.piece.counts)))
        self._plain_at = 0
        self._capitals = plain.capitals
        return plain._replace(taken=taken)

    def _section_mark(self, start: int, end: int, section: str) -> str:
        """`.lib` where the line opens the section, `.endl` where it closes one, else nothing."""
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
        piece = part_of(self._plain, self._plain_starts, low, self._plain_at)
        if self.rows.offsets:
            piece = merge(piece, self.rows.piece())
            self.rows = Rows(self.number)
        if piece.offsets.size:
            self.structure.drafts[self.scope].pieces.append(piece)

    def line(self, start: int, end: int) -> None:
        """Takes one logical line; one that does not read is noted and passed over."""
        text = self.lines.text
        card = text[start] == "."
        if self.skip_to:
            word = text[start : start + 16].split(None, 1)[0].lower() if card else ""
            if word in self.skip_to:
                self.skip_to = ()
                self._pass_by(end)
            return
        active = all(branch[0] for branch in self.conditions)
        if not card and not active:
            return
        words = split_words(text, start, end)
        if not words:
            return
        try:
            if card:
                self.card(words, start, end, active)
            else:
                self.element(self.statement(words, start, end))
        except LineError as error:
            nets = () if card else tuple(w.text for w in words[1:] if w.kind == "w")
            span = (error.word.start, error.word.end)
            self.structure.trouble("unreadable-line", "error", self.lines, span, error.message, nets=nets)
        except ExpressionError as error:
            self.structure.trouble(error.kind, "error", self.lines, (start, end), error.message)

    def statement(self, words: list[Word], start: int, end: int) -> Statement:
        """A line taken apart: by hand where it is plainly in order, else by the grammar.

        Raises LineError where the grammar refuses it.
        """
        try:
            return take_apart(words)
        except UnsureError:
            structure = self.structure
            structure.unsure += 1
            if structure.unsure > EXPLAINED_LIMIT:
                message = f"'{words[0].text}' does not read; mend the lines noted before this one first"
                raise LineError(message, words[0]) from None
            from drc.netlist.grammar import grammar_statement

            return grammar_statement(self.lines.text, start, end)

    def element(self, statement: Statement) -> None:
        """Takes an element line."""
        self.rows.add(card_of(statement), self.structure.pool, self.structure.loose)

    def card(self, words: list[Word], start: int, end: int, active: bool) -> None:
        """Takes a line that begins with a dot."""
        name = words[0].text.lower()
        condition = _CONDITIONS.get(name)
        if condition is not None:
            if active:
                self.flush(start)
            self._pass_by(end)
            condition(self, words, start, end)
            return
        if not active:
            return
        action = _CARDS.get(name)
        if action is not None:
            action(self, words, start, end)
        elif name[1:] not in IGNORED:
            message = f"'{words[0].text}' is no card that is known here; it was passed over"
            self.structure.trouble(
                "unknown-card", "note", self.lines, (words[0].start, words[0].end), message
            )

    def subcircuit(self, words: list[Word], start: int, end: int) -> None:
        """`.subckt name ports [params:] name=value`: opens a definition."""
        structure = self.structure
        statement = self.statement(words, start, end)
        bare = [w for w in statement.words if w.kind != "p"]
        if not bare:
            structure.trouble(
                "unnamed-subcircuit", "error", self.lines, (words[0].start, words[0].end),
                "'.subckt' without a name; write .subckt NAME and its nodes",
            )  # fmt: skip
            bare = [Word("", words[0].end, words[0].end)]
        name, ports = bare[0], bare[1:]
        self.flush(start)
        index = len(structure.drafts)
        place = self.lines.place(name.start, name.end)
        known = structure.names[self.scope].subcircuits
        low = name.text.lower()
        if low in known:
            other = structure.drafts[known[low]].place
            structure.trouble(
                "duplicate-subcircuit", "error", self.lines, (name.start, name.end),
                f"subcircuit '{name.text}' is defined already at {other}; the first stands, rename one", (other,),
            )  # fmt: skip
        elif low:
            known[low] = index
        seen: dict[str, Word] = {}
        for port in ports:
            first = seen.setdefault(port.text.lower(), port)
            if first is not port:
                other = self.lines.place(first.start, first.end)
                structure.trouble(
                    "duplicate-port", "error", self.lines, (port.start, port.end),
                    f"port '{port.text}' of '{name.text}' stands twice; the first counts, rename one", (other,),
                )  # fmt: skip
        structure.drafts.append(Draft(name.text, place, self.scope, [port.text for port in ports]))
        structure.names.append(empty_names(self.scope))
        self.opened.append(words[0])
        self.scope = index
        self.define(statement)

    def end_subcircuit(self, words: list[Word], start: int, end: int) -> None:
        """`.ends [name]`: closes the definition that is open, or that of the name and those within it."""
        structure = self.structure
        if self.scope == self.base:
            structure.trouble(
                "stray-ends", "error", self.lines, (words[0].start, words[0].end),
                f"'{words[0].text}' closes nothing; put its .subckt before it, or take it out",
            )  # fmt: skip
            return
        self.flush(start)
        wanted = words[1].text.lower() if len(words) > 1 else ""
        if wanted and structure.drafts[self.scope].name.lower() != wanted:
            outer, depth = structure.drafts[self.scope].outer, 1
            while outer != self.base and outer > TOP and structure.drafts[outer].name.lower() != wanted:
                outer, depth = structure.drafts[outer].outer, depth + 1
            opened = structure.drafts[self.scope].place
            structure.trouble(
                "wrong-ends", "warning", self.lines, (words[1].start, words[1].end),
                f"'.ends {words[1].text}' where '{structure.drafts[self.scope].name}' is open since {opened};"
                " write the same name", (opened,),
            )  # fmt: skip
            if outer != self.base and structure.drafts[outer].name.lower() == wanted:
                for _ in range(depth):
                    self.scope = structure.drafts[self.scope].outer
                    self.opened.pop()
        self.scope = structure.drafts[self.scope].outer
        self.opened.pop()

    def define(self, statement: Statement) -> None:
        """Takes the pairs of a line as parameters of the open definition; a later one stands."""
        names = self.structure.names[self.scope]
        for pair in statement.pairs:
            token = self.lines.token(pair.values[0].start, pair.values[-1].end)
            low = pair.name.text.lower()
            old = names.parameters.get(low)
            names.parameters[low] = Parameter(pair.name.text, token, self.number)
            if old is not None and old.token != token:
                other = self.structure.sources[old.source].place(old.token.start, old.token.end)
                self.structure.trouble(
                    "duplicate-parameter", "warning", self.lines, (pair.name.start, pair.name.end),
                    f"parameter '{pair.name.text}' is set already at {other}; this later one stands", (other,),
                )  # fmt: skip

    def parameters(self, words: list[Word], start: int, end: int) -> None:
        """`.param name=value ...`; `name(args)=value` is a function."""
        text = self.lines.text
        body = [w for w in words[1:] if not (w.kind == "p" and w.text == ",")]
        if len(body) > 3 and body[1].text == "(" and body[1].kind == "p":
            self.function(words, start, end)
            return
        try:
            if any(word.kind == "x" for word in words):
                raise UnsureError
            statement = take_apart([words[0], *_bare_expressions(body, text)])
        except UnsureError:
            statement = self.statement(words, start, end)
        if not statement.pairs:
            message = f"'{words[0].text}' without name=value; write {words[0].text} NAME=VALUE"
            raise LineError(message, words[0])
        self.define(statement)

    def function(self, words: list[Word], start: int, end: int) -> None:
        """`.func name(args) {body}`, with or without `=`."""
        close = next((i for i, w in enumerate(words) if w.text == ")" and w.kind == "p"), 0)
        body = words[close + 1 :]
        if body and body[0].text == "=":
            body = body[1:]
        if not close or not body or len(words) < 4:
            message = f"'{words[0].text}' does not read; write {words[0].text} NAME(ARG, ...) {{EXPRESSION}}"
            raise LineError(message, words[0])
        name = words[1].text
        arguments = tuple(w.text.lower() for w in words[3:close] if w.kind == "w")
        text = self.lines.text[body[0].start : body[-1].end]
        self.structure.names[self.scope].functions[name.lower()] = Function(name, arguments, text)

    def model(self, words: list[Word], start: int, end: int) -> None:
        """`.model name kind(name=value ...)`."""
        inner = [words[0], *(w for w in words[1:] if not (w.kind == "p" and w.text in "(),"))]
        try:
            statement = take_apart(inner)
        except UnsureError:
            statement = self.statement(words, start, end)
        bare = [word for word in statement.words if word.kind != "p"]
        base = None
        kind = bare[1].text.lower()
        if kind.startswith("ako:"):
            base = kind[4:] or (bare[2].text if len(bare) > 2 else "")
            kind = bare[-1].text.lower()
        known = self.structure.names[self.scope].models
        low = bare[0].text.lower()
        card = ModelCard(
            bare[0].text, kind, base, statement.pairs, self.number, bare[0].start, len(bare[0].text)
        )
        old = known.get(low)
        if old is None:
            known[low] = card
            return
        other = self.structure.sources[old.source].place(old.offset, old.offset + old.length)
        self.structure.trouble(
            "duplicate-model", "warning", self.lines, (bare[0].start, bare[0].end),
            f"model '{bare[0].text}' is defined already at {other}; the first stands, rename one", (other,),
        )  # fmt: skip

    def shared_nets(self, words: list[Word], start: int, end: int) -> None:
        """`.global net ...`."""
        self.structure.shared.update(word.text for word in words[1:] if word.kind == "w")

    def include(self, words: list[Word], start: int, end: int) -> None:
        """`.include file`: the file's lines stand here."""
        if len(words) < 2:
            raise LineError(f"'{words[0].text}' names no file; write {words[0].text} FILE", words[0])
        self.flush(start)
        self.structure.files.include(self, words, None)

    def library(self, words: list[Word], start: int, end: int) -> None:
        """`.lib file section` includes a section; `.lib section` opens one, which only such a line reads."""
        if len(words) > 2:
            self.flush(start)
            self.structure.files.include(self, words, words[2].text)
        elif len(words) == 2 and self._closes_later(end):
            self.flush(start)
            self.skip_to = (".endl",)
        else:
            self.include(words, start, end)

    def _closes_later(self, end: int) -> bool:
        """Whether an `.endl` follows."""
        return ".endl" in self.lines.text[end:].lower()

    def control(self, words: list[Word], start: int, end: int) -> None:
        """`.control` up to `.endc` is a script for a simulator: skipped, never run."""
        self.flush(start)
        self.skip_to = (".endc",)

    def data(self, words: list[Word], start: int, end: int) -> None:
        """`.data` up to `.enddata` are numbers for a sweep."""
        self.flush(start)
        self.skip_to = (".enddata",)

    def finish(self, words: list[Word], start: int, end: int) -> None:
        """`.end`: whatever follows is no netlist."""
        self.flush(start)
        self.done = True

    def name_board(self, words: list[Word], start: int, end: int) -> None:
        """`.title text`."""
        if not self.structure.title and len(words) > 1:
            self.structure.title = self.lines.text[words[1].start : end].strip()

    def condition_if(self, words: list[Word], start: int, end: int) -> None:
        """`.if (expression)`: the lines up to the next branch count where it holds."""
        outside = all(branch[0] for branch in self.conditions)
        holds = outside and self._holds(words, end)
        self.conditions.append([holds, holds or not outside])
        self.condition_places.append(words[0])

    def condition_elseif(self, words: list[Word], start: int, end: int) -> None:
        """`.elseif (expression)`."""
        branch = self._branch(words)
        branch[0] = not branch[1] and self._holds(words, end)
        branch[1] = branch[1] or branch[0]

    def condition_else(self, words: list[Word], start: int, end: int) -> None:
        """`.else`."""
        branch = self._branch(words)
        branch[0], branch[1] = not branch[1], True

    def condition_end(self, words: list[Word], start: int, end: int) -> None:
        """`.endif`."""
        self._branch(words)
        self.conditions.pop()
        self.condition_places.pop()

    def _branch(self, words: list[Word]) -> list[bool]:
        if not self.conditions:
            raise LineError(f"'{words[0].text}' without its .if; put the .if before it", words[0])
        return self.conditions[-1]

    def _holds(self, words: list[Word], end: int) -> bool:
        """The truth of a condition; one that has no value counts as false and is noted."""
        text = self.lines.text[words[0].end : words[-1].end].strip()
        try:
            return bool(self.structure.evaluator.number_in(text, self.scope))
        except ExpressionError as error:
            self.structure.trouble(
                error.kind, "error", self.lines, (words[0].start, words[-1].end),
                f"the condition has no value, its lines were left out: {error.message}",
            )  # fmt: skip
            return False

    def _close_open(self) -> None:
        """Notes subcircuits and conditions that the end of the file leaves open."""
        for word in self.opened:
            self.structure.trouble(
                "unclosed-subcircuit", "error", self.lines, (word.start, word.end),
                f"'{word.text}' is never closed; write .ends where it ends",
            )  # fmt: skip
        for word in self.condition_places:
            self.structure.trouble(
                "unclosed-condition", "error", self.lines, (word.start, word.end),
                f"'{word.text}' is never closed; write .endif where it ends",
            )  # fmt: skip
        self.scope = self.base


def _bare_expressions(body: list[Word], text: str) -> list[Word]:
    """Words of a `.param` line with every value a single word: `a = 2 * b` without braces is taken whole."""
    equals = [i for i, w in enumerate(body) if w.text == "=" and w.kind == "p" and i > 0]
    equals = [i for i in equals if not (i + 1 < len(body) and body[i + 1].text == "=")]
    equals = [i for i in equals if body[i - 1].text not in ("=", "!", "<", ">")]
    result: list[Word] = []
    for number, i in enumerate(equals):
        stop = equals[number + 1] - 1 if number + 1 < len(equals) else len(body)
        result += body[i - 1 : i + 1]
        value = body[i + 1 : stop]
        if len(value) == 1:
            result.append(value[0])
        elif value:
            span = value[0].start, value[-1].end
            result.append(Word(text[span[0] : span[1]], *span, "e"))
    return result or body


_Action = Callable[[FileReader, list[Word], int, int], None]

_CONDITIONS: dict[str, _Action] = {
    ".if": FileReader.condition_if, ".elseif": FileReader.condition_elseif, ".elif": FileReader.condition_elseif,
    ".else": FileReader.condition_else, ".endif": FileReader.condition_end,
}  # fmt: skip

_CARDS: dict[str, _Action] = {
    ".subckt": FileReader.subcircuit, ".macro": FileReader.subcircuit, ".ends": FileReader.end_subcircuit,
    ".eom": FileReader.end_subcircuit, ".param": FileReader.parameters, ".parameter": FileReader.parameters,
    ".parameters": FileReader.parameters, ".params": FileReader.parameters, ".func": FileReader.function,
    ".function": FileReader.function, ".model": FileReader.model, ".global": FileReader.shared_nets,
    ".include": FileReader.include, ".inc": FileReader.include, ".incl": FileReader.include,
    ".lib": FileReader.library, ".control": FileReader.control, ".data": FileReader.data,
    ".end": FileReader.finish, ".title": FileReader.name_board,
}  # fmt: skip
