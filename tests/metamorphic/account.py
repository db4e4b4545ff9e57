"""Everything that a review says of a board, as canonical text, so that two accounts can be held together.

What is left out is named here once: the file's hash and the places of tokens (columns, offsets), which change
with every letter of the text. All else is kept: numbers, messages, evidence, remedies, tally, and each fact
of each block with its law, inputs and assumptions.
"""

import json
import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import drc
from drc.outcome import Review
from drc.report.json_report import review_json, value_json
from tests.metamorphic.boards import MODELS, Board

DATE = date(2026, 3, 31)
DRAWS = 2000
LEFT_OUT = frozenset({"sha256", "column", "start", "end"})

Account = dict[str, Any]


class Told(NamedTuple):
    """How an account is told, so that it can be compared with that of the board before the change.

    `back` gives old names for new ones, `lines` old line numbers for new ones. `without` are keys left out.
    """

    back: Mapping[str, str] = {}
    lines: Mapping[int, int] = {}
    without: frozenset[str] = frozenset()


AS_IT_IS = Told()


def reviewed(board: Board, *, monte_carlo: bool = True, seed: int = 1, draws: int = DRAWS) -> Review:
    """The review of a board, by way of files."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "board.cir").write_text(board.text, encoding="utf-8")
        (folder / "models.inc").write_text(MODELS, encoding="utf-8")
        (folder / "part.toml").write_text(board.parts, encoding="utf-8")
        if board.intent:
            (folder / "board.intent").write_text(board.intent, encoding="utf-8")
        parts = [folder / "part.toml"] if board.parts else []
        return drc.review(
            folder / "board.cir", parts=parts, date=DATE, monte_carlo=monte_carlo, seed=seed, draws=draws
        )


def account(board: Board, told: Told = AS_IT_IS) -> Account:
    """All that the review of a board says, told with its old names and lines, in an order of its own."""
    return account_of(reviewed(board), told)


def account_of(review: Review, told: Told = AS_IT_IS) -> Account:
    """All that a review of one board says."""
    (board,) = review.boards
    (page,) = _list(_table(review_json(review))["boards"])
    facts = {
        outcome.block.path: {
            name: {
                "value": value_json(fact.value),
                "law": fact.law,
                "inputs": [[source.label, source.value, source.origin] for source in fact.inputs],
                "assumptions": list(fact.assumptions),
            }
            for name, fact in outcome.facts.items()
        }
        for outcome in board.blocks
    }
    text = json.dumps({"passed": review.passed, "board": page, "facts": facts})
    for new in sorted(told.back, key=len, reverse=True):
        old = told.back[new].replace("\\", r"\\")
        text = re.sub(re.escape(new), old, text, flags=re.IGNORECASE)
    return _table(_canonical(json.loads(text), told))


def _canonical(value: object, told: Told) -> object:
    """The value with lists of things sorted, lines turned back, and what is not compared left out.

    The words of a remedy's reason are sorted too: it names resistors in the order of the drawing.
    """
    if isinstance(value, dict):
        kept = {key: item for key, item in value.items() if key not in LEFT_OUT | told.without}
        if isinstance(kept.get("line"), int):
            kept["line"] = told.lines.get(kept["line"], kept["line"])
        if isinstance(kept.get("why"), str):
            kept["why"] = " ".join(sorted(kept["why"].split()))
        return {key: _canonical(item, told) for key, item in kept.items()}
    if isinstance(value, list):
        items = [_canonical(item, told) for item in value]
        numbers = all(item is None or isinstance(item, int | float) for item in items)
        return items if numbers else sorted(items, key=lambda item: json.dumps(item, sort_keys=True))
    return value


def differences(one: object, other: object, path: str = "") -> list[str]:
    """Where two accounts differ, a line a difference; none if they are the same."""
    if isinstance(one, dict) and isinstance(other, dict):
        keys = sorted(set(one) | set(other))
        return [
            line
            for key in keys
            for line in differences(one.get(key, "-"), other.get(key, "-"), f"{path}/{key}")
        ]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return [line for at, (a, b) in pairs for line in differences(a, b, f"{path}/{at}")]
    return [] if one == other else [f"{path}: {one!r} -> {other!r}"]


def without(found: Account, drop: Callable[[str], bool]) -> Account:
    """The account without the keys, at any depth, whose path `drop` names."""

    def cut(value: object, path: str) -> object:
        if isinstance(value, dict):
            return {key: cut(v, f"{path}/{key}") for key, v in value.items() if not drop(f"{path}/{key}")}
        if isinstance(value, list):
            return [cut(item, path) for item in value]
        return value

    return _table(cut(found, ""))


def entries(found: Account) -> Iterable[tuple[str, str, str]]:
    """(rule, subject, verdict) of every entry of the tally."""
    return [(e["rule"], e["subject"], e["verdict"]) for e in found["board"]["tally"]["entries"]]


def _table(value: object) -> dict[str, Any]:
    assert isinstance(value, dict)
    return value


def _list(value: object) -> list[Any]:
    assert isinstance(value, list)
    return value
