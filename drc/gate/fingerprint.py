"""What makes two findings the same one, through renumbered lines, moved files and new versions."""

import json
from hashlib import sha256

from drc.facts.model import Cases, Value
from drc.judge.model import Finding
from drc.quantity.span import Span

LENGTH = 24
"""Hexadecimal digits kept: 96 bits, beyond any chance meeting."""


def fingerprint(finding: Finding) -> str:
    """The finding's meaning as a short hexadecimal text.

    It is made of rule, verdict, block, part and the nominal values in the evidence (rounded already); never
    of a path, a line, a net or a version. Two findings of one kind share it, so whoever keeps them counts.
    """
    evidence = sorted((name, nominal(fact.value)) for name, fact in finding.evidence.items())
    meaning = [finding.rule, finding.verdict, finding.block, finding.part, evidence]
    return sha256(json.dumps(meaning, separators=(",", ":")).encode()).hexdigest()[:LENGTH]


def nominal(value: Value) -> str:
    """A value's nominal as text: `middle` for a span, the labelled cases in order, `?` for an unknown."""
    if isinstance(value, Span):
        return f"{value.middle!r}{value.unit.symbol}"
    if isinstance(value, Cases):
        return ",".join(f"{case.label}={nominal(case.value)}" for case in value.cases)
    if isinstance(value, bool | str):
        return str(value)
    return "?"
