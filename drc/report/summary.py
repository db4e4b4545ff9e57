"""A review as a page for a person: what failed first, board by board, and a last line that counts."""

from collections.abc import Callable

from drc.outcome import BoardOutcome, Review, Ruling
from drc.report.evidence import evidence_lines
from drc.report.tally import verdict_counts
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


def summary(review: Review, width: int, shown: Callable[[str], str]) -> list[Row]:
    """The page, `width` columns wide (80 to 200): boards with the gravest findings first."""
    width = min(max(width, MIN_WIDTH), MAX_WIDTH)
    lines: list[Row] = []
    for board in sorted(review.boards, key=_gravity):
        lines += [*_board(board, width, shown), ()]
    lines += [row(Piece(line, "quiet")) for line in wrapped(CAUTION, width)]
    verdict: Meaning = "good" if review.passed else "error"
    lines += [(), *(row(Piece(line, verdict)) for line in wrapped(_gate(review), width))]
    return [*lines, row(last_line(review))]


def last_line(review: Review) -> str:
    """Blocks, and the verdicts on them, counted over all boards."""
    counts = verdict_counts(tuple(entry for board in review.boards for entry in board.tally))
    blocks = sum(len(board.blocks) for board in review.boards)
    return (
        f"{counted(blocks, 'block')}: {counts['pass']} pass, "
        f"{counts['pass-on-assumption']} pass on assumptions, {counts['at-risk']} at-risk, "
        f"{counts['fail']} fail, {counts['unproven']} unproven"
    )


def _gate(review: Review) -> str:
    """Whether the gate holds, and what else there is to know of the findings."""
    rulings = [ruling for board in review.boards for ruling in board.rulings]
    new = [ruling for ruling in rulings if ruling.state == "new"]
    at_gate = sum(LEVELS.index(r.finding.level) >= LEVELS.index(review.gate) for r in new)
    unread = sum(board.error is not None for board in review.boards)
    verdict = "gate passed" if review.passed else "gate NOT passed"
    at = review.gate if review.gate == "error" else f"{review.gate} or above"
    reasons = [f"{at_gate} at {at}"]
    if len(new) > at_gate:
        reasons.append(f"{len(new) - at_gate} below")
    reasons += [
        f"{number} {state}"
        for state in ("known", "accepted")
        if (number := sum(ruling.state == state for ruling in rulings))
    ]
    if unread:
        reasons.append(counted(unread, "board") + " not read")
    return f"{verdict}: {', '.join(reasons)}"


def _gravity(board: BoardOutcome) -> tuple[int, int, str]:
    """Boards that could not be read first, then by the gravest open finding, then by path."""
    if board.error is not None:
        return (-1, 0, board.path)
    return (*min((_rank(ruling)[:2] for ruling in board.rulings), default=(99, 99)), board.path)


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
    remedy = wrapped(_remedy(ruling), room - 1)
    leads = (f"{' ' * (_VERDICT_WIDTH + 2)}-> ", " " * (_VERDICT_WIDTH + 5))
    lines += [row(leads[number > 0], Piece(line, "good")) for number, line in enumerate(remedy)]
    return lines


def _remedy(ruling: Ruling) -> str:
    """The smallest repair that was tried, else the rule's advice; nothing for what is settled."""
    finding = ruling.finding
    if ruling.state != "new":
        return ""
    if finding.remedies:
        remedy = finding.remedies[0]
        edits = ", ".join(f"{edit.element} {edit.token.text} -> {edit.new}" for edit in remedy.edits)
        return harmless(f"{edits} ({remedy.why})")
    return harmless(finding.advice)


def _indented(text: str, width: int, label: Piece) -> list[Row]:
    """`label` in a column of its own, `text` wrapped beside it."""
    room = width - _VERDICT_WIDTH - 2
    lines = wrapped(text, room) or [""]
    first = row("  ", label._replace(text=label.text.ljust(_VERDICT_WIDTH)), lines[0])
    return [first, *(row(" " * (_VERDICT_WIDTH + 2), line) for line in lines[1:])]
