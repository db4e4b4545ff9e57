"""What each card does: definitions, parameters, models, includes, conditions, the end."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from drc.netlist.draft import Draft
from drc.netlist.expression import ExpressionError
from drc.netlist.scopes import Function, ModelCard, Parameter, empty_names
from drc.netlist.words import LineError, Statement, UnsureError, Word, take_apart

if TYPE_CHECKING:
    from drc.netlist.file_reader import FileReader

Action = Callable[["FileReader", list[Word], int], None]
"""Takes the reader, the card's words, and the end of its logical line."""

IGNORED = frozenset((
    "ac", "backanno", "biaschk", "csparam", "dc", "dcvolt", "disto", "distribution",
    "enddata", "endl", "four", "fft", "hb", "hdl", "ic", "lin", "load", "machine", "malias", "mc", "meas",
    "measure", "net", "nodeset", "noise", "op", "optimize", "option", "options", "opt", "plot", "post",
    "print", "probe", "prot", "protect", "pss", "pz", "save", "sens", "settype", "sp", "step", "stim",
    "store", "temp", "temperature", "tf", "tnom", "tran", "unprot", "unprotect", "verilog", "wcase",
    "width",
))  # fmt: skip
"""Cards that steer a simulation and say nothing of what is connected."""


def subcircuit(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.subckt name ports [params:] name=value`: opens a definition."""
    structure = reader.structure
    statement = reader.statement(words, end)
    bare = [word for word in statement.words if word.kind != "p"]
    if not bare:
        message = f"'{words[0].text}' without a name; write {words[0].text} NAME and its nodes"
        reader.note("unnamed-subcircuit", "error", words[0], message)
        bare = [Word("", words[0].end, words[0].end)]
    name, ports = bare[0], bare[1:]
    reader.flush(words[0].start)
    known, low = structure.names[reader.scope].subcircuits, name.text.lower()
    if low in known:
        other = structure.drafts[known[low]].place
        message = f"subcircuit '{name.text}' is defined already at {other}; the first stands, rename one"
        reader.note("duplicate-subcircuit", "error", name, message, other)
    elif low:
        known[low] = len(structure.drafts)
    _unlike_ports(reader, name, ports)
    draft = Draft(name.text, reader.place(name), reader.scope, [port.text for port in ports])
    structure.drafts.append(draft)
    structure.names.append(empty_names(reader.scope))
    reader.opened.append(words[0])
    reader.scope = len(structure.drafts) - 1
    _define(reader, statement)


def _unlike_ports(reader: "FileReader", name: Word, ports: list[Word]) -> None:
    """Notes ports of the same name."""
    seen: dict[str, Word] = {}
    told: set[str] = set()
    for port in ports:
        low = port.text.lower()
        first = seen.setdefault(low, port)
        if first is not port and low not in told:
            told.add(low)
            message = f"port '{port.text}' of '{name.text}' stands twice; the first counts, rename one"
            reader.note("duplicate-port", "error", port, message, reader.place(first))


def end_subcircuit(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.ends [name]`: closes the definition that is open, or that of the name and those within it."""
    drafts = reader.structure.drafts
    if reader.scope == reader.base:
        message = f"'{words[0].text}' closes nothing; put its .subckt before it, or take it out"
        reader.note("stray-ends", "error", words[0], message)
        return
    reader.flush(words[0].start)
    closed = [reader.scope]
    if len(words) > 1 and drafts[reader.scope].name.lower() != words[1].text.lower():
        opened = drafts[reader.scope]
        message = (
            f"'{words[0].text} {words[1].text}' where '{opened.name}' is open since {opened.place};"
            " write the same name"
        )
        reader.note("wrong-ends", "warning", words[1], message, opened.place)
        closed = _up_to(reader, words[1].text.lower()) or closed
    reader.scope = drafts[closed[-1]].outer
    del reader.opened[-len(closed) :]


def _up_to(reader: "FileReader", name: str) -> list[int]:
    """The open definitions from the innermost to the one of that name; none if none has it."""
    drafts = reader.structure.drafts
    around = [reader.scope]
    while drafts[around[-1]].name.lower() != name:
        if drafts[around[-1]].outer == reader.base:
            return []
        around.append(drafts[around[-1]].outer)
    return around


def _define(reader: "FileReader", statement: Statement) -> None:
    """Takes the pairs of a line as parameters of the open definition; a later one stands."""
    structure = reader.structure
    known = structure.names[reader.scope].parameters
    for pair in statement.pairs:
        token = reader.lines.token(pair.values[0].start, pair.values[-1].end)
        low = pair.name.text.lower()
        old = known.get(low)
        if old is not None and old.token == token:
            continue
        known[low] = Parameter(pair.name.text, token, reader.number)
        if "M" in token.text:
            reader.doubt(pair.values[0])
        if old is not None:
            other = structure.sources[old.source].place(old.token.start, old.token.end)
            message = f"parameter '{pair.name.text}' is set already at {other}; this later one stands"
            reader.note("duplicate-parameter", "warning", pair.name, message, other)


def parameters(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.param name=value ...`; `name(args)=value` is a function."""
    body = [word for word in words[1:] if not (word.kind == "p" and word.text == ",")]
    if len(body) > 3 and body[1].text == "(" and body[1].kind == "p":
        function(reader, words, end)
        return
    try:
        if any(word.kind == "x" for word in words):
            raise UnsureError
        statement = take_apart([words[0], *_whole_values(body, reader.lines.text)])
    except UnsureError:
        statement = reader.statement(words, end)
    if not statement.pairs:
        raise LineError(f"'{words[0].text}' without name=value; write {words[0].text} NAME=VALUE", words[0])
    _define(reader, statement)


def _whole_values(body: list[Word], text: str) -> list[Word]:
    """Words of a `.param` line with every value a single word: `a = 2 * b` without braces is taken whole."""
    signs = [i for i, word in enumerate(body) if word.text == "=" and word.kind == "p" and i > 0]
    signs = [
        i
        for i in signs
        if i + 1 < len(body) and body[i + 1].text != "=" and body[i - 1].text[-1:] not in "=!<>"
    ]
    result: list[Word] = []
    for number, i in enumerate(signs):
        stop = signs[number + 1] - 1 if number + 1 < len(signs) else len(body)
        result += body[i - 1 : i + 1]
        value = body[i + 1 : stop]
        if len(value) == 1:
            result.append(value[0])
        elif value:
            start, end = value[0].start, value[-1].end
            result.append(Word(text[start:end], start, end, "e"))
    return result or body


def function(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.func name(args) {body}`, with or without `=`."""
    close = next((i for i, word in enumerate(words) if word.text == ")" and word.kind == "p"), 0)
    body = words[close + 1 :]
    if body and body[0].text == "=":
        body = body[1:]
    if close < 3 or not body:
        message = f"'{words[0].text}' does not read; write {words[0].text} NAME(ARG, ...) {{EXPRESSION}}"
        raise LineError(message, words[0])
    arguments = tuple(word.text.lower() for word in words[3:close] if word.kind == "w")
    text = reader.lines.text[body[0].start : body[-1].end]
    functions = reader.structure.names[reader.scope].functions
    functions[words[1].text.lower()] = Function(words[1].text, arguments, text)


def model(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.model name kind(name=value ...)`; `ako:base` takes another's numbers first."""
    try:
        bare = [words[0], *(word for word in words[1:] if not (word.kind == "p" and word.text in "(),"))]
        statement = take_apart(bare)
    except UnsureError:
        statement = reader.statement(words, end)
    names = [word for word in statement.words if word.kind != "p"]
    base = None
    kind = names[1].text.lower()
    if kind.startswith("ako:"):
        base = kind[4:] or (names[2].text if len(names) > 2 else "")
        kind = names[-1].text.lower()
    name = names[0]
    known = reader.structure.names[reader.scope].models
    old = known.get(name.text.lower())
    if old is not None:
        other = reader.structure.sources[old.source].place(old.offset, old.offset + old.length)
        message = f"model '{name.text}' is defined already at {other}; the first stands, rename one"
        reader.note("duplicate-model", "warning", name, message, other)
        return
    card = ModelCard(name.text, kind, base, statement.pairs, reader.number, name.start, len(name.text))
    known[name.text.lower()] = card


def shared_nets(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.global net ...`."""
    reader.structure.shared.update(word.text for word in words[1:] if word.kind == "w")


def include(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.include file`: the file's lines stand here."""
    if len(words) < 2:
        raise LineError(f"'{words[0].text}' names no file; write {words[0].text} FILE", words[0])
    reader.flush(words[0].start)
    reader.structure.files.include(reader, words, None)


def library(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.lib file section` includes a section; `.lib section` opens one, which only such a line reads."""
    if len(words) > 2:
        reader.flush(words[0].start)
        reader.structure.files.include(reader, words, words[2].text.strip("\"'"))
    elif len(words) == 2 and ".endl" in reader.lines.text[end:].lower():
        reader.skip(words[0], ".endl")
    else:
        include(reader, words, end)


def control(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.control` up to `.endc` is a script for a simulator: skipped, never run."""
    reader.skip(words[0], ".endc")


def data(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.data` up to `.enddata` are numbers for a sweep."""
    reader.skip(words[0], ".enddata")


def finish(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.end`: whatever follows is no netlist."""
    reader.flush(words[0].start)
    reader.done = True


def join_nets(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.connect a b` joins nets: it is not read, so those nets never count as solved."""
    nets = tuple(word.text for word in words[1:] if word.kind in "wq")
    message = f"'{words[0].text}' joins nets and is not read; give them one name, or state `*@ same` for them"
    reader.note("unread-connection", "error", words[0], message, nets=nets)


def alter(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.alter` begins changes for another run of a simulator: the board is what stands before it."""
    message = (
        f"what follows '{words[0].text}' is for another run and was left out; keep it in a file of its own"
    )
    reader.note("left-out", "warning", words[0], message)
    finish(reader, words, end)


def name_board(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.title text`."""
    if not reader.structure.title and len(words) > 1:
        reader.structure.title = reader.lines.text[words[1].start : end].strip()


def condition_if(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.if (expression)`: the lines up to the next branch count where it holds."""
    reader.conditions.open(words[0], reader.conditions.active and _holds(reader, words))


def condition_elseif(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.elseif (expression)`."""
    reader.conditions.turn(words[0], reader.conditions.wants_value and _holds(reader, words))


def condition_else(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.else`."""
    reader.conditions.turn(words[0], True)


def condition_end(reader: "FileReader", words: list[Word], end: int) -> None:
    """`.endif`."""
    reader.conditions.close(words[0])


def _holds(reader: "FileReader", words: list[Word]) -> bool:
    """The truth of a condition; one that has no value counts as false and is noted."""
    text = reader.lines.text[words[0].end : words[-1].end].strip()
    try:
        return bool(reader.structure.evaluator.number_in(text, reader.scope))
    except ExpressionError as error:
        message = f"the condition has no value, its lines were left out: {error.message}"
        reader.note(error.kind, "error", Word(text, words[0].start, words[-1].end), message)
        return False


CONDITION_CARDS: dict[str, Action] = {
    ".if": condition_if, ".elseif": condition_elseif, ".elif": condition_elseif, ".else": condition_else,
    ".endif": condition_end,
}  # fmt: skip
"""Cards that are heeded even in lines that do not count."""

CARDS: dict[str, Action] = {
    ".subckt": subcircuit, ".macro": subcircuit, ".ends": end_subcircuit, ".eom": end_subcircuit,
    ".param": parameters, ".params": parameters, ".parameter": parameters, ".parameters": parameters,
    ".func": function, ".function": function, ".model": model, ".global": shared_nets,
    ".include": include, ".inc": include, ".incl": include, ".lib": library, ".control": control,
    ".data": data, ".connect": join_nets, ".alter": alter, ".end": finish, ".title": name_board,
}  # fmt: skip
"""Cards by their name, lower case. A new card is a function here and a line in this table."""
