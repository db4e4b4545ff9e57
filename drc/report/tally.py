"""Counting verdicts."""

from collections import Counter
from collections.abc import Iterable

from drc.judge.model import TallyEntry

COUNTED = ("pass", "pass-on-assumption", "at-risk", "fail", "unproven", "not-applicable")
"""What is counted: every verdict, a pass that rests on an assumption apart."""


def verdict_counts(entries: Iterable[TallyEntry]) -> dict[str, int]:
    """How many entries of each kind."""
    met = Counter(counted_as(entry) for entry in entries)
    return {name: met[name] for name in COUNTED}


def counted_as(entry: TallyEntry) -> str:
    """The name an entry is counted under: its verdict, or `pass-on-assumption`."""
    return "pass-on-assumption" if entry.verdict == "pass" and entry.assumed else entry.verdict
