"""What a finding rests on, in at most two lines."""

from collections.abc import Iterator

from drc.facts.model import Input
from drc.judge.model import Finding
from drc.outcome import Acceptance, Ruling
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.report.text import harmless, shortened, value_text, wrapped

_OWN = ("part file", "node 0", "default")
"""Origins that say nothing of the board in hand."""

LINES = 2
"""Lines of evidence under a finding."""


def evidence_lines(ruling: Ruling, width: int) -> list[str]:
    """The facts that a finding's message does not give already, then what on the board they come from.

    Of an accepted finding: by whose word, and until when. What has no room on two lines is cut.
    """
    if ruling.acceptance is not None:
        return wrapped(harmless(_terms(ruling.acceptance)), width)[:LINES]
    facts = harmless("; ".join(_facts(ruling.finding)))
    sources = harmless(_sources(ruling.finding))
    if not facts or not sources:
        return _fitted(facts or sources, width, LINES)
    return [*_fitted(facts, width, LINES - 1), *_fitted(sources, width, 1)]


def _fitted(text: str, width: int, lines: int) -> list[str]:
    """The text on so many lines, the last one cut where there is more."""
    all_lines = wrapped(text, width)
    if len(all_lines) <= lines:
        return all_lines
    return [*all_lines[: lines - 1], shortened(" ".join(all_lines[lines - 1 :]), width)]


def _facts(finding: Finding) -> Iterator[str]:
    """What is missing or assumed, then each quantity and name that the message does not give."""
    if finding.missing:
        yield "missing: " + ", ".join(finding.missing)
    assumed = dict.fromkeys(text for fact in finding.evidence.values() for text in fact.assumptions)
    if assumed:
        yield "on assumption: " + ", ".join(assumed)
    for name, fact in finding.evidence.items():
        told = format_span(fact.value) if isinstance(fact.value, Span) else value_text(fact)
        if told not in finding.message and fact.law and not isinstance(fact.value, bool):
            yield f"{name} {told}"


def _sources(finding: Finding) -> str:
    """The facts, elements and statements that the facts were computed from, with their lines.

    An input whose origin is another fact (a prescale out of `strap.code`) comes first: it explains most.
    """
    inputs = dict.fromkeys(entry for fact in finding.evidence.values() for entry in fact.inputs)
    own = [
        entry
        for entry in inputs
        if (entry.place and entry.origin not in _OWN) or entry.origin == "strap.code"
    ]
    own.sort(key=lambda entry: (entry.origin != "strap.code", entry.origin == "statement"))
    told = dict.fromkeys(_source(entry, finding.place.path) for entry in own)
    return "from " + ", ".join(told) if told else ""


def _source(entry: Input, path: str) -> str:
    """An input with the line it stands on, and the file where that is not `path`."""
    text = f"{entry.label} = {entry.value.partition(' (')[0]}"
    if entry.place is None:
        return f"{text} ({entry.origin})"
    where = "line " if entry.place.path == path else entry.place.path.rpartition("/")[2] + ":"
    return f"{text} ({where}{entry.place.line})"


def _terms(acceptance: Acceptance) -> str:
    """Who accepted a finding, until when, and why."""
    by = f" by {acceptance.by}" if acceptance.by else ""
    until = f" until {acceptance.until}" if acceptance.until else ""
    return f'accepted{by}{until}: "{acceptance.because}"'
