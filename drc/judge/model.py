"""Verdicts, findings, the tally, and the remedies that a finding may carry."""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from drc.circuit.model import Token
from drc.facts.model import Fact
from drc.trouble import Level, Place, Trouble

Verdict = Literal["pass", "at-risk", "fail", "unproven", "not-applicable"]

VERDICTS: tuple[Verdict, ...] = ("pass", "at-risk", "fail", "unproven", "not-applicable")

BROKEN: tuple[Verdict, ...] = ("unproven", "at-risk", "fail")
"""The verdicts that are reported, from the mildest to the gravest."""

RemedyName = Literal[
    "strap-pair", "strap-swap", "timing-resistor", "decade", "preferred-value", "part-variant",
    "pin-order", "pin-swap", "rail", "supply", "load-resistor", "bypass", "intent",
]  # fmt: skip
"""The closed list of repairs that a rule may ask for; how each is found is drc/repair's business."""


class Edit(NamedTuple):
    """A change of one source token: `element` is what a reader knows it by, `token` what stands there now."""

    element: str
    token: Token
    new: str


class Remedy(NamedTuple):
    """Edits that together clear a finding, and why they are believed to be the cause."""

    edits: tuple[Edit, ...]
    why: str


class TallyEntry(NamedTuple):
    """One verdict of the review. `assumed`: it is a pass that rests on an assumption."""

    rule: str
    subject: str
    verdict: Verdict
    assumed: bool = False
    missing: tuple[str, ...] = ()


class Finding(NamedTuple):
    """A verdict of fail, at-risk or unproven, or a trouble in reading (`verdict` fail), ready to report.

    `evidence` holds the facts that the rule used, by name. `others` are further places that bear on it.
    """

    rule: str
    level: Level
    verdict: Verdict
    subject: str
    place: Place
    message: str
    block: str | None = None
    part: str | None = None
    evidence: Mapping[str, Fact] = {}
    missing: tuple[str, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    others: tuple[Place, ...] = ()
    excerpt: str = ""
    advice: str = ""


class Assessment(NamedTuple):
    """The judging of one board: findings gravest first, and every verdict."""

    findings: tuple[Finding, ...]
    tally: tuple[TallyEntry, ...]
    troubles: tuple[Trouble, ...] = ()
