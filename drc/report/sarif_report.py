"""A review in the Static Analysis Results Interchange Format (SARIF) 2.1.0, an OASIS standard."""

import json
from collections.abc import Iterable, Sequence
from urllib.parse import quote

from drc.circuit.model import SourceFile
from drc.judge.model import Finding, Remedy
from drc.outcome import KNOWN_GONE, BoardOutcome, Review, RuleText, Ruling
from drc.resources import JSON, OWN
from drc.trouble import Place

ROOT = "PROJECTROOT"
"""The base that relative paths stand on: the project root."""

BASELINE = {"new": "new", "known": "unchanged", "accepted": "unchanged"}


def render(review: Review) -> str:
    """The whole review as one run; the same review gives the same text."""
    rules = _rules(review)
    numbers = {rule.name: number for number, rule in enumerate(rules)}
    baseline = any(source.kind == "known" for source in review.inputs)
    results = [_result(ruling, numbers, baseline) for board in review.boards for ruling in board.rulings]
    run: JSON = {
        "tool": {
            "driver": {
                "name": "tickproof",
                "semanticVersion": review.version,
                "rules": [_descriptor(rule) for rule in rules],
            }
        },
        "invocations": [_invocation(review.boards)],
        "artifacts": [_artifact(source) for source in review.inputs],
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    log: JSON = {"version": "2.1.0", "runs": [run]}
    return json.dumps(log, indent=1, allow_nan=False) + "\n"


def _rules(review: Review) -> list[RuleText]:
    """The rules in force, and those that only a finding names."""
    rules = list(review.rules)
    known = {rule.name for rule in rules}
    found = sorted({ruling.finding.rule for board in review.boards for ruling in board.rulings} - known)
    return [*rules, *(RuleText(name, "", "") for name in found)]


def _descriptor(rule: RuleText) -> JSON:
    """A rule with its help."""
    about: dict[str, JSON] = {"id": rule.name}
    if rule.title:
        about["shortDescription"] = {"text": rule.title}
    if rule.because:
        about["fullDescription"] = {"text": rule.because}
        about["help"] = {"text": f"{rule.because} {rule.advice}".strip()}
    return about


def _invocation(boards: Sequence[BoardOutcome]) -> JSON:
    """Whether every board was read; those that were not, as notifications."""
    unread: list[JSON] = [
        {
            "level": "error",
            "message": {"text": board.error},
            "locations": [{"physicalLocation": {"artifactLocation": _artifact_location(board.path)}}],
        }
        for board in boards
        if board.error is not None
    ]
    return {"executionSuccessful": not unread, "toolExecutionNotifications": unread}


def _artifact(source: SourceFile) -> JSON:
    location = {"location": _artifact_location(source.path)}
    return location | ({"hashes": {"sha-256": source.sha256}} if source.sha256 else {})


def _artifact_location(path: str) -> JSON:
    """A path as a URI; the tool's own files have a scheme of their own."""
    if path.startswith(OWN):
        return {"uri": OWN + quote(path.removeprefix(OWN))}
    return {"uri": quote(path, errors="replace"), "uriBaseId": ROOT}


def _result(ruling: Ruling, numbers: dict[str, int], baseline: bool) -> JSON:
    """One finding. Every result says whether it is suppressed, as the standard wants it of all or none."""
    finding = ruling.finding
    result: dict[str, JSON] = {
        "ruleId": finding.rule,
        "ruleIndex": numbers[finding.rule],
        "level": finding.level,
        "message": {"text": finding.message},
        "locations": [_location(finding)],
        "partialFingerprints": {"tickproof/v1": ruling.fingerprint},
        "suppressions": _suppressions(ruling),
        "properties": {"verdict": finding.verdict, "missing": list(finding.missing)},
    }
    related = _related(finding)
    if related:
        result["relatedLocations"] = related
    if finding.remedies:
        result["fixes"] = [_fix(remedy) for remedy in finding.remedies]
    if baseline:
        result["baselineState"] = "absent" if finding.rule == KNOWN_GONE else BASELINE[ruling.state]
    return result


def _location(finding: Finding) -> JSON:
    location: dict[str, JSON] = {"physicalLocation": _physical(finding.place)}
    if finding.block is not None:
        location["logicalLocations"] = [{"fullyQualifiedName": finding.block, "kind": "timing block"}]
    return location


def _physical(place: Place) -> JSON:
    """A file, and where the place is within it."""
    physical: dict[str, JSON] = {"artifactLocation": _artifact_location(place.path)}
    if place.line:
        region: dict[str, JSON] = {"startLine": place.line, "startColumn": place.column}
        if place.length:
            region["endColumn"] = place.column + place.length
        physical["region"] = region
    return physical


def _related(finding: Finding) -> list[JSON]:
    """What the evidence was computed from, and what else bears on the finding, each place once."""
    told: dict[Place, str] = {}
    for fact in finding.evidence.values():
        for entry in fact.inputs:
            if entry.place is not None:
                told.setdefault(entry.place, f"{entry.label} = {entry.value}")
    for place in finding.others:
        told.setdefault(place, "see also")
    return [
        {"id": number, "physicalLocation": _physical(place), "message": {"text": text}}
        for number, (place, text) in enumerate(told.items(), 1)
    ]


def _suppressions(ruling: Ruling) -> list[JSON]:
    """The acceptance of a finding."""
    terms = ruling.acceptance
    if terms is None:
        return []
    by = f" (by {terms.by})" if terms.by else ""
    until = f" until {terms.until}" if terms.until else ""
    return [{"kind": "external", "status": "accepted", "justification": f"{terms.because}{by}{until}"}]


def _fix(remedy: Remedy) -> JSON:
    """A remedy as replacements, those of one file together."""
    paths = dict.fromkeys(edit.token.path for edit in remedy.edits)
    changes: list[JSON] = [
        {"artifactLocation": _artifact_location(path), "replacements": _replacements(remedy, path)}
        for path in paths
    ]
    return {"description": {"text": remedy.why}, "artifactChanges": changes}


def _replacements(remedy: Remedy, path: str) -> list[JSON]:
    tokens: Iterable[tuple[int, int, str]] = (
        (edit.token.start, edit.token.end, edit.new) for edit in remedy.edits if edit.token.path == path
    )
    return [
        {
            "deletedRegion": {"charOffset": start, "charLength": end - start},
            "insertedContent": {"text": new},
        }
        for start, end, new in tokens
    ]
