"""What the page of HTML consists of: plain values, ready to be set out by its template."""

from typing import NamedTuple

from drc.trouble import Level


class Row(NamedTuple):
    """A quantity with its value, and its law."""

    name: str
    value: str
    law: str = ""


class Source(NamedTuple):
    """One input of a derivation."""

    label: str
    value: str
    origin: str
    place: str


class Derived(NamedTuple):
    """A fact with all that it was computed from; `same`: the fact above that came from just that."""

    row: Row
    sources: tuple[Source, ...]
    same: str


class Found(NamedTuple):
    """A finding as the page shows it."""

    anchor: str
    level: str
    verdict: str
    mark: str
    rule: str
    title: str
    because: str
    message: str
    place: str
    subject: str
    block: str
    state: str
    acceptance: str
    evidence: tuple[Row, ...]
    sources: tuple[Source, ...]
    missing: tuple[str, ...]
    remedies: tuple[tuple[str, str], ...]
    advice: str
    excerpt: str
    others: tuple[str, ...]
    search: str


class Wanted(NamedTuple):
    """An expectation: as stated, where, what is wanted and what comes out."""

    text: str
    place: str
    wanted: str
    actual: str


class Times(NamedTuple):
    """A time of a block by each worst-case method."""

    name: str
    nominal: str
    extreme: str
    rss: str
    monte_carlo: str


class BlockView(NamedTuple):
    """A block's section. Drawings are ready SVG, empty where there is none."""

    anchor: str
    path: str
    part: str
    title: str
    function: str
    found_by: str
    place: str
    state: str
    pins: tuple[tuple[str, str], ...]
    expected: tuple[Wanted, ...]
    times: tuple[Times, ...]
    unknown: tuple[Row, ...]
    schematic: str
    schematic_words: str
    ladder: str
    strap: tuple[Row, ...]
    draws: str
    timing: str
    bars: str
    facts: tuple[Derived, ...]
    assumptions: tuple[str, ...]
    findings: tuple[Found, ...]
    search: str


class Matrix(NamedTuple):
    """Verdicts of rules (rows) on blocks (columns): a (word, mark) each, empty where none was given.

    `idle` are the rules that apply to none of the blocks; `others` the verdicts on anything else.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    idle: tuple[str, ...]
    others: tuple[tuple[str, str, str, str, str], ...]


class BoardView(NamedTuple):
    """A board's part of the page."""

    anchor: str
    path: str
    sha256: str
    size: str
    error: str
    state: str
    counts: tuple[tuple[str, str, int], ...]
    findings: tuple[Found, ...]
    blocks: tuple[BlockView, ...]
    chains: str
    chain_words: tuple[str, ...]
    alike: tuple[str, ...]
    matrix: Matrix


class PageView(NamedTuple):
    """The whole page."""

    passed: bool
    reasons: str
    gate: Level
    counts: tuple[tuple[str, str, int], ...]
    boards: tuple[BoardView, ...]
    provenance: tuple[tuple[str, str], ...]
    inputs: tuple[tuple[str, str, str], ...]
