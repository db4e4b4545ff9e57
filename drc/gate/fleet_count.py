"""The fleet of a review, counted board by board so that no board need be held."""

from collections import Counter
from collections.abc import Iterable, Mapping
from heapq import nsmallest

from drc.fleet import BoardVerdict, Fleet, FleetBoard, FleetMargin, FleetPart, FleetRule
from drc.outcome import MARGINS, BoardOutcome, MarginKind, Review, Ruling
from drc.trouble import LEVELS, Level

WORST = 8
"""Margins of each kind that are told."""


class FleetCount:
    """A fleet, counted as far as boards were added."""

    def __init__(self, gate: Level) -> None:
        self._boards: list[FleetBoard] = []
        self._worst: dict[MarginKind, list[FleetMargin]] = {kind: [] for kind in MARGINS}
        self._at_gate = frozenset(LEVELS[LEVELS.index(gate) :])
        self._parts: dict[tuple[str, str], Counter[str]] = {}
        self._rules: dict[str, Counter[str]] = {}

    def fleet(self, review: Review) -> Fleet:
        """The fleet of the review whose boards were added."""
        titles = {rule.name: rule.title for rule in review.rules}
        return Fleet(
            review.version,
            review.date,
            review.seed,
            review.draws,
            review.gate,
            review.passed,
            tuple(self._boards),
            self._part_rows(),
            self._rule_rows(titles),
            tuple(margin for kind in MARGINS for margin in self._worst[kind]),
        )

    def add(self, board: BoardOutcome) -> None:
        """One board more."""
        opened = [ruling for ruling in board.rulings if ruling.state == "new"]
        levels = Counter(ruling.finding.level for ruling in opened)
        self._boards.append(
            FleetBoard(
                board.path,
                self._verdict(board, opened),
                len(board.blocks),
                levels["error"],
                levels["warning"],
                levels["note"],
                board.error or "",
            )
        )
        self._add_parts(board, opened)
        self._add_rules(opened)
        for kind in MARGINS:
            met = (FleetMargin(board.path, margin) for margin in board.margins if margin.kind == kind)
            self._worst[kind] = nsmallest(
                WORST, (*self._worst[kind], *met), key=lambda found: found.margin.left
            )

    def _part_rows(self) -> tuple[FleetPart, ...]:
        """The parts, the most used first."""
        found = (
            FleetPart(name, function, met["blocks"], met["boards"], met["failing"])
            for (name, function), met in self._parts.items()
        )
        return tuple(sorted(found, key=lambda part: (-part.blocks, part.name, part.function)))

    def _rule_rows(self, titles: Mapping[str, str]) -> tuple[FleetRule, ...]:
        """The rules with open findings, by level and then by how many boards broke them."""
        found = []
        for name, met in self._rules.items():
            level = next(level for level in reversed(LEVELS) if met[level])
            counts = (met["findings"], met["boards"], met["blocks"])
            found.append(FleetRule(name, titles.get(name, ""), level, *counts))
        return tuple(sorted(found, key=lambda rule: (-LEVELS.index(rule.level), -rule.boards, rule.name)))

    def _verdict(self, board: BoardOutcome, opened: Iterable[Ruling]) -> BoardVerdict:
        if board.error is not None:
            return "unread"
        findings = [ruling.finding for ruling in opened]
        if any(finding.level in self._at_gate for finding in findings):
            return "failed"
        return "unproven" if any(finding.verdict == "unproven" for finding in findings) else "passed"

    def _add_parts(self, board: BoardOutcome, opened: Iterable[Ruling]) -> None:
        failing = {ruling.finding.block for ruling in opened if ruling.finding.level in self._at_gate}
        here = set()
        for outcome in board.blocks:
            part = (outcome.block.part.name, outcome.block.part.function)
            met = self._parts.setdefault(part, Counter())
            met["blocks"] += 1
            met["failing"] += outcome.block.path in failing
            here.add(part)
        for part in here:
            self._parts[part]["boards"] += 1

    def _add_rules(self, opened: Iterable[Ruling]) -> None:
        blocks = set()
        for ruling in opened:
            finding = ruling.finding
            met = self._rules.setdefault(finding.rule, Counter())
            met["findings"] += 1
            met[finding.level] += 1
            blocks.add((finding.rule, finding.block))
        for name, block in blocks:
            self._rules[name]["blocks"] += block is not None
        for name in {name for name, _ in blocks}:
            self._rules[name]["boards"] += 1
