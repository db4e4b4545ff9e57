"""Remedies of an assessment's findings: candidates, smallest first, tried on a copy until some hold."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from drc.blocks.model import Block
from drc.facts.book import Book
from drc.facts.strap import strap_code
from drc.judge.model import Assessment, Edit, Finding, Remedy, RemedyName, TallyEntry
from drc.repair.change import Candidate, edits
from drc.repair.goal import goal_of
from drc.repair.load import load_candidates
from drc.repair.pool import Pool
from drc.repair.rate import in_time, rate_candidates
from drc.repair.rewire import (
    exchange_candidates,
    order_candidates,
    rail_candidates,
    variant_candidates,
)
from drc.repair.statement import renamed
from drc.repair.strap import strap_candidates
from drc.repair.trial import Bench, tried, worse

OFFERED = 3
"""The most remedies that a finding carries."""

TRIALS = 24
"""The most candidates that are tried for one finding."""

EFFORT = 150.0
"""What is spent on one board's remedies at most; judging one block by all rules is 1."""

_TRIAL, _TRIAL_BLOCK = 0.4, 0.1
"""What a trial costs that does not even clear the finding: the board read again, one rule judged."""

_CANDIDATES = 0.5
"""What it costs to think of candidates."""

_EXCHANGE = 0
"""The kind of candidate that may turn an output whose polarity nobody stated."""

UNSEARCHED = "; remedies were not searched for to the end, as there is much to mend"
"""What is added to the advice on a finding for which no effort was left."""

_STRAP = frozenset({"strap-pair", "strap-swap"})
_RATE = frozenset({"timing-resistor", "decade", "preferred-value"})


class Spoiler(NamedTuple):
    """Edits that would clear a finding and are not offered, because they make other verdicts graver."""

    remedy: Remedy
    worse: tuple[TallyEntry, ...]


class Found(NamedTuple):
    """What the search for a finding's remedies brought, what it cost, and whether it was gone through."""

    remedies: tuple[Remedy, ...] = ()
    spoilers: tuple[Spoiler, ...] = ()
    spent: float = 0.0
    complete: bool = True


def with_remedies(book: Book, assessment: Assessment, bench: Bench) -> Assessment:
    """The assessment with remedies on each finding whose rule asks for a kind that can be searched."""
    findings, left = [], EFFORT
    for finding in assessment.findings:
        found = search(book, finding, assessment, bench, left)
        left -= found.spent
        advice = finding.advice if found.complete or found.remedies else f"{finding.advice}{UNSEARCHED}"
        findings.append(finding._replace(remedies=found.remedies, advice=advice))
    return assessment._replace(findings=tuple(findings))


def search(book: Book, finding: Finding, before: Assessment, bench: Bench, effort: float = EFFORT) -> Found:
    """The first few candidates that clear a finding: those that make nothing worse, and those that do."""
    rule = next((rule for rule in bench.rules.rules if rule.name == finding.rule), None)
    if rule is None or finding.verdict == "unproven":
        return Found()
    if finding.block is None and "intent" in rule.remedies:
        remedy = renamed(book, finding, bench)
        return Found() if remedy is None else _sorted_out([remedy], finding, before, bench, effort)
    block = next((b for b in book.board.blocks if b.path == finding.block), None)
    if block is None or not rule.remedies:
        return Found()
    if effort <= 0:
        return Found(complete=False)
    candidates = _candidates(book, block, frozenset(rule.remedies), bench)
    ordered = sorted(candidates, key=lambda candidate: candidate.rank)
    made = (
        (edits(candidate, book.options.materials), candidate.why) for candidate in islice(ordered, TRIALS)
    )
    remedies = [Remedy(each, why) for each, why in made if each]
    found = _sorted_out(remedies, finding, before, bench, effort - _CANDIDATES)
    return found._replace(spent=found.spent + _CANDIDATES)


def _sorted_out(
    candidates: Sequence[Remedy],
    finding: Finding,
    before: Assessment,
    bench: Bench,
    effort: float,
) -> Found:
    """The candidates that clear a finding, tried in order: those that spoil nothing, and those that do.

    No more than `effort` is spent, one trial apart.
    """
    blocks = max(1, sum(entry.rule == finding.rule for entry in before.tally))
    trial = _TRIAL + _TRIAL_BLOCK * blocks
    remedies: dict[tuple[Edit, ...], Remedy] = {}
    spoilers: list[Spoiler] = []
    spent = 0.0
    for candidate in candidates:
        if candidate.edits in remedies:
            continue
        if spent >= effort:
            return Found(tuple(remedies.values()), tuple(spoilers), spent, complete=False)
        after = tried(bench, candidate.edits, finding)
        spent += trial if after is None else trial + blocks
        if after is None:
            continue
        spoilt = worse(before, after)
        if spoilt:
            spoilers.append(Spoiler(candidate, spoilt))
        else:
            remedies[candidate.edits] = candidate
        if len(remedies) == OFFERED:
            break
    return Found(tuple(remedies.values()), tuple(spoilers), spent)


def _candidates(book: Book, block: Block, wanted: frozenset[RemedyName], bench: Bench) -> Iterator[Candidate]:
    """Everything worth a trial, of the kinds that a rule asks for."""
    if wanted & (_STRAP | _RATE):
        yield from _timed(book, block, wanted, bench.pool)
    if "load-resistor" in wanted:
        yield from load_candidates(book, block, bench.pool)
    if "rail" in wanted:
        yield from rail_candidates(book, block)
    if "pin-order" in wanted:
        yield from order_candidates(block)
    if "pin-swap" in wanted:
        yield from exchange_candidates(block)
    if "part-variant" in wanted:
        yield from variant_candidates(block, bench.parts)


def _timed(book: Book, block: Block, wanted: frozenset[RemedyName], pool: Pool) -> Iterator[Candidate]:
    """Strap and timing resistors for each row of the code table that would do what is wanted."""
    read = strap_code(book, block)
    now = read if isinstance(read, int) else None
    goal = goal_of(book, block, now)
    for row in (*goal.rows, *goal.turned):
        right = goal.time_s is None or in_time(book, block, row.prescale, goal.time_s)
        straps = list(strap_candidates(book, block, row.code, pool)) if wanted & _STRAP else []
        if row in goal.turned:
            straps = [candidate for candidate in straps if candidate.kind == _EXCHANGE]
        if right:
            yield from straps
        if goal.time_s is None or right or not wanted & _RATE:
            continue
        rates = list(rate_candidates(book, block, row.prescale, goal.time_s, pool))
        if row.code == now:
            yield from rates
        elif straps and rates:
            yield _both(min(straps, key=lambda c: c.rank), min(rates, key=lambda c: c.rank))


def _both(strap: Candidate, rate: Candidate) -> Candidate:
    """A strap change and a timing resistor together."""
    why = f"{strap.why}, and {rate.why}"
    return Candidate((*strap.changes, *rate.changes), why, strap.acts + rate.acts, 5 + strap.kind + rate.kind)
