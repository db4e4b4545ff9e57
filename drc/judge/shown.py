"""Values and messages as a person reads them."""

from collections.abc import Mapping

from drc.facts.model import Cases, Unknown, Value
from drc.judge.program import Values, expression
from drc.judge.rule import Message
from drc.quantity.span import Span
from drc.quantity.text import format_span


def written(value: Value) -> str:
    """A fact's value as a person reads it."""
    if isinstance(value, Span):
        return format_span(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Cases):
        return "; ".join(f"{case.label}: {format_span(case.value)}" for case in value.cases)
    if isinstance(value, Unknown):
        return f"unknown ({value.because})" if value.because else "unknown"
    return value


def message_text(
    message: Message, values: Values, knobs: Mapping[str, Span], about: Mapping[str, str]
) -> str:
    """A message with its holes filled from the facts, and from what is known about the subject."""
    texts = []
    for piece in message.pieces:
        if isinstance(piece, str):
            texts.append(piece)
        elif piece[0] == "about":
            texts.append(about.get(piece[2], "?"))
        else:
            texts.append(written(expression(piece, knobs)(values)))
    return "".join(texts)


def inside_sentence(title: str) -> str:
    """A title inside a sentence: its first letter small, unless it begins an abbreviation."""
    return title[:1].lower() + title[1:] if title[1:2].islower() or title[1:2] == " " else title
