"""The parts, rules and facts that are known, as pages."""

from collections.abc import Iterable, Sequence

from drc.blocks.describe import describe
from drc.blocks.model import Part
from drc.facts.model import Entry
from drc.judge.explain import LANGUAGE, describe_rule, kind_text
from drc.judge.rule import Rule, RuleBook
from drc.report.text import Piece, Row, harmless, row, wrapped
from drc.trouble import LEVELS, Level

_LABEL_LIMIT = 26


def part_list(parts: Iterable[Part], width: int) -> list[Row]:
    """Every part: name, function, title."""
    lines = [(harmless(part.name), part.function, harmless(part.title)) for part in parts]
    return _table(lines, width)


def part_page(part: Part, width: int) -> list[Row]:
    """All that the part files say of one part."""
    return _labelled(describe(part), width)


def rule_list(book: RuleBook, width: int) -> list[Row]:
    """Every rule in force: name, level, title; then those switched off, with the reason."""
    rows = _table([(rule.name, gravest(rule), rule.title) for rule in book.rules], width)
    for name, off in book.off.items():
        rows.append(
            row(
                Piece(name, "quiet"), f"  switched off at {harmless(str(off.place))}: {harmless(off.because)}"
            )
        )
    return rows


def rule_page(rule: Rule, width: int, cases: Iterable[tuple[str, str]] = ()) -> list[Row]:
    """One rule: what it holds, for what, when, why, what mends it; then its cases as they were reviewed."""
    return _labelled([*describe_rule(rule), *cases], width)


def fact_list(entries: Iterable[Entry], width: int) -> list[Row]:
    """Every fact that a rule may speak of: name, kind of value, meaning."""
    return _table([(entry.name, kind_text(entry), entry.meaning) for entry in entries], width)


def language_page() -> list[Row]:
    """The rule language in one page."""
    return [row(line) for line in LANGUAGE.split("\n")] + [row("")]


def gravest(rule: Rule) -> Level:
    """The gravest level at which a rule can find something."""
    levels = {require.level for require in rule.requires} | {rule.line_level or rule.unproven}
    return max(levels, key=LEVELS.index)


def _table(lines: Sequence[tuple[str, str, str]], width: int) -> list[Row]:
    """Three columns; the last is wrapped under itself."""
    first, second = (max((len(line[n]) for line in lines), default=0) for n in (0, 1))
    indent = first + second + 4
    rows: list[Row] = []
    for name, kind, text in lines:
        head, *rest = wrapped(text, width - indent) or [""]
        rows.append(row(Piece(name.ljust(first), "name"), f"  {kind.ljust(second)}  {head}"))
        rows += [row(" " * indent, line) for line in rest]
    return rows


def _labelled(lines: Iterable[tuple[str, str]], width: int) -> list[Row]:
    """Labels in a column of their own, texts wrapped beside them."""
    lines = list(lines)
    column = min(max((len(label) for label, _ in lines), default=0), _LABEL_LIMIT)
    rows: list[Row] = []
    for label, text in lines:
        head, *rest = wrapped(harmless(text), width - column - 2) or [""]
        rows.append(row(Piece(label.ljust(column), "quiet"), f"  {head}"))
        rows += [row(" " * (column + 2), line) for line in rest]
    return rows
