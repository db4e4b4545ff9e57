"""Message templates: `{strap.ratio}`, `{low strap.margin}`, `{block}`; checked when the rule is read."""

import re
from typing import NoReturn

from drc.facts.model import SubjectKind
from drc.judge.check import Checker, names_in
from drc.judge.rule import Message, Tree, wrong
from drc.trouble import InputError

_HOLE = re.compile(r"\{\{|\}\}|\{([^{}]*)\}|[{}]")
_ENDS = ("low", "nominal", "high")

WORDS: dict[SubjectKind, tuple[str, ...]] = {
    "block": ("subject", "block", "part"),
    "statement": ("subject", "block", "part", "statement"),
    "pair": ("subject", "upstream", "downstream"),
    "net": ("subject", "net"),
    "part": ("subject", "block", "part"),
    "line": ("subject",),
    "board": ("subject",),
}
"""What a message may name beside facts, knobs and lets, by the rule's subject."""


def read_message(text: str, at: list[int], checker: Checker, subject: SubjectKind) -> Message:
    """The pieces of a template. Raises InputError where a hole names nothing."""
    pieces: list[str | Tree] = []
    end = 0
    for hole in _HOLE.finditer(text):
        pieces.append(text[end : hole.start()])
        end = hole.end()
        if hole[0] in ("{{", "}}"):
            pieces.append(hole[0][0])
        elif hole[1] is None:
            _refuse(
                checker, at, f'found a lone "{hole[0]}" in the text, expected {{NAME}}, or "{hole[0] * 2}"'
            )
        else:
            pieces.append(_hole(hole[1].split(), at, checker, subject))
    pieces.append(text[end:])
    trees = [piece for piece in pieces if not isinstance(piece, str)]
    return Message(tuple(pieces), names_in(*trees))


def _hole(words: list[str], at: list[int], checker: Checker, subject: SubjectKind) -> Tree:
    """One `{...}`: a word about the subject, or a fact, knob or let, perhaps one end of it."""
    if len(words) == 1 and words[0] in WORDS[subject]:
        return ["about", at, words[0]]
    if len(words) == 2 and words[0] in _ENDS:
        tree, _ = checker.quantity(["name", at, words[1]])
        return ["call", at, words[0], tree]
    if len(words) != 1:
        _refuse(checker, at, f'found "{{{" ".join(words)}}}" in the text, expected {{NAME}} or {{low NAME}}')
    return checker.expression(["name", at, words[0]])[0]


def _refuse(checker: Checker, at: list[int], message: str) -> NoReturn:
    raise InputError(wrong(checker.path, at, message, checker.text))
