"""Rule text to a plain JSON tree, through grammars/rule.lark; what cannot be read is an InputError.

A node is a list: what it is, where it stands ([line, column, length]), then its parts. Units and names
are checked elsewhere: here only the form counts.
"""

import re
from functools import cache
from typing import TYPE_CHECKING, Any, NoReturn

from drc.intent.wording import did_you_mean, one_of, refusal
from drc.quantity.text import QuantityError, parse_quantity
from drc.resources import grammar_text
from drc.trouble import InputError, Place, Trouble

if TYPE_CHECKING:
    from lark import Lark, Token, Tree
    from lark.exceptions import UnexpectedInput  # noqa: PLC0415  (imported only to read a grammar)

    Node = Tree[Token] | Token

RuleTree = dict[str, Any]
"""One item of a rule file as plain JSON: `item` (rule, replace, turn, level, off), `name`, `at`, its clauses."""

_WORDS = {
    "NAME": "a name", "STRING": 'a text in "quotes"', "QUANTITY": "a quantity", "LEVEL": "error, warning or note",
    "BOARD_LINE": "| and a board line", "COMPARE": "a comparison", "EQUAL": "=", "LPAR": "(", "RPAR": ")",
    "COMMA": ",", "PLUS": "+", "MINUS": "-", "STAR": "*", "SLASH": "/", "$END": "the end", "AT_RISK": "at-risk",
    "_RANGE": "..", "_PLUS_MINUS": "+/-",
}  # fmt: skip
_VALUES = {"NAME", "STRING", "QUANTITY", "FUNCTION", "LPAR", "MINUS", "KNOWN", "STATED"}
_GLUE = {
    "PLUS", "MINUS", "STAR", "SLASH", "_RANGE", "_PLUS_MINUS", "COMPARE", "WITHIN", "IS", "AND", "OR",
}  # fmt: skip
_CLAUSES = {
    "TITLE", "FOR", "WHERE", "KNOB", "LET", "REQUIRE", "UNPROVEN", "SAY", "ADVICE", "REMEDY", "BECAUSE", "SOURCE",
    "BREAKS", "EDIT", "RULE", "REPLACE", "TURN", "OFF", "$END",
}  # fmt: skip


@cache
def _parser() -> "Lark":
    """The grammar's parser, built once."""
    from lark import Lark  # noqa: PLC0415  (imported only to read a grammar)

    return Lark(grammar_text("rule"), parser="lalr", propagate_positions=True, maybe_placeholders=False)


def parse_rules(text: str, path: str) -> list[RuleTree]:
    """Every rule and adjustment of a file, in order, as plain JSON. Raises InputError."""
    from lark.exceptions import UnexpectedInput  # noqa: PLC0415  (imported only to read a grammar)

    try:
        tree = _parser().parse(text)
    except UnexpectedInput as error:
        raise InputError(_unreadable(error, text, path)) from None
    reader = _Reader(text, path)
    return [reader.item(item) for item in tree.children]


def wrong(path: str, at: list[int], message: str, text: str) -> Trouble:
    """A rule file's trouble at a node's position."""
    lines = text.split("\n")
    excerpt = lines[at[0] - 1].rstrip("\r") if 0 < at[0] <= len(lines) else ""
    return Trouble("wrong-rule", "error", Place(path, *at), message, excerpt)


def _unreadable(error: "UnexpectedInput", text: str, path: str) -> Trouble:
    """What the parser refused, with the words that would have gone on at that point."""
    from lark.exceptions import UnexpectedCharacters, UnexpectedToken  # noqa: PLC0415  (imported only to read a grammar)

    lines = text.split("\n")
    if isinstance(error, UnexpectedToken) and error.token.type == "$END":
        line = max(1, len(text.rstrip().split("\n")))
        column = len(lines[line - 1].rstrip()) + 1
        return wrong(path, [line, column, 1], refusal("", _expected(error.accepts or error.expected)), text)
    at = [error.line, error.column, 1]
    if isinstance(error, UnexpectedToken):
        found, names = str(error.token), error.accepts or error.expected
        at[2] = len(found)
    else:
        assert isinstance(error, UnexpectedCharacters)
        found, names = _run(lines[error.line - 1], error.column), error.allowed or set()
        if found.startswith('"'):
            return wrong(path, at, 'the text is not closed, expected " at its end on the same line', text)
    wanted = _expected(names)
    hint = did_you_mean(found, [_keyword(name) for name in names])
    return wrong(path, at, refusal(found, wanted, hint or " "), text)


def _run(line: str, column: int) -> str:
    """The characters up to the next blank."""
    rest = line[column - 1 :].split()
    return rest[0] if rest else ""


def _keyword(name: str) -> str:
    """The keyword behind a terminal's name."""
    return _WORDS.get(name, name.lower().replace("_", "-"))


def _expected(names: "set[str] | frozenset[str]") -> list[str]:
    """Terminals in a reader's words: keywords first, operators summed up when there are many."""
    left = set(names)
    words = []
    if len(_VALUES & left) > 3:
        words.append("a fact, a quantity or an expression")
        left -= {*_VALUES, "NOT"}
    if len(_CLAUSES & left) > 8:
        words.append("the next clause")
        left -= {*_CLAUSES, "LEVEL", "STRING"}
    if len(_GLUE & left) > 3:
        left -= _GLUE
        words.append("an operator")
    return sorted(_keyword(name) for name in left) + words


class _Reader:
    """Turns the parser's tree of one file into plain JSON."""

    def __init__(self, text: str, path: str) -> None:
        self.text = text
        self.path = path

    def refuse(self, at: list[int], message: str) -> NoReturn:
        raise InputError(wrong(self.path, at, message, self.text))

    def item(self, tree: "Tree[Token]") -> RuleTree:
        """One rule or adjustment."""
        name = tree.children[0]
        item: RuleTree = {"item": str(tree.data), "name": str(name), "at": _token_at(name)}
        rest = tree.children[1:]
        if tree.data == "turn":
            return {
                **item,
                "knob": str(rest[0]),
                "knob_at": _token_at(rest[0]),
                "value": self.expression(rest[1]),
            }
        if tree.data == "level":
            aspect = str(rest[0].children[0]) if len(rest) == 2 else "fail"
            return {**item, "aspect": aspect, "level": str(rest[-1])}
        if tree.data == "off":
            return {**item, "because": self.joined(rest[0])}
        return {**item, **self.body(rest, item["at"])}

    def body(self, clauses: "list[Tree[Token]]", at: list[int]) -> RuleTree:
        """The clauses of a rule, by keyword; what may stand once is refused the second time."""
        body: RuleTree = {"where": [], "knobs": [], "lets": [], "require": [], "says": {}, "cases": []}
        for clause in clauses:
            kind = str(clause.data)
            where = _tree_at(clause)
            parts = clause.children
            if kind in ("title", "advice", "because", "source"):
                self.once(body, kind, where)
                body[kind] = self.joined(parts[0])
            elif kind == "subject":
                self.once(body, "subject", where)
                body["subject"] = self.subject(parts[0])
            elif kind == "where":
                body["where"].append(self.expression(parts[0]))
            elif kind in ("knob", "let"):
                body[kind + "s"].append([str(parts[0]), _token_at(parts[0]), self.expression(parts[1])])
            elif kind == "require":
                body["require"].append(self.require(clause))
            elif kind == "unproven":
                self.once(body, "unproven", where)
                body["unproven"] = str(parts[1])
            elif kind == "say":
                self.say(body, clause)
            elif kind == "remedy":
                body["remedy"] = [[str(name), _token_at(name)] for name in parts[0].children]
            elif kind == "breaks":
                body["cases"].append(self.case(clause))
            else:
                self.edit(body, clause)
        for wanted in ("title", "subject", "because", "source"):
            if wanted not in body:
                keyword = "for" if wanted == "subject" else wanted
                self.refuse(at, f'the rule has no "{keyword}" clause, expected one: every rule states it')
        return body

    def once(self, body: RuleTree, kind: str, at: list[int]) -> None:
        """Refuses a clause that stands there already."""
        if kind in body:
            keyword = "for" if kind == "subject" else kind
            self.refuse(at, f'found a second "{keyword}" clause, expected one')

    def subject(self, tree: "Tree[Token]") -> RuleTree:
        """What a rule speaks of."""
        kind = tree.children[0]
        subject: RuleTree = {"kind": str(kind), "at": _token_at(kind), "of": [], "with": [], "level": None}
        for part in tree.children[1:]:
            if tree.data == "plain":
                subject["of"] = [[str(part), _token_at(part)]]
            elif tree.data == "line":
                subject["level"] = str(part)
            else:
                subject[str(part.data)] = [[str(n), _token_at(n)] for n in part.children[0].children]
        return subject

    def require(self, clause: "Tree[Token]") -> RuleTree:
        """`require EXPR [when EXPR] else LEVEL [at-risk LEVEL]`."""
        condition, *rest = clause.children
        found: RuleTree = {"if": self.expression(condition), "when": None, "at_risk": None}
        for part in rest:
            if getattr(part, "data", None) == "guard":
                found["when"] = self.expression(part.children[0])
            elif getattr(part, "data", None) == "softer":
                found["at_risk"] = str(part.children[1])
            else:
                found["else"] = str(part)
        return found

    def say(self, body: RuleTree, clause: "Tree[Token]") -> None:
        """`say [at-risk|unproven] TEXT`, one each."""
        *aspect, text = clause.children
        key = str(aspect[0].children[0]) if aspect else "fail"
        if key in body["says"]:
            self.refuse(_tree_at(clause), 'found a second such "say" clause, expected one a verdict')
        body["says"][key] = [self.joined(text), _tree_at(text)]

    def case(self, clause: "Tree[Token]") -> RuleTree:
        """`breaks [VERDICT] [LABEL]` and its board lines."""
        case: RuleTree = {"at": _tree_at(clause), "verdict": "fail", "label": "", "board": "", "edit": None}
        lines = []
        for part in clause.children:
            if getattr(part, "data", None) == "outcome":
                case["verdict"] = str(part.children[0])
            elif getattr(part, "data", None) == "text":
                case["label"] = self.joined(part)
            else:
                lines.append(str(part)[2:] if str(part).startswith("| ") else str(part)[1:])
        case["board"] = "".join(f"{line.rstrip(chr(13))}\n" for line in lines)
        return case

    def edit(self, body: RuleTree, clause: "Tree[Token]") -> None:
        """`edit OLD to NEW` belongs to the board before it, where OLD stands exactly once."""
        at = _tree_at(clause)
        if not body["cases"] or body["cases"][-1]["edit"]:
            self.refuse(at, 'found "edit" without a "breaks" board of its own before it')
        old, new = (self.joined(part) for part in clause.children)
        count = body["cases"][-1]["board"].count(old)
        if count != 1 or not old:
            self.refuse(at, f'the text "{old}" stands {count} times in the board, expected exactly once')
        body["cases"][-1]["edit"] = [old, new]

    def joined(self, tree: "Tree[Token]") -> str:
        """Adjacent strings as one text, escapes resolved."""
        return "".join(_unquoted(part) for part in tree.children)

    def expression(self, node: "Node") -> list[Any]:
        """An expression as a plain tree."""
        kind = str(node.data)
        at = _tree_at(node)
        parts = node.children
        if kind == "quantity":
            try:
                quantity = parse_quantity(str(parts[0]))
            except QuantityError as error:
                self.refuse(at, refusal(str(parts[0]), [error.expected], " "))
            return ["quantity", at, quantity.value, list(quantity.unit.dimension), str(parts[0])[-1] in "%m"]
        if kind in ("name", "known", "stated"):
            return [kind, at, str(parts[0])]
        if kind == "word":
            return ["word", at, _unquoted(parts[0])]
        if kind == "call":
            return self.call(at, parts)
        if kind == "compare":
            return ["compare", at, str(parts[1]), self.expression(parts[0]), self.expression(parts[2])]
        return [kind.rstrip("_"), at, *(self.expression(part) for part in parts)]

    def call(self, at: list[int], parts: "list[Node]") -> list[Any]:
        """`min(x, y)` and the like, with the number of arguments checked."""
        name, *arguments = parts
        few, many = (2, 2) if str(name) in ("min", "max") else (1, 1)
        if not few <= len(arguments) <= many:
            wanted = one_of([f"{few} argument{'s' * (few > 1)}"])
            self.refuse(at, f"found {len(arguments)} arguments, expected {wanted} for {name}")
        return ["call", at, str(name), *(self.expression(part) for part in arguments)]


def _unquoted(token: "Token") -> str:
    """A string's characters."""
    return re.sub(r"\\(.)", r"\1", str(token)[1:-1])


def _token_at(token: "Token") -> list[int]:
    """Line, column and length of a token."""
    return [token.line or 0, token.column or 1, len(token)]


def _tree_at(tree: "Tree[Token]") -> list[int]:
    """Line, column and length of a tree; as long as its first line if it goes over several."""
    meta = tree.meta
    length = meta.end_column - meta.column if meta.end_line == meta.line else 1
    return [meta.line, meta.column, length]
