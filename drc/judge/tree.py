"""The parser's tree of a rule file as plain JSON: a node is what it is, where it stands, then its parts."""

import re
from collections.abc import Callable
from typing import Any, NoReturn

from drc.intent.wording import refusal
from drc.judge.rule import wrong
from drc.quantity.text import QuantityError, parse_quantity
from drc.trouble import InputError

RuleTree = dict[str, Any]
"""One item of a rule file: `item` (rule, replace, turn, level, off), `name`, `at`, and its clauses."""

DEEPEST = 100
"""Levels of an expression; a chain of n operators has n of them."""

Node = Any
"""A tree or token of the parser: the grammar says which."""


class Reader:
    """Turns the parser's tree of one file into plain JSON."""

    def __init__(self, text: str, path: str) -> None:
        self.text = text
        self.path = path

    def refuse(self, at: list[int], message: str) -> NoReturn:
        """Raises the trouble at a position."""
        raise InputError(wrong(self.path, at, message, self.text))

    def item(self, tree: Node) -> RuleTree:
        """One rule or adjustment."""
        name, *rest = (part for part in tree.children if getattr(part, "type", "") != "SET_LEVEL")
        item: RuleTree = {"item": str(tree.data), "name": str(name), "at": _token_at(name)}
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

    def body(self, clauses: list[Node], at: list[int]) -> RuleTree:
        """The clauses of a rule, by keyword; what may stand once is refused the second time."""
        body: RuleTree = {"where": [], "knobs": [], "lets": [], "require": [], "says": {}, "cases": []}
        for clause in clauses:
            _CLAUSES[str(clause.data)](self, body, clause)
        for wanted in ("title", "subject", "because", "source"):
            if wanted not in body:
                keyword = "for" if wanted == "subject" else wanted
                self.refuse(at, f'the rule has no "{keyword}" clause, expected one: every rule states it')
        return body

    def text_clause(self, body: RuleTree, clause: Node) -> None:
        """`title`, `advice`, `because`, `source`: a text."""
        self.once(body, str(clause.data), _tree_at(clause))
        (text,) = clause.children
        body[str(clause.data)] = self.joined(text)

    def subject_clause(self, body: RuleTree, clause: Node) -> None:
        """`for SUBJECT`."""
        self.once(body, "subject", _tree_at(clause))
        (subject,) = clause.children
        body["subject"] = self.subject(subject)

    def where_clause(self, body: RuleTree, clause: Node) -> None:
        """`where EXPR`."""
        (condition,) = clause.children
        body["where"].append(self.expression(condition))

    def named_clause(self, body: RuleTree, clause: Node) -> None:
        """`knob NAME = EXPR` and `let NAME = EXPR`."""
        name, value = clause.children
        body[f"{clause.data}s"].append([str(name), _token_at(name), self.expression(value)])

    def require_clause(self, body: RuleTree, clause: Node) -> None:
        """`require ...`."""
        body["require"].append(self.require(clause))

    def unproven_clause(self, body: RuleTree, clause: Node) -> None:
        """`unproven LEVEL`."""
        self.once(body, "unproven", _tree_at(clause))
        _, level = clause.children
        body["unproven"] = str(level)

    def remedy_clause(self, body: RuleTree, clause: Node) -> None:
        """`remedy NAME, NAME`."""
        self.once(body, "remedy", _tree_at(clause))
        (names,) = clause.children
        body["remedy"] = [[str(name), _token_at(name)] for name in names.children]

    def breaks_clause(self, body: RuleTree, clause: Node) -> None:
        """`breaks ...`."""
        body["cases"].append(self.case(clause))

    def once(self, body: RuleTree, kind: str, at: list[int]) -> None:
        """Refuses a clause that stands there already."""
        if kind in body:
            keyword = "for" if kind == "subject" else kind
            self.refuse(at, f'found a second "{keyword}" clause, expected one')

    def subject(self, tree: Node) -> RuleTree:
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

    def require(self, clause: Node) -> RuleTree:
        """`require EXPR [when EXPR] else LEVEL [at-risk LEVEL]`."""
        condition, *rest = clause.children
        found: RuleTree = {"if": self.expression(condition), "when": None, "at_risk": None}
        for part in rest:
            if getattr(part, "data", None) == "guard":
                (guard,) = part.children
                found["when"] = self.expression(guard)
            elif getattr(part, "data", None) == "softer":
                _, level = part.children
                found["at_risk"] = str(level)
            else:
                found["else"] = str(part)
        return found

    def say(self, body: RuleTree, clause: Node) -> None:
        """`say [at-risk|unproven] TEXT`, one each."""
        *aspect, text = clause.children
        key = str(aspect[0].children[0]) if aspect else "fail"
        if key in body["says"]:
            self.refuse(_tree_at(clause), 'found a second such "say" clause, expected one a verdict')
        body["says"][key] = [self.joined(text), _tree_at(text)]

    def case(self, clause: Node) -> RuleTree:
        """`breaks [VERDICT] [LABEL]` and its board lines."""
        case: RuleTree = {"at": _tree_at(clause), "verdict": "fail", "label": "", "board": "", "edit": None}
        lines = []
        for part in clause.children:
            if getattr(part, "data", None) == "outcome":
                (verdict,) = part.children
                case["verdict"] = str(verdict)
            elif getattr(part, "data", None) == "text":
                case["label"] = self.joined(part)
            else:
                lines.append(str(part)[2:] if str(part).startswith("| ") else str(part)[1:])
        case["board"] = "".join(f"{line.rstrip(chr(13))}\n" for line in lines)
        return case

    def edit(self, body: RuleTree, clause: Node) -> None:
        """`edit OLD to NEW` belongs to the board before it, where OLD stands exactly once."""
        at = _tree_at(clause)
        if not body["cases"] or body["cases"][-1]["edit"]:
            self.refuse(at, 'found "edit" without a "breaks" board of its own before it')
        old, new = (self.joined(part) for part in clause.children)
        count = body["cases"][-1]["board"].count(old)
        if count != 1:
            self.refuse(at, f'the text "{old}" stands {count} times in the board, expected exactly once')
        body["cases"][-1]["edit"] = [old, new]

    def joined(self, tree: Node) -> str:
        """Adjacent strings as one text, escapes resolved."""
        return "".join(_unquoted(part) for part in tree.children)

    def expression(self, node: Node, depth: int = 1) -> list[Any]:
        """An expression as a plain tree."""
        kind = str(node.data)
        at = _tree_at(node)
        parts = node.children
        if depth > DEEPEST:
            self.refuse(
                at, f"found an expression of more than {DEEPEST} levels, expected a fact or a let for it"
            )
        if kind == "quantity":
            try:
                quantity = parse_quantity(str(parts[0]))
            except QuantityError as error:
                self.refuse(at, refusal(str(parts[0]), [error.expected]))
            return ["quantity", at, quantity.value, list(quantity.unit.dimension), str(parts[0])[-1] in "%m"]
        if kind in ("name", "known", "stated"):
            return [kind, at, str(parts[0])]
        if kind == "word":
            return ["word", at, _unquoted(parts[0])]
        if kind == "call":
            return self.call(at, parts, depth)
        if kind == "compare":
            left, sign, right = parts
            sides = (self.expression(side, depth + 1) for side in (left, right))
            return ["compare", at, str(sign), *sides]
        return [kind.rstrip("_"), at, *(self.expression(part, depth + 1) for part in parts)]

    def call(self, at: list[int], parts: list[Node], depth: int) -> list[Any]:
        """`min(x, y)` and the like, with the number of arguments checked."""
        name, *arguments = parts
        count = 2 if str(name) in ("min", "max") else 1
        if len(arguments) != count:
            self.refuse(at, f"found {len(arguments)} arguments for {name}, expected {count}")
        return ["call", at, str(name), *(self.expression(part, depth + 1) for part in arguments)]


def _unquoted(token: Node) -> str:
    """A string's characters."""
    return re.sub(r"\\(.)", r"\1", str(token)[1:-1])


def _token_at(token: Node) -> list[int]:
    """Line, column and length of a token."""
    return [token.line, token.column, len(token)]


def _tree_at(tree: Node) -> list[int]:
    """Line, column and length of a tree; as long as its first line if it goes over several."""
    meta = tree.meta
    length = meta.end_column - meta.column if meta.end_line == meta.line else 1
    return [meta.line, meta.column, length]


_CLAUSES: dict[str, Callable[[Reader, RuleTree, Node], None]] = {
    "title": Reader.text_clause,
    "advice": Reader.text_clause,
    "because": Reader.text_clause,
    "source": Reader.text_clause,
    "subject": Reader.subject_clause,
    "where": Reader.where_clause,
    "knob": Reader.named_clause,
    "let": Reader.named_clause,
    "require": Reader.require_clause,
    "unproven": Reader.unproven_clause,
    "say": Reader.say,
    "remedy": Reader.remedy_clause,
    "breaks": Reader.breaks_clause,
    "edit": Reader.edit,
}
