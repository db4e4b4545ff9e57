"""A review as a page for a person: what failed first, board by board, and a last line that counts."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator

from drc.outcome import BoardOutcome, Review, Ruling
from drc.report.edit_text import told
from drc.report.evidence import evidence_lines
from drc.report.tally import counted_as
from drc.report.text import (
    MAX_WIDTH,
    MIN_WIDTH,
    Meaning,
    Piece,
    Row,
    counted,
    harmless,
    row,
    wrapped,
)
from drc.trouble import LEVELS, Level

CAUTION = (
    "A review supports and never replaces a qualified engineer's. Where a timing function guards people, "
    "heat, machinery or mains, local codes and independent protection come first."
)
_VERDICT_ORDER = {"fail": 0, "at-risk": 1, "unproven": 2, "pass": 3, "not-applicable": 4}
_MEANING: dict[Level, Meaning] = {"error": "error", "warning": "warning", "note": "note"}
_VERDICT_WIDTH = 10
_NOTHING = 99
"""Gravity of a board of which there is nothing to report."""


class Digest:
    """What the page says of all boards together, taken in board by board."""

    def __init__(self, gate: Level) -> None:
        self.blocks = self.at_gate = self.unread = 0
        self.verdicts: Counter[str] = Counter()
        self.states: Counter[str] = Counter()
        self.order: list[tuple[int, int, str, int]] = []
        self._at_gate = frozenset(LEVELS[LEVELS.index(gate) :])

    def add(self, board: BoardOutcome) -> None:
        """One board more."""
        self.order.append((*_gravity(board), len(self.order)))
        self.blocks += len(board.blocks)
        self.unread += board.error is not None
        self.verdicts.update(map(counted_as, board.tally))
        for ruling in board.rulings:
            self.states[ruling.state] += 1
            self.at_gate += ruling.state == "new" and ruling.finding.level in self._at_gate


def digest_of(review: Review) -> Digest:
    """The digest of all boards of a review."""
    digest = Digest(review.gate)
    for board in review.boards:
        digest.add(board)
    return digest


def summary(
    review: Review,
    width: int,
    shown: Callable[[str], str],
    digest: Digest | None = None,
    fleet: Iterable[Row] = (),
) -> Iterator[Row]:
    """The page, `width` columns wide (80 to 200): boards with the gravest findings first.

    `digest` is that of the review, where it is there already. With `fleet`, what many boards come to
    together, boards of which there is nothing to report are left to it.
    """
    width = min(max(width, MIN_WIDTH), MAX_WIDTH)
    digest = digest_of(review) if digest is None else digest
    together = list(fleet)
    for gravity, *_, number in sorted(digest.order):
        if together and gravity == _NOTHING:
            break
        yield from _board(review.boards[number], width, shown)
        yield ()
    yield from together
    yield from (row(Piece(line, "quiet")) for line in wrapped(CAUTION, width))
    verdict: Meaning = "good" if review.passed else "error"
    yield ()
    yield from (row(Piece(line, verdict)) for line in wrapped(_gate(review, digest), width))
    yield row(last_line(digest))


def last_line(digest: Digest) -> str:
    """Blocks, and the verdicts on them, counted over all boards."""
    counts = digest.verdicts
    return (
        f"{counted(digest.blocks, 'block')}: {counts['pass']} pass, "
        f"{counts['pass-on-assumption']} pass on assumptions, {counts['at-risk']} at-risk, "
        f"{counts['fail']} fail, {counts['unproven']} unproven"
    )


def _gate(review: Review, digest: Digest) -> str:
    """Whether the gate holds, and what else there is to know of the findings."""
    verdict = "gate passed" if review.passed else "gate NOT passed"
    at = review.gate if review.gate == "error" else f"{review.gate} or above"
    reasons = [f"{digest.at_gate} at {at}"]
    if digest.states["new"] > digest.at_gate:
        reasons.append(f"{digest.states['new'] - digest.at_gate} below")
    reasons += [f"{digest.states[state]} {state}" for state in ("known", "accepted") if digest.states[state]]
    if digest.unread:
        reasons.append(counted(digest.unread, "board") + " not read")
    return f"{verdict}: {', '.join(reasons)}"


def _gravity(board: BoardOutcome) -> tuple[int, int, str]:
    """Boards that could not be read first, then by the gravest open finding, then by path."""
    if board.error is not None:
        return (-1, 0, board.path)
    return (*min((_rank(ruling)[:2] for ruling in board.rulings), default=(_NOTHING, 0)), board.path)


def _rank(ruling: Ruling) -> tuple[int, int, str, int, str]:
    """Open findings before known and accepted ones, by level, then verdict, then place."""
    finding = ruling.finding
    settled = 0 if ruling.state == "new" else 10
    level = LEVELS[::-1].index(finding.level)
    place = finding.place
    return (settled + level, _VERDICT_ORDER[finding.verdict], place.path, place.line, finding.rule)


def _board(board: BoardOutcome, width: int, shown: Callable[[str], str]) -> list[Row]:
    """A board's heading and its findings."""
    name = Piece(harmless(shown(board.path)), "heading")
    if board.error is not None:
        return [row(name), *_indented(harmless(board.error), width, Piece("not read", "error"))]
    blocks = counted(len(board.blocks), "block")
    head = row(name, Piece(f"  {blocks}, {counted(board.elements, 'element')}", "quiet"))
    if not board.rulings:
        return [row(*head, Piece("  nothing to report", "good"))]
    lines = [head]
    for ruling in sorted(board.rulings, key=_rank):
        lines += _ruling(ruling, width)
    return lines


def _ruling(ruling: Ruling, width: int) -> list[Row]:
    """One finding: what it is, at most two lines of evidence, one of remedy."""
    finding = ruling.finding
    if ruling.state == "new":
        # A note is no failure: what it tells may well hold.
        word = finding.level if finding.level == "note" else finding.verdict
        label = Piece(word, _MEANING[finding.level])
    else:
        label = Piece(ruling.state, "quiet")
    lines = _indented(f"{harmless(finding.message)} [{finding.rule}]", width, label)
    room = width - _VERDICT_WIDTH - 4
    evidence = evidence_lines(ruling, room)
    lines += [row(" " * (_VERDICT_WIDTH + 4), Piece(line, "quiet")) for line in evidence]
    remedy = wrapped(_remedy(ruling, room - 1), room - 1)
    leads = (f"{' ' * (_VERDICT_WIDTH + 2)}-> ", " " * (_VERDICT_WIDTH + 5))
    lines += [row(leads[number > 0], Piece(line, "good")) for number, line in enumerate(remedy)]
    return lines


def _remedy(ruling: Ruling, room: int) -> str:
    """The smallest repair that was tried, else the rule's advice; nothing for what is settled.

    Where a line has no room for its reason too, the edits stand alone.
    """
    finding = ruling.finding
    if ruling.state != "new":
        return ""
    if finding.remedies:
        remedy = finding.remedies[0]
        edits = ", ".join(text for edit in remedy.edits for text in told(edit))
        whole = harmless(f"{edits} ({remedy.why})")
        return whole if len(whole) <= room else harmless(edits)
    return harmless(finding.advice)


def _indented(text: str, width: int, label: Piece) -> list[Row]:
    """`label` in a column of its own, `text` wrapped beside it."""
    room = width - _VERDICT_WIDTH - 2
    lines = wrapped(text, room) or [""]
    first = row("  ", label._replace(text=label.text.ljust(_VERDICT_WIDTH)), lines[0])
    return [first, *(row(" " * (_VERDICT_WIDTH + 2), line) for line in lines[1:])]
