"""The statements of a board: from the `*@` annotations of its netlist, and from intent files."""

import re
from collections.abc import Iterable

from drc.circuit.model import Annotation
from drc.intent.build import build
from drc.intent.form import StatementError, plain_form
from drc.intent.model import Intent, Statement
from drc.trouble import Place, Trouble

LONGEST = 2000
"""Characters that a statement may have; a longer one is no statement that a person wrote."""

_COMMENT = re.compile(r'^((?:"[^"]*"|[^"])*?)(?:^|[ \t])#.*$')


def read_statements(text: str, path: str, first_line: int = 1) -> Intent:
    """The statements of an intent file: one a line; blank lines and comments (`#` or `*`) are passed over.

    A line that starts with `*@` is a statement too. What can't be read is a trouble, the rest is kept.
    """
    intent = Intent()
    read: list[Intent] = []
    for number, line in enumerate(text.split("\n"), first_line):
        written = line.rstrip("\r")
        start = len(written) - len(written.lstrip(" \t\f\ufeff"))
        if written.startswith("*@", start):
            start += 2
        elif written[start : start + 1] in ("", "#", "*"):
            continue
        read.append(_statement(written[start:], Place(path, number, start + 1), written))
    return join(intent, *read)


def read_annotations(annotations: Iterable[Annotation]) -> Intent:
    """The statements behind a netlist's `*@` comments."""
    read = []
    for annotation in annotations:
        place = annotation.place
        if annotation.text.strip():
            excerpt = "*@".ljust(place.column - 1) + annotation.text
            read.append(_statement(annotation.text, place, excerpt))
    return join(*read)


def join(*intents: Intent) -> Intent:
    """Several intents as one, in that order."""
    return Intent(
        tuple(statement for intent in intents for statement in intent.statements),
        tuple(trouble for intent in intents for trouble in intent.troubles),
    )


def _statement(text: str, place: Place, excerpt: str) -> Intent:
    """One statement, or the trouble with it."""
    if len(text) > LONGEST:
        message = f"found a statement of {len(text)} characters, expected at most {LONGEST}"
        return Intent((), (Trouble("unreadable-statement", "error", place, message, excerpt[:LONGEST]),))
    comment = _COMMENT.match(text)
    bare = comment[1] if comment else text
    start = len(bare) - len(bare.lstrip())
    stripped = bare.strip()
    if not stripped:
        return Intent()
    whole = place._replace(column=place.column + start, length=len(stripped))
    try:
        return Intent((_understood(stripped, whole),))
    except StatementError as error:
        at = whole._replace(column=whole.column + error.start, length=error.length)
        return Intent((), (Trouble("unreadable-statement", "error", at, error.message, excerpt),))


def _understood(text: str, place: Place) -> Statement:
    """The statement of a text. Raises StatementError."""
    form = plain_form(text)
    if form is not None:
        try:
            return build(form, place, text)
        except StatementError:
            pass  # The plain lane only knows what is right; what is wrong with it, the grammar says.
    from drc.intent.parse import grammar_form

    return build(grammar_form(text), place, text)
